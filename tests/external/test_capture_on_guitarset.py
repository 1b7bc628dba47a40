"""Real playing written down: the beat, the grid and the key that GuitarSet's annotations give (see `guitarset`).

GuitarSet's players heard a click; its annotations `tempo` and `beat_position` of both excerpts give one steady tempo
(129 and 147 quarters a minute) with beat k at k * 60 / tempo s, and `key_mode` gives E flat and G flat major. Which
subdivision each chord was meant on is not annotated, so that an onset counts as right when its place lies within an
eighth of a beat of where the annotated beats put it, once the player's own lateness (the median) is taken off.
"""

from fractions import Fraction
from statistics import median

import pytest

from tests.external.guitarset import EXCERPTS, AnnotatedNote, stream
from trainer.capture.listening import PhraseNote, heard_phrase
from trainer.capture.writing import Asked, captured
from trainer.playing.profile import PickupProfile
from trainer.score.tempo import Tempo
from trainer.theory.scale import key_named
from trainer.theory.tuning import TUNINGS

STANDARD = TUNINGS["standard"]
ANNOTATED = dict(zip(EXCERPTS, ((129, "Eb major"), (147, "Gb major")), strict=True))


def phrase(notes: list[AnnotatedNote]) -> tuple[PhraseNote, ...]:
    return heard_phrase(stream(notes), PickupProfile(), STANDARD)


@pytest.mark.parametrize("name", EXCERPTS)
def test_the_tempo_is_found_without_a_click(name: str, excerpts: dict[str, list[AnnotatedNote]]) -> None:
    tempo, _ = ANNOTATED[name]

    found = captured(phrase(excerpts[name]), Asked(STANDARD))

    assert 60_000 / found.grid.beat == pytest.approx(tempo, rel=0.01)


@pytest.mark.parametrize("name", EXCERPTS)
def test_the_notes_of_the_key_are_found(name: str, excerpts: dict[str, list[AnnotatedNote]]) -> None:
    _, key = ANNOTATED[name]

    found = captured(phrase(excerpts[name]), Asked(STANDARD))

    assert found.key.key.pitch_classes == key_named(key).pitch_classes
    assert found.key.key.root.pitch_class == key_named(key).root.pitch_class


@pytest.mark.parametrize("starts_at_ns", [None, 0])
@pytest.mark.parametrize("name", EXCERPTS)
def test_nearly_every_onset_gets_its_place_among_the_annotated_beats(
    name: str, starts_at_ns: int | None, excerpts: dict[str, list[AnnotatedNote]]
) -> None:
    tempo, _ = ANNOTATED[name]
    heard = phrase(excerpts[name])
    asked = Asked(STANDARD, tempo=None if starts_at_ns is None else Tempo(Fraction(tempo)), starts_at_ns=starts_at_ns)

    grid = captured(heard, asked).grid

    off_beats = [
        float(place) - time_ms * tempo / 60_000 for place, time_ms in zip(grid.places, grid.times, strict=True)
    ]
    right = sum(abs(off - median(off_beats)) <= 0.125 for off in off_beats)
    assert right / len(off_beats) >= 0.93
