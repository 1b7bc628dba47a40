"""Phrases as they are heard, from a few words."""

from dataclasses import replace
from fractions import Fraction

from trainer.capture.listening import PhraseNote, heard_phrase
from trainer.devices.converter_style import STYLES
from trainer.devices.faults import Faults
from trainer.devices.simulated_player import simulated_take
from trainer.devices.skill import EXACT
from trainer.score.exercise import Exercise
from trainer.theory.technique import Technique
from trainer.theory.tuning import TUNINGS

MS = 1_000_000
SECOND_NS = 1_000_000_000
STANDARD = TUNINGS["standard"]


def note(at_ms: float, place: str, lasts_ms: float = 100, technique: Technique = Technique.PICK) -> PhraseNote:
    """A heard note, its place as `string/fret`; a string 0 is not told."""
    course, fret = (int(number) for number in place.split("/"))
    pitch = fret if course == 0 else STANDARD.open_pitches[course - 1] + fret
    onset_ns = round(at_ms * MS)
    return PhraseNote(onset_ns, onset_ns + round(lasts_ms * MS), course or None, pitch, 90, technique)


def phrase_of(exercise: Exercise, jitter_ms: float = 0, seed: int = 1, style: str = "bend") -> tuple[PhraseNote, ...]:
    """What is heard when a simulated player plays the line after two seconds of count-in."""
    skill = replace(EXACT, timing_sd_ns=round(jitter_ms * MS), velocity_sd=5.0)
    messages = simulated_take(
        exercise, exercise.tempo, 2 * SECOND_NS, skill=skill, faults=Faults(), style=STYLES[style], seed=seed
    )
    return heard_phrase(messages, STYLES[style].profile, exercise.tuning)


def onsets(exercise: Exercise) -> list[Fraction]:
    return [each.onset_quarters for each in exercise.notes]
