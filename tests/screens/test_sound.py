from dataclasses import replace
from itertools import pairwise

import numpy as np
import pygame
import pytest

from trainer.score.library import load_exercise
from trainer.score.meter import Meter
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour
from trainer.screens.screen import Command, Pressed, Scrolled
from trainer.screens.sound import ROWS, SQUARE_NS
from trainer.screens.sound_ways import HEARD, LEVEL_OF, NO_KEY, Row, SoundWays
from trainer.sounds.backing import Accompaniment, Levels
from trainer.sounds.click_way import ClickWay, Thinning
from trainer.sounds.feels import FEELS
from trainer.sounds.mix import Mix
from trainer.sounds.stems import Stem
from trainer.tablature.glyphs import Ink

from .desk import Page
from .sounding import MS, OUTPUTS, Cards

SIZE = (1280, 720)
LINE = load_exercise("quarry-steps")


def ways(mix: Mix | None = None, **changes: object) -> SoundWays:
    return SoundWays(replace(LINE, **changes), mix or Mix(), OUTPUTS)  # type: ignore[arg-type]


@pytest.mark.parametrize("row", ROWS)
def test_every_row_comes_round_or_stops_at_its_ends_and_always_says_something(row: Row) -> None:
    seen = [ways()]
    for _ in range(120):
        seen.append(seen[-1].stepped(row, 1))
    there_and_back = ways().stepped(row, 1).stepped(row, -1)

    assert all(one.says(row) for one in seen)
    assert len({one.says(row) for one in seen}) > 1
    assert there_and_back == ways()


def test_the_rows_say_how_the_sitting_sounds() -> None:
    mix = Mix(
        ClickWay(3, accents=False, thinning=Thinning.TWO_AND_FOUR), Accompaniment("shuffle", "i VI"), Levels(bass=0)
    )

    said = {row.value: ways(mix).says(row) for row in ROWS}

    assert said == {
        "click": "only on 2 and 4",
        "strokes in a beat": "three, but with only on 2 and 4: one",
        "first beat of a bar": "like the others",
        "backing": f"shuffle: {FEELS['shuffle'].about}",
        "chords": "i VI: Bm, G",
        "level of the drums": "100 %",
        "level of the bass": "silent",
        "level of the chords": "100 %",
        "level of the click": "100 %",
        "level of the line": "100 %",
        "F3 lets sound": "backing and click, again and again",
        "output": "the first that opens",
        "it is heard late by": "0 ms more than the system knows",
    }


def test_a_feel_that_does_not_go_with_the_line_gives_way_and_says_so() -> None:
    in_seven = ways(Mix(accompaniment=Accompaniment("shuffle")), meter=Meter(7, 8))

    assert in_seven.says(Row.FEEL) == "shuffle, but for this line, in 7/8, seven-eight"


def test_a_line_without_a_key_has_no_chords() -> None:
    assert ways(key="").says(Row.CHORDS) == NO_KEY
    assert ways(key="").stepped(Row.CHORDS, 1) == ways(key="")


def test_chords_that_were_typed_elsewhere_stay_to_be_chosen() -> None:
    typed = ways(Mix(accompaniment=Accompaniment(chords="i bII i #iv\u00b0")))

    assert typed.chord_words[-1] == "i bII i #iv\u00b0"
    assert typed.says(Row.CHORDS) == "i bII i #iv\u00b0: Bm, C, Bm, E\u266fdim"


def test_levels_stop_at_silence_and_at_twice_the_usual() -> None:
    for row, part in LEVEL_OF.items():
        assert getattr(ways().stepped(row, -30).mix.levels, part) == 0
        assert getattr(ways().stepped(row, 30).mix.levels, part) == 200


def test_whatever_f3_can_let_sound_is_there() -> None:
    assert {name for wanted in HEARD for name in wanted} == {stem.value for stem in Stem}


def test_a_change_is_kept_at_once_and_heard_at_once_where_something_sounds() -> None:
    cards = Cards()

    cards.do(Command.RIGHT, Command.LISTEN, Command.RIGHT, Command.LISTEN)

    one, two = Mix(ClickWay(thinning=Thinning.ONE)), Mix(ClickWay(thinning=Thinning.TWO_AND_FOUR))
    assert cards.asked == [one, ("backing", "click"), two, ("backing", "click"), "silence"]


def test_another_output_is_used_at_once_with_its_own_offset() -> None:
    cards = Cards()
    cards.go_to(Row.OUTPUT)

    cards.do(Command.RIGHT)

    assert cards.asked == ["silence", "Hut card"]
    assert cards.screen.ways.offset_ms == 40.0
    assert cards.screen.ways.says(Row.OUTPUT) == "Hut card"


def test_the_offset_is_changed_by_one_or_ten_and_stops_at_half_a_second() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)

    cards.do(Command.RIGHT, Command.FASTER, Command.LEFT, Command.SLOWER, *[Command.SLOWER] * 60)

    assert cards.asked[-1] == -500.0
    assert [asked for asked in cards.asked if isinstance(asked, float)][:4] == [1.0, 11.0, 10.0, 0.0]


def test_the_click_of_the_offset_goes_on_while_it_is_changed_and_ends_with_its_row() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)
    cards.asked.clear()

    cards.do(Command.LISTEN, Command.RIGHT, Command.RIGHT)
    went_on = list(cards.asked)
    cards.do(Command.UP)

    assert went_on == ["click", 1.0, 2.0]
    assert cards.asked[len(went_on) :] == ["silence"]
    assert not cards.screen.is_on


def test_the_offset_is_found_by_playing_and_taken_by_enter() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)
    cards.do(Command.RIGHT)
    cards.do(Command.CHOOSE)
    before = " ".join(text for text, _ in cards.screen.texts(SIZE))

    cards.play(12, 33.6)
    found = " ".join(text for text, _ in cards.screen.texts(SIZE))
    cards.do(Command.CHOOSE)

    assert "Play a note on each click, on any string: 10 more, at least." in before
    assert "12 notes, 34 ms after the click" in found
    assert cards.asked[-1] == 35.0
    assert cards.screen.ways.offset_ms == 35.0
    assert "find it by playing" in [text for text, _ in cards.screen.texts(SIZE)]


def test_taps_that_are_left_off_change_nothing() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)
    cards.do(Command.CHOOSE)

    cards.do(Command.LISTEN)
    cards.do(Command.CHOOSE, Command.BACK)

    assert not [asked for asked in cards.asked if isinstance(asked, float)]


def square_is_filled(cards: Cards, now_ns: int) -> bool:
    surface = pygame.Surface(SIZE)
    cards.screen.draw(surface, now_ns)
    row = ROWS.index(Row.OFFSET)
    top_px = (116 + row * 46) * 2 // 3
    area = pygame.surfarray.array3d(surface)[1_200:1_260, top_px : top_px + 30]
    return bool((area == np.array(colour(Ink.NOW))).all(axis=2).mean() > 0.15)


def test_the_square_comes_with_each_beat_and_moves_with_the_offset() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)
    cards.do(Command.LISTEN)

    seen = [square_is_filled(cards, 1_000 * MS + ms * MS) for ms in range(-100, 1_800, 50)]
    cards.began_ns = 1_000 * MS + 200 * MS
    later = square_is_filled(cards, 1_000 * MS + 50 * MS)

    assert [place for place, is_there in enumerate(seen) if is_there] == [2, 3, 4, 18, 19, 20, 34, 35, 36]
    assert not later
    changes = sum(before != after for before, after in pairwise(seen))
    assert changes / 2 / 1.9 <= 3  # flashes a second, WCAG 2.2
    assert SQUARE_NS < 800 * MS


def test_nothing_is_shown_where_nothing_sounds() -> None:
    cards = Cards()
    cards.go_to(Row.OFFSET)

    assert not square_is_filled(cards, 1_000 * MS)


def test_rows_are_chosen_and_changed_by_the_mouse() -> None:
    cards = Cards()
    cards.screen.draw(pygame.Surface(SIZE), 0)
    texts = dict(cards.screen.texts(SIZE))
    place = texts["accented"]
    press = Pressed(place.left_px + 5, place.top_px + 4)

    cards.screen.handle(press)
    chosen = cards.screen.row
    cards.screen.handle(press)
    back = cards.screen.handle(Pressed(texts["list"].left_px, texts["list"].top_px + 3))

    assert chosen is Row.ACCENTS
    assert cards.asked[0] == Mix(ClickWay(accents=False))
    assert isinstance(back, Page)


def test_the_wheel_and_the_arrows_stop_at_both_ends() -> None:
    cards = Cards()

    cards.screen.handle(Scrolled(-1, 0, 0))
    first = cards.screen.row
    for _ in range(40):
        cards.screen.handle(Scrolled(1, 0, 0))

    assert (first, cards.screen.row) == (Row.CLICK, Row.OFFSET)


def test_leaving_and_asking_for_help_are_silent() -> None:
    cards = Cards()
    cards.do(Command.LISTEN)

    assert isinstance(cards.do(Command.KEYS), KeysScreen)
    assert cards.asked[-1] == "silence"
    assert isinstance(cards.do(Command.BACK), Page)
    assert cards.do(Command.QUIT) is None
