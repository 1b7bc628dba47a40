import pytest

from trainer.score.meter import Meter
from trainer.sounds import feels
from trainer.sounds.drums import STRENGTHS
from trainer.sounds.feels import CHORD_SOUNDS, DRUM_NAMES, FEELS, feel_named, feels_in, pulse
from trainer.theory.naming import UnknownWord

ENTRY = {
    "name": "plain", "meter": "4/4", "steps": 4, "about": "", "drums": {"kick": "X..."}, "turn": {}, "bass": "R---",
    "chords": "X---", "chord_sound": "soft",
}  # fmt: skip


def test_there_are_feels_of_every_kind_and_in_every_usual_meter() -> None:
    assert len(FEELS) >= 8
    assert {(feel.meter.beats, feel.meter.beat_unit) for feel in FEELS.values()} >= {(4, 4), (3, 4), (5, 4), (7, 8)}


@pytest.mark.parametrize("feel", FEELS.values(), ids=list(FEELS))
def test_a_feel_has_a_bass_on_1_and_drums_that_can_be_rendered(feel: feels.Feel) -> None:
    drums = {name for name, _ in (*feel.drums, *feel.turn)}

    assert feel.bass[0] == "R"
    assert drums <= set(DRUM_NAMES)
    assert feel.chord_sound in CHORD_SOUNDS
    assert any(row[0] in STRENGTHS for _, row in feel.drums)
    assert feel.steps % feel.meter.beats == 0


def test_the_last_bar_has_its_own_drums_where_they_differ() -> None:
    shuffle = FEELS["shuffle"]

    assert dict(shuffle.drums_of(is_last=False))["snare"] == "...X.....X.."
    assert dict(shuffle.drums_of(is_last=True))["snare"] == "...X.....X.x"
    assert dict(shuffle.drums_of(is_last=True))["hat"] == dict(shuffle.drums)["hat"]


def test_the_feels_of_a_meter_end_with_the_plain_one() -> None:
    assert [feel.name for feel in feels_in(Meter(7, 8))] == ["seven-eight", "pulse"]
    assert feels_in(Meter(11, 8)) == (pulse(Meter(11, 8)),)


def test_two_bars_of_two_quarters_are_one_of_four() -> None:
    in_four = [feel.name for feel in feels_in(Meter())]

    assert [feel.name for feel in feels_in(Meter(2, 4))] == in_four
    assert [feel.name for feel in feels_in(Meter(2, 2))] == in_four
    assert feels_in(Meter(2, 4))[-1].meter == Meter(2, 4)


def test_six_eighths_are_no_three_quarters() -> None:
    assert [feel.name for feel in feels_in(Meter(6, 8))] == ["six-eight", "pulse"]


def test_a_feel_that_there_is_not_is_told_with_the_nearest_one() -> None:
    with pytest.raises(UnknownWord, match="'shufle' is not a feel; nearest: 'shuffle'"):
        feel_named("shufle")


@pytest.mark.parametrize(
    ("field", "value", "message"),
    [
        ("bass", "R--", "bass is 'R--'; expected 4 letters"),
        ("chords", "X-y-", "chords is 'X-y-'; expected 4 letters"),
        ("drums", {"kick": "X...."}, "kick is 'X....'; expected 4 letters"),
    ],
)
def test_an_entry_that_does_not_fill_the_bar_is_refused(field: str, value: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        feels._feel({**ENTRY, field: value})
