"""The compiler: a recipe becomes an exercise, note by note, or is refused with the reason.

It walks the route, plays the cell of each position, lays the rhythm over the onsets, and then decides how each note is
begun, with which stroke and finger. What no hand can play is refused: a place off the neck, two notes of one string at
once, a hammer-on or pull-off without a lower or higher note before it on the same string, a slide across strings or
from an open string.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import cycle

from trainer.score.articulation import ShiftKind, fingers_of
from trainer.score.attacks import Onset, Shift, attacks_of
from trainer.score.cells import Step
from trainer.score.errors import Unplayable
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.recipe import Recipe
from trainer.score.rhythm import figure_of
from trainer.score.route import Ladder, Stop, walk
from trainer.theory.fretboard import Location
from trainer.theory.positions import Positions
from trainer.theory.technique import Stroke, Technique

# Longer than any line that fits a lesson; a bound, so that a slip in a recipe is answered at once.
MOST_ONSETS = 4096


def compose(recipe: Recipe, name: str) -> Exercise:
    """The exercise that a recipe describes; `Unplayable` with the reason and the field that is to blame."""
    notes = _with_kept_fingers(tuple(_notes(recipe, _onsets(recipe, _Neck.of(recipe)))))
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    bar = recipe.meter.bar_quarters
    return Exercise(
        name=name,
        title=recipe.title or name.replace("-", " ").capitalize(),
        tuning=recipe.tuning,
        tempo=recipe.pace,
        notes=notes,
        meter=recipe.meter,
        length_quarters=-(-end // bar) * bar,
        key=recipe.key.name,
        about=" ".join(recipe.about.split()),
        last_fret=recipe.last_fret,
        tags=recipe.tags,
    )


@dataclass(frozen=True, slots=True)
class _Neck:
    """The positions of a recipe on the strings that it uses."""

    positions: Positions
    courses: tuple[int, ...]
    """Lowest-pitched first."""

    @classmethod
    def of(cls, recipe: Recipe) -> "_Neck":
        for course in recipe.strings:
            if course not in recipe.tuning.courses:
                last = len(recipe.tuning.courses)
                raise Unplayable(
                    f"there is no string {course}: {recipe.tuning.name} has strings 1 to {last}", "strings"
                )
        notes_a_string = recipe.notes_a_string or recipe.key.scale.notes_a_string
        positions = Positions(recipe.key, recipe.tuning, notes_a_string, recipe.last_fret)
        return cls(positions, tuple(positions.rising(recipe.strings or recipe.tuning.courses)))

    @property
    def step_count(self) -> int:
        """How many steps a position has on these strings."""
        return self.positions.notes_a_string * len(self.courses)

    def place(self, rung: int, step: int, *, lowered: int = 0) -> Location:
        """Where a step of the form on a rung lies, or the scale note `lowered` notes below it on the same string.

        Steps below 1 and past the last are borrowed from other forms; the fret may lie off the neck.
        """
        a_string = self.positions.notes_a_string
        string = min(max((step - 1) // a_string, 0), len(self.courses) - 1)
        return self.positions.location(rung, self.courses[string], step - 1 - string * a_string - lowered)

    def ladder(self, steps: Sequence[int]) -> Ladder:
        """The rungs on which all `steps` lie on the neck."""

        def why_not(rung: int) -> str:
            for place in (self.place(rung, step) for step in steps):
                if place.fret > (last := self.positions.last_fret):
                    return f"it needs fret {place.fret} of string {place.course}, and the last is {last}"
                if place.fret < 0:
                    return f"on string {place.course} it lies behind the nut"
            return "the route may not go there"

        rungs = tuple(
            rung
            for rung in self.positions.rungs(self.courses)
            if all(self.positions.is_on_neck(self.place(rung, step)) for step in steps)
        )
        return Ladder(rungs, self.positions.count, why_not)


def _onsets(recipe: Recipe, neck: _Neck) -> Iterator[Onset]:
    """What begins when and where, in order."""
    cells = [cell.groups(neck.step_count) for cell in recipe.cell]
    steps = sorted({number for cell in cells for group in cell for step in group for number in step.numbers})
    clock = _clock(recipe)
    before: Stop | None = None
    group_ordinal = onset_ordinal = 0
    for stop, groups in zip(walk(recipe.route, neck.ladder(steps)), cycle(cells)):
        for group in groups:
            for place, step in enumerate(group):
                onset_quarters, duration_quarters = next(clock)
                yield Onset(
                    locations=_distinct_strings(tuple(neck.place(stop.rung, number) for number in step.numbers)),
                    asked=step.technique,
                    position=neck.positions.number_of(stop.rung),
                    group=group_ordinal,
                    place_in_group=place,
                    shift=_shift(recipe, neck, step, before, stop),
                    onset_quarters=onset_quarters,
                    duration_quarters=duration_quarters,
                )
                before = stop
                onset_ordinal += 1
                if onset_ordinal > MOST_ONSETS:
                    raise Unplayable(f"the line has more than {MOST_ONSETS} notes", "route")
            group_ordinal += 1


def _clock(recipe: Recipe) -> Iterator[tuple[Fraction, Fraction]]:
    """Onset and duration of one sounding value of the rhythm after the other."""
    figure = figure_of(recipe.rhythm, recipe.meter.beat_quarters)
    now = Fraction(0)
    for duration, is_rest in cycle(zip(figure.durations_quarters, figure.rests, strict=True)):
        if not is_rest:
            yield now, duration
        now += duration


def _shift(recipe: Recipe, neck: _Neck, step: Step, before: Stop | None, stop: Stop) -> Shift | None:
    if before is None or before.rung == stop.rung:
        return None
    return Shift(
        # A hand that goes on an octave away leaps: that is no slide.
        ShiftKind.PICKED if stop.has_wrapped else recipe.shifts,
        same_step=tuple(neck.place(before.rung, number) for number in step.numbers),
        below=tuple(neck.place(stop.rung, number, lowered=1) for number in step.numbers),
    )


def _distinct_strings(locations: tuple[Location, ...]) -> tuple[Location, ...]:
    for ordinal, location in enumerate(locations):
        for other in locations[:ordinal]:
            if other.course == location.course:
                raise Unplayable(
                    f"frets {other.fret} and {location.fret} of string {location.course} would sound at once: "
                    "a string has one note at a time",
                    "cell",
                )
    return tuple(sorted(locations))


def _notes(recipe: Recipe, onsets: Iterator[Onset]) -> Iterator[ScoreNote]:
    """The written notes: each onset with its technique, stroke, finger and accent."""
    stroke = recipe.first_stroke
    previous: Onset | None = None
    laid_out = list(onsets)
    fingers = _fingers(laid_out)
    for ordinal, onset in enumerate(laid_out):
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
                finger=fingers[ordinal].get(location),
                accent=recipe.accents.falls_on(onset.place_in_group, ordinal, is_on_beat=is_on_beat),
                group=onset.group,
                position=onset.position,
            )
        if any(attack.uses_pick for attack in attacks):
            stroke = Stroke.UP if stroke is Stroke.DOWN else Stroke.DOWN
        previous = onset


def _fingers(onsets: Sequence[Onset]) -> list[dict[Location, int]]:
    """For each onset the fingers of the hand that plays it: a hand stays until it shifts."""
    hands: list[list[Onset]] = []
    for onset in onsets:
        if not hands or onset.shift is not None:
            hands.append([])
        hands[-1].append(onset)
    fingers: list[dict[Location, int]] = []
    for hand in hands:
        held = fingers_of(location for onset in hand for location in onset.locations)
        fingers += [held] * len(hand)
    return fingers


def _with_kept_fingers(notes: tuple[ScoreNote, ...]) -> tuple[ScoreNote, ...]:
    """The same notes with one finger at both ends of every slide: the higher-numbered, which can always reach."""
    kept = list(notes)
    last_on: dict[int, int] = {}
    for index, note in enumerate(kept):
        if note.technique is Technique.SLIDE and note.slide_from is None:
            before = last_on[note.course]
            finger = max(note.finger or 1, kept[before].finger or 1)
            kept[before] = replace(kept[before], finger=finger)
            kept[index] = replace(note, finger=finger)
        last_on[note.course] = index
    return tuple(kept)
