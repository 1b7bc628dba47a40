"""The compiler: a recipe becomes an exercise, note by note, or is refused with the reason.

It walks the route, plays the cell of each position, lays the rhythm over the onsets, and then decides how each note is
begun, with which stroke and finger. What no hand can play is refused: a place off the neck, two notes of one string at
once, a hammer-on or pull-off without a lower or higher note before it on the same string, a slide across strings or
from an open string, and, where the recipe says whose hand it is for, what that hand does not reach.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import cycle

from trainer.score.articulation import ShiftKind
from trainer.score.attacks import Onset, Shift, attacks_of
from trainer.score.cells import Ground, Step, steps_needed
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.neck import Neck, neck_of
from trainer.score.playability import strains_of, with_fingers
from trainer.score.recipe import Order, Recipe
from trainer.score.rhythm import figure_of
from trainer.score.route import Stop, walk
from trainer.theory.fretboard import Location
from trainer.theory.technique import Stroke, Technique

# Longer than any line that fits a lesson; a bound, so that a slip in a recipe is answered at once.
MOST_ONSETS = 4096


def compose(recipe: Recipe, name: str) -> Exercise:
    """The exercise that a recipe describes; `Unplayable` with the reason and the field that is to blame."""
    notes = tuple(_notes(recipe, list(_onsets(recipe, _moments(recipe)))))
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    bar = recipe.meter.bar_quarters
    exercise = Exercise(
        name=name,
        title=recipe.title or name.replace("-", " ").capitalize(),
        tuning=recipe.tuning,
        tempo=recipe.pace,
        notes=with_fingers(notes, recipe.hand),
        meter=recipe.meter,
        length_quarters=-(-end // bar) * bar,
        key=recipe.key.name,
        about=recipe.about,
        last_fret=recipe.last_fret,
        tags=recipe.tags,
        family=recipe.family,
    )
    if recipe.hand is not None and (strains := strains_of(exercise, recipe.hand)):
        raise Unplayable(strains[0].told, "hand")
    return exercise


@dataclass(frozen=True, slots=True)
class _Moment:
    """One step of a cell in its position, before it is known when it comes."""

    step: Step
    neck: Neck
    """The strings that it is played on."""
    stop: Stop
    """The stay of the hand that it belongs to."""
    group: int
    values: int = 1
    """How many values of the rhythm it lasts: more than one, where it is tied."""


def _moments(recipe: Recipe) -> list[_Moment]:
    """What is played, in the order in which it is played."""
    neck = neck_of(recipe)
    moments: list[_Moment] = []
    group_ordinal = 0
    for visit, stop in enumerate(walk(recipe.route, neck.ladder(_steps_needed(recipe, neck)))):
        here = neck.part(visit)
        cell = recipe.cell[visit % len(recipe.cell)]
        for group in cell.groups(_ground(here, stop.rung, visit // len(recipe.cell))):
            for step in group:
                if step.is_tie and moments and moments[-1].step.numbers:
                    moments[-1] = replace(moments[-1], values=moments[-1].values + 1)
                else:
                    moments.append(_Moment(step, here, stop, group_ordinal))
            group_ordinal += 1
        if len(moments) > MOST_ONSETS:
            raise Unplayable(f"the line has more than {MOST_ONSETS} notes", "route")
    return _backwards(moments) if recipe.order is Order.BACKWARD else moments


def _ground(neck: Neck, rung: int = 0, turn: int = 0) -> Ground:
    positions = neck.positions
    return Ground(
        strings=len(neck.courses),
        notes_a_string=positions.notes_a_string,
        first_degree=neck.degree_of(rung),
        scale_size=positions.count,
        turn=turn,
    )


def _steps_needed(recipe: Recipe, neck: Neck) -> list[int]:
    """The steps that have to lie on the neck wherever the route goes."""
    ground = _ground(neck.part(0))
    return sorted({number for cell in recipe.cell for number in steps_needed(cell, ground)})


_SEEN_FROM_BEHIND = {
    Technique.HAMMER: Technique.PULL,
    Technique.PULL: Technique.HAMMER,
    Technique.SLIDE: Technique.SLIDE,
}


def _backwards(moments: list[_Moment]) -> list[_Moment]:
    """The same moments from the last to the first: what was hammered on is pulled off, from the other end."""
    last_group = moments[-1].group
    asked = [None, *(moment.step.technique for moment in reversed(moments))]
    return [
        replace(
            moment,
            step=replace(moment.step, technique=technique and _SEEN_FROM_BEHIND.get(technique)),
            group=last_group - moment.group,
        )
        for moment, technique in zip(reversed(moments), asked, strict=False)
    ]


def _onsets(recipe: Recipe, moments: Sequence[_Moment]) -> Iterator[Onset]:
    """What begins when and where, in order."""
    clock = _clock(recipe)
    before: _Moment | None = None
    place_in_group = 0
    for moment in moments:
        begin, end = _span(clock, moment.values)
        if not moment.step.numbers:
            continue
        locations = tuple(moment.neck.place(moment.stop.rung, number) for number in _numbers(moment))
        place_in_group = 0 if before is None or before.group != moment.group else place_in_group + 1
        yield Onset(
            locations=_on_distinct_strings(locations),
            asked=moment.step.technique,
            position=moment.neck.positions.number_of(moment.stop.rung),
            group=moment.group,
            place_in_group=place_in_group,
            shift=_shift(recipe, before, moment),
            onset_quarters=begin,
            duration_quarters=end - begin,
        )
        before = moment


def _clock(recipe: Recipe) -> Iterator[tuple[Fraction, Fraction]]:
    """Begin and end of one sounding value of the rhythm after the other."""
    if recipe.start >= recipe.meter.bar_quarters:
        raise Unplayable("the line begins within the first bar: expected less than a bar of silence", "start")
    figure = figure_of(recipe.rhythm, recipe.meter.beat_quarters)
    now = recipe.start
    for duration, is_rest in cycle(zip(figure.durations_quarters, figure.rests, strict=True)):
        if not is_rest:
            yield now, now + duration
        now += duration


def _span(clock: Iterator[tuple[Fraction, Fraction]], values: int) -> tuple[Fraction, Fraction]:
    """Begin and end of a note of so many values; a tie over a rest sounds on through it."""
    begin, end = next(clock)
    for _ in range(values - 1):
        _, end = next(clock)
    return begin, end


def _shift(recipe: Recipe, before: _Moment | None, moment: _Moment) -> Shift | None:
    if before is None or (before.stop.rung == moment.stop.rung and before.neck == moment.neck):
        return None
    neck, numbers = moment.neck, _numbers(moment)
    # A hand that goes on an octave away leaps: that is no slide; nor is what goes to other strings.
    leaps = before.stop.has_wrapped if recipe.order is Order.BACKWARD else moment.stop.has_wrapped
    is_slid = not leaps and before.neck == neck
    return Shift(
        recipe.shifts if is_slid else ShiftKind.PICKED,
        same_step=tuple(neck.place(before.stop.rung, number) for number in numbers),
        below=tuple(neck.place(moment.stop.rung, number, lowered=1) for number in numbers),
    )


def _numbers(moment: _Moment) -> list[int]:
    """The steps that sound together, the highest string first."""
    return sorted(moment.step.numbers, key=lambda number: moment.neck.place(moment.stop.rung, number))


def _on_distinct_strings(locations: tuple[Location, ...]) -> tuple[Location, ...]:
    for ordinal, location in enumerate(locations):
        for other in locations[:ordinal]:
            if other.course == location.course:
                raise Unplayable(
                    f"frets {other.fret} and {location.fret} of string {location.course} would sound at once: "
                    "a string has one note at a time",
                    "cell",
                )
    return locations


def _notes(recipe: Recipe, onsets: Sequence[Onset]) -> Iterator[ScoreNote]:
    """The written notes: each onset with its technique, stroke and accent."""
    stroke = recipe.first_stroke
    previous: Onset | None = None
    for ordinal, onset in enumerate(onsets):
        attacks = attacks_of(onset, previous, recipe.articulation)
        is_on_beat = onset.onset_quarters % recipe.meter.beat_quarters == 0
        for location, attack in zip(onset.locations, attacks, strict=True):
            yield ScoreNote(
                onset_quarters=onset.onset_quarters,
                duration_quarters=onset.duration_quarters,
                location=location,
                pitch=recipe.tuning.pitch_at(location),
                technique=attack.technique,
                slide_from=attack.slide_from,
                stroke=stroke if attack.uses_pick else None,
                accent=recipe.accents.falls_on(onset.place_in_group, ordinal, is_on_beat=is_on_beat),
                group=onset.group,
                position=onset.position,
            )
        if any(attack.uses_pick for attack in attacks):
            stroke = Stroke.UP if stroke is Stroke.DOWN else Stroke.DOWN
        previous = onset
