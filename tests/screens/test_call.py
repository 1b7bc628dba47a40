from itertools import combinations

import pytest

from trainer.screens.call import CallScreen, bars_of
from trainer.screens.screen import Command, Pressed
from trainer.tablature.glyphs import Rect

from .calls import LINE, PHRASE, Pair, called, played
from .desk import Page

SIZE = (1280, 720)
HIDDEN = "That was an answer. Enter shows what differs from the call."


def words_of(screen: CallScreen) -> list[str]:
    return [text for text, _ in screen.texts(SIZE)]


def turn_of(screen: CallScreen) -> str:
    return next(turn.name for turn in screen.view().turns if turn.is_now)


@pytest.mark.parametrize("size", [(1024, 640), (1280, 720), (1920, 1080)])
@pytest.mark.parametrize("until_s", [0.5, 2.0, 6.0, 12.0])
def test_nothing_overlaps_or_is_cut_off(size: tuple[int, int], until_s: float) -> None:
    texts = called(until_s, Command.CHOOSE).texts(size)

    assert [(a, b) for (a, one), (b, other) in combinations(texts, 2) if a and b and one.overlaps(other)] == []
    assert [words for words, where in texts if not Rect(0, 0, *size).contains(where)] == []


def test_turns_follow_by_themselves_and_say_how_many_notes_were_heard() -> None:
    pair = Pair(played(1.0), played(5.5))
    screen = pair.screen()

    seen = []
    for until_s in (0.5, 2.0, 5.0, 6.0, 12.0):
        pair.play(screen, until_s)
        seen.append((turn_of(screen), [turn.notes for turn in screen.view().turns]))

    assert seen == [
        ("Call", ["", ""]),
        ("Call", ["8 notes", ""]),
        ("Answer", ["", ""]),
        ("Answer", ["", "4 notes"]),
        ("Call", ["", ""]),
    ]


def test_nothing_of_an_answer_is_shown_before_it_is_asked_for() -> None:
    screen = called(12.0)
    before = words_of(screen)

    screen.handle(Command.CHOOSE)
    shown = words_of(screen)
    screen.handle(Command.CHOOSE)

    assert HIDDEN in before
    assert not [words for words in before if words.startswith("Note ")]
    assert [words.partition(":")[0] for words in shown if words.startswith("Note ")] == ["Note 3", "Note 6", "Note 8"]
    assert any(words.startswith("5 of 8 notes as called") for words in shown)
    assert {str(note.fret) for note in PHRASE.notes} <= set(shown)
    assert words_of(screen) == before


def test_what_differs_is_shown_at_once_where_that_is_switched_on() -> None:
    pair = Pair(played(1.0), played(5.5, "miss 2"))
    screen = pair.screen()
    screen.handle(Command.MARKS)

    pair.play(screen, 12.0)

    assert f"Note 3: left out, string {PHRASE.notes[2].course} fret {PHRASE.notes[2].fret}." in words_of(screen)


def test_an_answer_that_is_as_called_says_so_and_how_even_it_was() -> None:
    words = words_of(called(12.0, Command.CHOOSE, faults=""))

    assert "Note for note the same." in words
    assert any(one.startswith("8 of 8 notes as called; from note to note 0 ms off") for one in words)


def test_the_bars_of_a_line_call_one_after_the_other_and_wait_while_one_is_looked_at() -> None:
    pair = Pair()
    screen = pair.screen()
    for command in (Command.NEXT_CHOICE, Command.PAUSE):
        screen.handle(command)
    bar = bars_of(LINE)[0]
    ends_s = float(bar.length_quarters) * 60 / float(LINE.tempo.quarters_per_minute)
    pair.second = played(ends_s + 0.5, line=bar)

    pair.play(screen, ends_s - 0.5)
    sounding = turn_of(screen)
    pair.play(screen, ends_s + 0.4)
    answering = turn_of(screen)
    pair.play(screen, ends_s + 4.0)
    over = turn_of(screen), len(pair.heard)
    screen.handle(Command.CHOOSE)
    pair.play(screen, ends_s + 20.0)
    looked_at = len(pair.heard)
    screen.handle(Command.PAUSE)

    assert (sounding, answering, over, looked_at) == ("Call", "Answer", ("Call", 1), 1)
    assert [line.notes for line, _ in pair.heard] == [one.notes for one in bars_of(LINE)[:2]]


def test_the_next_bar_sounds_by_itself_after_a_silence() -> None:
    pair = Pair()
    screen = pair.screen()
    for command in (Command.NEXT_CHOICE, Command.PAUSE):
        screen.handle(command)
    bar = bars_of(LINE)[0]
    ends_s = float(bar.length_quarters) * 60 / float(LINE.tempo.quarters_per_minute)
    pair.second = played(ends_s + 0.5, line=bar)

    pair.play(screen, ends_s + 16.0)

    assert len(pair.heard) >= 2


def test_tempo_and_bars_of_silence_are_set_and_said() -> None:
    screen = Pair().screen()

    for command in (Command.FASTER, Command.FASTER, Command.UP):
        screen.handle(command)

    qpm = float(LINE.tempo.quarters_per_minute) + 8
    assert LINE.meter.bar_quarters == 2
    assert screen.view().subtitle.endswith(f"a silence of 2 bars at ♩ = {qpm:g} ends a phrase: {240 / qpm:.1f} s")


def test_without_a_second_input_both_play_on_the_first() -> None:
    pair = Pair((*played(1.0), *played(6.0, "miss 1")))
    screen = pair.screen()
    screen.handle(Command.SECOND_INPUT)
    assert "Second input: none." in words_of(screen)

    pair.play(screen, 14.0)
    screen.handle(Command.CHOOSE)

    assert [turn.who for turn in screen.view().turns] == ["Hut pickup", "Hut pickup"]
    assert any(words.startswith("Note 2: left out") for words in words_of(screen))


def test_every_hint_can_be_pressed() -> None:
    screen = called(12.0)
    where = dict(screen.texts(SIZE))["show what differs"]

    screen.handle(Pressed(where.left_px + 2, (where.top_px + where.bottom_px) / 2))

    assert HIDDEN not in words_of(screen)
    where = dict(screen.texts(SIZE))["hear the call"]
    assert screen.handle(Pressed(where.left_px + 2, where.top_px)) is screen
    left = screen.handle(Command.BACK)
    assert isinstance(left, Page)
    assert left.name == "board"
