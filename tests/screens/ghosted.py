"""Ghosts at a desk: a pass that was played before, for pictures and tests."""

from trainer.devices.skill import EXACT, Skill
from trainer.run import RunPlan
from trainer.score.library import load_exercise
from trainer.screens.ghosting import Ghosting
from trainer.tablature.figures import pass_summary
from trainer.tablature.ghost import Ghost, GhostChoice
from trainer.tablature.state import state_of

from .desk import Desk


def plan_of(name: str, passes: int = 4) -> RunPlan:
    exercise = load_exercise(name)
    return RunPlan(exercise, exercise.tempo, passes=passes)


def ghost_of(name: str, skill: Skill = EXACT, faults: str = "") -> Ghost:
    """One pass of a line, played through."""
    desk = Desk(skill, faults)
    desk.play(desk.practice(plan_of(name, passes=1)), 60)
    session = desk.runs[0].session
    notes = range(len(session.exercise.notes))
    states = {index: state_of(index, session.exercise, session.ledger, session.onsets) for index in notes}
    as_written = pass_summary(session.exercise, session.ledger, notes).as_written
    return Ghost(states, as_written, float(session.tempo.quarters_per_minute), "2026-11-20T10:00:00")


def ghosting_of(name: str, skill: Skill = EXACT, faults: str = "") -> Ghosting:
    """The best pass of a line is played against."""
    ghost = ghost_of(name, skill, faults)
    return Ghosting(lambda _line, _pace, choice: None if choice is GhostChoice.OFF else ghost, choice=GhostChoice.BEST)
