"""From notes as a MusicXML staff writes them to the notes of a line: ties, places, techniques, grace notes.

Rules, where the format leaves a choice:
- Tied notes are one note.
- String, fret and tuning win over the written pitch: exporters disagree about octaves. A line without
  any places is placed as a whole (`placing.place_line`); a note without one among others that have theirs gets the
  nearest for the hand, on the string that a technique leads it from if it is there.
- A technique belongs to the note that its line stops at, also when it starts on another string (a hammer-on from
  nowhere). A line that only starts goes to the next note of its voice.
- A grace note with a slide into the next note on its string is where that note slides from. Any other grace note is a
  short note just before the beat; at the very start of the line it takes its time from the note that it leads to.
- A note ends where the next one on its string begins.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, groupby, pairwise

from trainer.score.exercise import ScoreNote
from trainer.score.musicxml_file import ScoreFileError
from trainer.score.musicxml_measures import Mark, WrittenNote
from trainer.score.placing import Hand, place_line
from trainer.theory.fretboard import Location
from trainer.theory.pitch import pitch_name
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

# A 32nd: the usual look of a grace note is an eighth or a 16th, played as short as it can be.
GRACE_QUARTERS = Fraction(1, 8)

_NOWHERE = Location(0, 0)


@dataclass(slots=True, eq=False)
class _Event:
    """A note on its way from the page to the line."""

    written: WrittenNote
    onset_quarters: Fraction
    duration_quarters: Fraction
    starts: tuple[Mark, ...]
    location: Location = _NOWHERE
    technique: Technique = Technique.PICK
    source: "_Event | None" = None
    """The note that its technique leads from."""
    target: "_Event | None" = None
    """The note that a technique leads to from here."""
    slide_from: Location | None = None

    @property
    def end_quarters(self) -> Fraction:
        return self.onset_quarters + self.duration_quarters


def score_notes(timed: Iterable[tuple[Fraction, WrittenNote]], tuning: Tuning, last_fret: int) -> tuple[ScoreNote, ...]:
    """The line that written notes make when each is played at its time (quarters); `ScoreFileError` if nobody can."""
    events = [_Event(note, onset, note.duration_quarters, note.starts) for onset, note in timed]
    # The sort is stable: what is written first stays first, and grace notes stay before the note that they lead to.
    events.sort(key=lambda event: event.onset_quarters)
    events = _without_ties(events)
    _set_techniques(events)
    _set_places(events, tuning, last_fret)
    events = _with_slides_folded(events)
    _set_grace_times(events)
    events.sort(key=lambda event: (event.onset_quarters, -event.location.course))
    return tuple(
        ScoreNote(
            onset_quarters=event.onset_quarters,
            duration_quarters=event.duration_quarters,
            location=event.location,
            pitch=tuning.pitch_at(event.location),
            technique=event.technique,
            slide_from=event.slide_from,
            stroke=event.written.stroke,
            finger=event.written.finger,
            accent=event.written.accent,
        )
        for event in _one_at_a_time(events)
    )


def _problem(event: _Event, text: str) -> ScoreFileError:
    return ScoreFileError(f"measure {event.written.measure}: {text}", event.written.line)


def _without_ties(events: Sequence[_Event]) -> list[_Event]:
    """The events with every tied note drawn into the one that it prolongs."""
    kept: list[_Event] = []
    held: list[_Event] = []
    for event in events:
        note = event.written
        held = [other for other in held if other.end_quarters >= event.onset_quarters]
        before = next((other for other in held if note.tied_from and _prolongs(event, other)), None)
        if before is None:
            kept.append(event)
            before = event
        else:
            before.duration_quarters += event.duration_quarters
            before.starts += event.starts
            held.remove(before)
        if note.tied_to:
            held.append(before)
    return kept


def _prolongs(event: _Event, before: _Event) -> bool:
    after, first = event.written, before.written
    has_place = after.course is not None and first.course is not None
    same = (after.course, after.fret) == (first.course, first.fret) if has_place else after.pitch == first.pitch
    return same and event.onset_quarters == before.end_quarters


def _set_techniques(events: Sequence[_Event]) -> None:
    begun: dict[Mark, _Event] = {}
    for event in events:
        # Where several lines stop at one note, the one listed first says how it is begun.
        for mark in reversed(event.written.stops):
            _lead(begun.pop(mark, None), event, mark.technique)
        begun |= dict.fromkeys(event.starts, event)
    for mark, source in begun.items():
        target = next((other for other in events if _follows(other, source)), None)
        is_free = target is not None and target.technique is Technique.PICK
        if target is not None and is_free and (mark.technique is not Technique.SLIDE or _share_string(source, target)):
            _lead(source, target, mark.technique)


def _lead(source: _Event | None, target: _Event, technique: Technique) -> None:
    target.technique, target.source = technique, source
    if source is not None:
        source.target = target


def _follows(event: _Event, source: _Event) -> bool:
    """Whether `event` is later than `source` in its voice (a grace note and its main note have one onset)."""
    is_later = event.onset_quarters > source.onset_quarters or (
        event.onset_quarters == source.onset_quarters and source.written.is_grace and not event.written.is_grace
    )
    return is_later and event.written.voice == source.written.voice


def _share_string(source: _Event, target: _Event) -> bool:
    return source.written.course == target.written.course


def _set_places(events: Sequence[_Event], tuning: Tuning, last_fret: int) -> None:
    hand = Hand(tuning, last_fret)
    octave_slip = _octave_slip(events, tuning)
    for event in events:
        note = event.written
        if note.course is not None and note.course not in tuning.courses:
            raise _problem(event, f"expected a string from 1 to {len(tuning.open_pitches)}, found {note.course}")
        if note.fret is not None and note.fret > last_fret:
            raise _problem(event, f"expected a fret from 0 to {last_fret}, found {note.fret}")
    line = _line_places(events, tuning, last_fret)
    for at, event in enumerate(events):
        note = event.written
        if event in line:
            event.location = line[event]
        elif note.course is not None and note.fret is not None:
            event.location = Location(note.course, note.fret)
        elif note.pitch is None:
            raise _problem(event, "a note has neither a pitch nor a string and fret")
        else:
            event.location = _found_place(events, at, note.pitch + octave_slip, hand)
        hand.rest_at(event.location)
        if (
            event.technique is Technique.SLIDE
            and event.source
            and event.source.location.course != event.location.course
        ):
            strings = f"from string {event.source.location.course} to string {event.location.course}"
            raise _problem(event, f"a slide {strings}: a slide stays on its string")


def _line_places(events: Sequence[_Event], tuning: Tuning, last_fret: int) -> dict[_Event, Location]:
    """Places for a line of which pitches alone are written, as a whole; none for any other."""
    if not all(note.pitch is not None and note.course is note.fret is None for note in (one.written for one in events)):
        return {}
    steps: list[dict[int, list[_Event]]] = []
    """What begins at once, by pitch: two voices may write one note."""
    for together in _steps(events):
        steps.append({})
        for event in together:
            steps[-1].setdefault(event.written.pitch or 0, []).append(event)
    joins: dict[int, list[tuple[int, int]]] = {}
    for at, (before, step) in enumerate(pairwise(steps), start=1):
        source_at = {source: place for place, notes in enumerate(before.values()) for source in notes}
        joins[at] = [
            (source_at[event.source], own)
            for own, notes in enumerate(step.values())
            for event in notes
            if event.source in source_at
        ]
    try:
        shapes = place_line([list(step) for step in steps], tuning, last_fret, joins)
    except ValueError:
        return {}  # whoever places note by note says which one has no room
    return {
        event: place
        for step, shape in zip(steps, shapes, strict=True)
        for notes, place in zip(step.values(), shape, strict=True)
        for event in notes
    }


def _steps(events: Sequence[_Event]) -> Iterator[list[_Event]]:
    """The events that begin at once: at each onset first the grace notes, one chord of them after the other."""
    for _, group in groupby(events, key=lambda event: event.onset_quarters):
        rows: list[list[_Event]] = []
        together = list(group)
        for event in together:
            if event.written.is_grace and event.written.in_chord and rows:
                rows[-1].append(event)
            elif event.written.is_grace:
                rows.append([event])
        yield from rows
        if main := [event for event in together if not event.written.is_grace]:
            yield main


def _octave_slip(events: Sequence[_Event], tuning: Tuning) -> int:
    """By how many semitones the written pitches lie below the sounding ones, where places tell."""
    slips = Counter(
        tuning.open_pitches[note.course - 1] + note.fret - note.pitch
        for note in (event.written for event in events)
        if note.pitch is not None
        and note.fret is not None
        and note.course in tuning.courses
        and note.course is not None
    )
    return next(iter(slips)) if len(slips) == 1 else 0


def _found_place(events: Sequence[_Event], at: int, pitch: int, hand: Hand) -> Location:
    """The place of a note that has none, or has only its string or only its fret."""
    event = events[at]
    note = event.written
    if note.course is not None:
        fret = hand.tuning.fret_of(note.course, pitch)
        if fret is None or fret > hand.last_fret:
            raise _problem(event, f"{pitch_name(pitch)} (MIDI {pitch}) is not on string {note.course}")
        return Location(note.course, fret)
    taken = {
        other.location.course if other.location is not _NOWHERE else other.written.course
        for other in _sounding_with(events, at)
    }
    place = hand.nearest(pitch, {course for course in taken if course}, _joined_courses(event, pitch, hand))
    if place is None:
        neck = f"frets 0 to {hand.last_fret} of {hand.tuning.name}"
        raise _problem(event, f"{pitch_name(pitch)} (MIDI {pitch}) has no free place on {neck}")
    return place


def _joined_courses(event: _Event, pitch: int, hand: Hand) -> set[int]:
    """The strings on which a technique joins `event`, which sounds `pitch`, to the note before or after it."""
    if event.source is not None:
        return {event.source.location.course}
    after = event.target.written if event.target is not None else None
    if after is None:
        return set()
    if after.course is not None:
        return {after.course}
    if after.pitch is None or event.written.pitch is None:
        return set()
    reached = hand.tuning.locations_of(pitch + after.pitch - event.written.pitch, hand.last_fret)
    return {place.course for place in reached}


def _sounding_with(events: Sequence[_Event], at: int) -> list[_Event]:
    """The other notes of the chord that event `at` belongs to; events are sorted by onset."""
    onset, is_grace = events[at].onset_quarters, events[at].written.is_grace
    first = last = at
    while first > 0 and events[first - 1].onset_quarters == onset:
        first -= 1
    while last + 1 < len(events) and events[last + 1].onset_quarters == onset:
        last += 1
    if is_grace:
        return _grace_chord(events, at)
    return [other for other in events[first : last + 1] if other is not events[at] and not other.written.is_grace]


def _grace_chord(events: Sequence[_Event], at: int) -> list[_Event]:
    """The other grace notes of the chord that event `at` belongs to; of a row of grace notes all share one onset."""
    first = at
    while first > 0 and events[first].written.in_chord and events[first - 1].written.is_grace:
        first -= 1
    last = at
    while last + 1 < len(events) and events[last + 1].written.in_chord and events[last + 1].written.is_grace:
        last += 1
    return [other for other in events[first : last + 1] if other is not events[at]]


def _with_slides_folded(events: Sequence[_Event]) -> list[_Event]:
    """The events without the grace notes that another note slides from at once."""
    folded: set[int] = set()
    for event in events:
        source = event.source
        if event.technique is not Technique.SLIDE or source is None or not source.written.is_grace:
            continue
        if source.location != event.location and source.onset_quarters == event.onset_quarters:
            event.slide_from = source.slide_from or source.location
            folded.add(id(source))
    return [event for event in events if id(event) not in folded]


def _set_grace_times(events: Sequence[_Event]) -> None:
    """Give the grace notes that are left a little time before the note that they lead to."""
    pending: list[_Event] = []
    latest = Fraction(0)
    for at, event in enumerate(events):
        if event.written.is_grace:
            pending.append(event)
            continue
        if pending:
            chord = [other for other in events[at:] if _is_chord_mate(other, event)]
            _squeeze_in(pending, event.onset_quarters, latest, chord)
            pending = []
        latest = max(latest, event.onset_quarters)
    if pending:
        end = max(event.end_quarters for event in events)
        _squeeze_in(pending, end, latest, [])


def _is_chord_mate(other: _Event, event: _Event) -> bool:
    return (
        other.onset_quarters == event.onset_quarters
        and other.written.voice == event.written.voice
        and not other.written.is_grace
    )


def _squeeze_in(graces: Sequence[_Event], beat: Fraction, latest: Fraction, chord: Sequence[_Event]) -> None:
    """Put `graces` just before `beat`, after the onset at `latest`; without room there, `chord` begins later."""
    steps = list(accumulate(int(at == 0 or not event.written.in_chord) for at, event in enumerate(graces)))
    most = GRACE_QUARTERS * steps[-1]
    room = beat - latest or min((event.duration_quarters for event in chord), default=2 * most)
    each = min(most, room / 2) / steps[-1]
    if beat == latest:
        beat += each * steps[-1]
        for event in chord:
            event.onset_quarters += each * steps[-1]
            event.duration_quarters -= each * steps[-1]
    for step, event in zip(steps, graces, strict=True):
        event.onset_quarters = beat - each * (steps[-1] + 1 - step)
        event.duration_quarters = each


def _one_at_a_time(events: Sequence[_Event]) -> list[_Event]:
    """The events with each note cut where the next on its string begins; one written by two voices counts once."""
    kept: list[_Event] = []
    sounding: dict[int, _Event] = {}
    for event in events:
        before = sounding.get(event.location.course)
        if before is not None and before.onset_quarters == event.onset_quarters:
            if before.location != event.location:
                frets = f"frets {before.location.fret} and {event.location.fret}"
                raise _problem(event, f"two notes at once on string {event.location.course}, {frets}")
            before.duration_quarters = max(before.duration_quarters, event.duration_quarters)
            if before.technique is Technique.PICK:
                before.technique, before.slide_from = event.technique, event.slide_from
            continue
        if before is not None:
            before.duration_quarters = min(before.duration_quarters, event.onset_quarters - before.onset_quarters)
        kept.append(event)
        sounding[event.location.course] = event
    return kept
