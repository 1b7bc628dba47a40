from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.devices.lines import line
from tests.devices.test_outputs import MS, Card
from trainer.devices import sound_desk
from trainer.devices.outputs import Outlet
from trainer.devices.remembered import Memory
from trainer.devices.sound import SilentSound
from trainer.devices.sound_desk import SoundDesk
from trainer.run import RunPlan
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Accompaniment, Levels, backing_for
from trainer.sounds.click import render_click
from trainer.sounds.click_way import ClickWay, Thinning
from trainer.sounds.endless import Playable
from trainer.sounds.mix import Mix
from trainer.sounds.samples import RATE, mixed
from trainer.sounds.stems import Stem
from trainer.theory.scale import key_named

TEMPO = Tempo(Fraction(131))
LINE = replace(line("6/0 5/2 4/2 3/0", qpm=131, notes_a_quarter=1), key="A minor")
PLAN = RunPlan(LINE, TEMPO, passes=3)


def test_a_take_sounds_with_what_is_wanted_and_its_click_stays_where_it_is() -> None:
    desk = SoundDesk(Card())

    click = desk.rendered(PLAN)
    backed = desk.rendered(replace(PLAN, with_backing=True)).astype(int)
    all_of_it = desk.rendered(replace(PLAN, with_backing=True, hear_line=True)).astype(int)

    bar = round(4 * 60 * RATE / 131)
    alone = render_click(TEMPO, Meter(), count_in_bars=1, length_quarters=Fraction(12))
    np.testing.assert_array_equal(click, mixed(alone))
    np.testing.assert_array_equal(backed[:bar], click[:bar])
    assert np.abs(backed[bar : bar + RATE] - click[bar : bar + RATE]).max() > 1_000
    assert np.abs(all_of_it[bar : bar + RATE] - backed[bar : bar + RATE]).max() > 1_000


def test_settings_are_kept_for_the_next_start(tmp_path: Path) -> None:
    path = tmp_path / "remembered.json"
    mix = Mix(
        ClickWay(2, accents=False, thinning=Thinning.OTHER_BAR), Accompaniment("shuffle", "i VI"), Levels(bass=50)
    )
    desk = SoundDesk(Outlet(Card()), Memory(path))

    desk.keep_mix(mix)
    desk.keep_offset(17.5)
    again = SoundDesk(Outlet(Card(), 17.5), Memory(path))

    assert again.mix == mix
    assert Memory(path).sound.offsets_ms == {"Hut card": 17.5}
    assert (desk.offset_ms, again.offset_ms) == (17.5, 17.5)
    assert Memory(path).trouble is None


def test_another_output_is_used_at_once_and_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second, memory = Card(), Card("Cave card"), Memory(tmp_path / "remembered.json")
    monkeypatch.setattr(sound_desk, "opened", lambda kept: (second, 3.0) if kept.output == "Cave card" else None)
    desk = SoundDesk(Outlet(first), memory)

    desk.choose_output("Cave card")
    desk.start_take(PLAN)

    assert (first.played, len(second.played)) == ([], 1)
    assert (desk.output, desk.offset_ms, memory.sound.output) == ("Cave card", 3.0, "Cave card")


def test_a_backing_sounds_for_as_long_as_asked_and_is_made_while_it_plays() -> None:
    card = Card()
    backing = backing_for(key_named("A minor"), Meter(), Accompaniment("shuffle"))

    began_ns = SoundDesk(card).start_backing(backing, TEMPO, 2 * 3_600_000 * MS)

    (played,) = card.played
    assert began_ns == 1_000 * MS
    assert isinstance(played, Playable)
    assert len(played) == 2 * 3_600 * RATE
    assert played[len(played) - 2 * RATE : len(played)].any()


def test_a_line_is_demonstrated_again_and_again_at_any_tempo() -> None:
    card, slow = Card(), Tempo(Fraction(30))

    SoundDesk(card).demonstrate(LINE, slow, [Stem.LINE, Stem.BACKING], passes=5)

    (played,) = card.played
    assert isinstance(played, Playable)
    assert len(played) == 5 * 8 * RATE + round(0.4 * RATE)


def test_the_click_alone_is_beaten_as_the_sitting_wants_it() -> None:
    card = Card()
    desk = SoundDesk(card)
    desk.keep_mix(Mix(ClickWay(thinning=Thinning.ONE)))

    desk.start_click(Tempo(Fraction(60)), Meter(), 2)

    (played,) = card.played
    assert not played[RATE : 2 * RATE].any()
    assert played[4 * RATE : 4 * RATE + 10].any()


def test_without_a_sound_nothing_is_rendered_and_time_runs_on() -> None:
    desk = SoundDesk(SilentSound("test"))

    assert desk.start_take(PLAN) > 0
    assert desk.demonstrate(LINE, TEMPO, [Stem.LINE], 1) > 0
    assert desk.start_backing(backing_for(key_named("A minor"), Meter(), Accompaniment()), TEMPO, MS) > 0
    assert desk.start_latency_click(1) is None
    desk.keep_offset(20.0)
    assert desk.offset_ms == 0.0
    assert "" in desk.outputs()
