"""Short builders that tests of several packages share."""

import random
from dataclasses import replace
from fractions import Fraction

from trainer.devices.converter import convert
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.devices.faults import faults_from_text
from trainer.devices.performer import perform
from trainer.devices.skill import EXACT, Skill
from trainer.following.verdict import Pace
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.session import Session

SECOND_NS = 1_000_000_000


def line(name: str = "two-gates", tempo: int = 120) -> Exercise:
    """A shipped line at a round tempo."""
    return replace(load_exercise(name), tempo=Tempo(Fraction(tempo)))


def played(
    exercise: Exercise,
    faults: str = "",
    *,
    starts_at_ns: int = 2 * SECOND_NS,
    style: ConverterStyle = STYLES["bend"],
    skill: Skill = EXACT,
    seed: int = 1,
) -> tuple[StampedMessage, ...]:
    """The messages of a simulated take with planted faults."""
    gestures = perform(
        exercise, exercise.tempo, starts_at_ns, skill, faults_from_text(faults), random.Random(f"hands {seed}")
    )
    return convert(gestures, exercise.tuning, style, random.Random(f"converter {seed}"))


def session_of(
    exercise: Exercise,
    *,
    pace: Pace = Pace.CLICK,
    starts_at_ns: int = 2 * SECOND_NS,
    style: ConverterStyle = STYLES["bend"],
) -> Session:
    """A session that listens to such a take."""
    return Session(exercise, pace=pace, tempo=exercise.tempo, starts_at_ns=starts_at_ns, profile=style.profile)
