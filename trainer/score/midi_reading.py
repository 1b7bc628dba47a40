"""Reading an exercise from a standard MIDI file.

Strings: where notes lie on several channels, channel k is string k (1 = the highest-pitched). Where all are on one
channel they are taken as its string if they fit there one after the other; else strings are chosen by least hand
movement (`placing.place_line`). The tuning is what our own files say of it, else a guitar's with as many strings as are
used. Where tracks are instruments, so that no guitar could play all of them, the first is read; `part` chooses another.
A file carries no technique, so every note is picked. A string sounds one note at a time: a note ends where the next one
on it begins. The first tempo and the first time signature count.
References: Standard MIDI Files 1.0 (formats 0 and 1; times in ticks a quarter); General MIDI 1 (drums on channel 10).
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.grid_walk import TICKS
from trainer.score.limits import DEFAULT_QUARTERS_PER_MINUTE, LAST_FRET, LONGEST_QUARTERS, MOST_NOTES
from trainer.score.meter import Meter
from trainer.score.midi_events import (
    MidiFileError,
    Sounding,
    all_notes,
    is_onset,
    notes_a_channel,
    read_midi_file,
    timed,
    timed_track,
)
from trainer.score.placing import place_line
from trainer.score.reading import Reading
from trainer.score.strings import MOST_STRINGS, guitar_tuning, tuning_of
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.naming import UnknownWord, counted, folded
from trainer.theory.pitch import pitch_name, pitch_named
from trainer.theory.tuning import TUNINGS, Tuning

if TYPE_CHECKING:
    from mido import AnyMessage, MidiFile

_US_PER_MINUTE = 60_000_000
_SHORTEST_BEAT_UNIT = 64
_DRUMS = 10
_INSTRUMENTS = ("standard", "seven-string", "eight-string", "bass", "five-string-bass")
_OPEN_STRINGS = re.compile(r"open strings, string 1 last: ([A-G#b0-9 -]{2,80})$")
_HIGHEST_OPEN = 100


def read_midi_exercise(path: Path) -> Exercise:
    """The exercise in the MIDI file at `path`; `ExerciseError` with one clear line when there is none."""
    return read_midi(path).exercise


def read_midi(path: Path, part: str = "") -> Reading:
    """The same with what there is to say about it; `part` is the number (from 1) or the name of a track with notes."""
    try:
        return _reading(read_midi_file(path), path, part)
    except MidiFileError as error:
        raise ExerciseError(f"{path}: {error}") from error


@dataclass(frozen=True, slots=True)
class _Part:
    """A track with notes, or all of them together."""

    name: str
    events: tuple[tuple[int, "AnyMessage"], ...]

    @property
    def channels(self) -> tuple[int, ...]:
        return tuple(sorted({message.channel + 1 for _, message in self.events if is_onset(message)}))


def _reading(file: "MidiFile", path: Path, part: str) -> Reading:
    tracks = _parts(file)
    remarks = ["A MIDI file carries no techniques: every note is picked."]
    metas = sorted(((tick, message) for tick, message in timed(file) if message.is_meta), key=lambda each: each[0])
    tuning = _tuning_told(message for _, message in metas)
    chosen = _named_part(tracks, part) if part else None
    whole = _Part("", tuple(sorted((event for track in tracks for event in track.events), key=lambda each: each[0])))
    if chosen is None:
        chosen, notes, tuning = _placed_whole(whole, tracks, tuning, file.ticks_per_beat, remarks)
    else:
        notes, tuning = _placed(chosen, tuning, file.ticks_per_beat, remarks)
    remarks += _others(tracks, chosen, whole)
    tempos = [message.tempo for _, message in metas if message.type == "set_tempo"]
    meters = [(message.numerator, message.denominator) for _, message in metas if message.type == "time_signature"]
    meter = _meter(meters)
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    about = list(_remarks(tempos, meters))
    exercise = Exercise(
        name=folded(path.stem),
        title=_track_name(file) or path.stem,
        tuning=tuning,
        tempo=_tempo(tempos),
        notes=tuple(sorted(notes, key=lambda note: (note.onset_quarters, -note.course))),
        meter=meter,
        # A repeat begins on a bar line: written ends often stop a little short of it.
        length_quarters=max(-(-end // meter.bar_quarters), 1) * meter.bar_quarters,
        about=" ".join(about),
        last_fret=LAST_FRET,
    )
    return Reading(exercise, (*remarks, *about, *_off_the_grid(exercise), *_unused(chosen)))


def _parts(file: "MidiFile") -> list[_Part]:
    """The tracks that hold notes."""
    parts = []
    for track in file.tracks:
        names = [message.name for message in track if message.is_meta and message.type == "track_name"]
        events = tuple((tick, message) for tick, message in timed_track(track) if not message.is_meta)
        if any(is_onset(message) for _, message in events):
            parts.append(_Part(_printable(names[0]) if names else "", events))
    if not parts:
        raise MidiFileError("holds no notes to play")
    return parts


def _named_part(parts: Sequence[_Part], asked: str) -> _Part:
    if asked.isdecimal() and 1 <= int(asked[:6]) <= len(parts):
        return parts[int(asked) - 1]
    for part in parts:
        if part.name and folded(part.name) == folded(asked):
            return part
    there = ", ".join(f"{number} {part.name!r}" for number, part in enumerate(parts, start=1))
    raise MidiFileError(f"has no part {asked[:40]!r}; the tracks with notes are {there[:400]}")


def _placed_whole(
    whole: _Part, tracks: Sequence[_Part], tuning: Tuning | None, ticks: int, remarks: list[str]
) -> tuple[_Part, tuple[ScoreNote, ...], Tuning]:
    """All tracks as one guitar or, where they are instruments of one channel each, the first that is no drum kit."""
    try:
        notes, found = _placed(whole, tuning, ticks, remarks)
    except MidiFileError:
        instruments = [track for track in tracks if track.channels != (_DRUMS,)]
        if len(tracks) < 2 or not instruments or any(len(track.channels) > 1 for track in tracks):
            raise
        notes, found = _placed(instruments[0], tuning, ticks, remarks)
        return instruments[0], notes, found
    return whole, notes, found


def _placed(part: _Part, tuning: Tuning | None, ticks: int, remarks: list[str]) -> tuple[tuple[ScoreNote, ...], Tuning]:
    """The notes of a part with strings and frets."""
    if len(part.channels) > 1:
        return _by_channel(part, tuning, ticks)
    (channel,) = part.channels
    try:
        placed = _by_channel(part, tuning, ticks)
    except MidiFileError as error:
        placed = _by_search(part, tuning, ticks, error)
        remarks.append(f"All notes are on channel {channel}; strings were chosen by least hand movement.")
    else:
        remarks.append(f"All notes are on channel {channel} and fit string {channel}, which was taken.")
    return placed


def _by_channel(part: _Part, tuning: Tuning | None, ticks: int) -> tuple[tuple[ScoreNote, ...], Tuning]:
    sounding = _checked(notes_a_channel(part.events), ticks)
    found = _tuning(sounding)
    tuning = tuning if tuning is not None and len(tuning.open_pitches) >= _highest(sounding).channel else found
    return tuple(_score_note(note, tuning, ticks) for note in sounding), tuning


def _checked(sounding: "list[Sounding]", ticks: int) -> "list[Sounding]":
    if not sounding:
        raise MidiFileError("holds no notes to play")
    if len(sounding) > MOST_NOTES:
        raise MidiFileError(f"holds {len(sounding)} notes: expected at most {MOST_NOTES}")
    if sounding[-1].onset_tick > LONGEST_QUARTERS * ticks:
        raise MidiFileError(f"is longer than {LONGEST_QUARTERS} quarters")
    return sounding


def _by_search(
    part: _Part, tuning: Tuning | None, ticks: int, not_by_channel: "MidiFileError"
) -> tuple[tuple[ScoreNote, ...], Tuning]:
    """The notes of one channel on the strings of the first instrument that has room for all of them."""
    chords = _chords(_checked(all_notes(part.events), ticks))
    instruments = [tuning] if tuning is not None else [TUNINGS[name] for name in _INSTRUMENTS]
    for instrument in instruments:
        try:
            line = place_line([[note.pitch for note in chord] for chord in chords], instrument, LAST_FRET)
        except ValueError:
            continue
        pairs = [
            (note, place)
            for chord, shape in zip(chords, line, strict=True)
            for note, place in zip(chord, shape, strict=True)
        ]
        _cut(pairs)
        return tuple(_note_at(note, place, instrument, ticks) for note, place in pairs), instrument
    raise MidiFileError(f"{not_by_channel}; nor is there a place for every note on one neck")


def _chords(sounding: "list[Sounding]") -> "list[list[Sounding]]":
    return [list(chord) for _, chord in groupby(sounding, key=lambda note: note.onset_tick)]


def _cut(pairs: "list[tuple[Sounding, Location]]") -> None:
    """End each note where the next on its string begins."""
    before: dict[int, Sounding] = {}
    for note, place in pairs:
        held = before.get(place.course)
        if held is not None and held.end_tick is not None:
            held.end_tick = min(held.end_tick, note.onset_tick)
        before[place.course] = note


def _others(tracks: Sequence[_Part], chosen: _Part, whole: _Part) -> Iterator[str]:
    """What is in the file besides the part that was read."""
    if chosen is whole or len(tracks) == 1:
        return
    rest = [f"{n} {track.name!r}" for n, track in enumerate(tracks, start=1) if track is not chosen]
    number = next(n for n, track in enumerate(tracks, start=1) if track is chosen)
    yield f"Track {number} {chosen.name!r} was read; --part chooses another: {', '.join(rest)[:400]}."


def _off_the_grid(exercise: Exercise) -> Iterator[str]:
    """Whether the onsets look played rather than written."""
    onsets = {note.onset_quarters / exercise.meter.beat_quarters for note in exercise.notes}
    off = sum((onset * TICKS).denominator > 1 for onset in onsets)
    if off:
        yield (
            f"{off} of {counted(len(onsets), 'onset')} lie on no division of a beat into 1 to 8: "
            "`boxwalk capture --from` finds the grid of a file that was played."
        )


def _unused(part: _Part) -> Iterator[str]:
    names = {"pitchwheel": "pitch bend", "polytouch": "key pressure", "aftertouch": "channel pressure"}
    counts = Counter(message.type for _, message in part.events)
    for kind, name in names.items():
        if counts[kind]:
            yield f"{counted(counts[kind], name)} left out: a line holds no bends."


def _tuning_told(metas: "Iterable[AnyMessage]") -> Tuning | None:
    """The open strings that a file of ours names in a text."""
    for message in metas:
        if message.is_meta and message.type == "text" and (match := _OPEN_STRINGS.match(message.text)):
            try:
                pitches = tuple(pitch_named(name) for name in reversed(match[1].split()))
            except UnknownWord:
                continue
            if 1 <= len(pitches) <= MOST_STRINGS and all(0 <= pitch <= _HIGHEST_OPEN for pitch in pitches):
                return tuning_of(pitches)
    return None


def _highest(notes: Iterable[Sounding]) -> Sounding:
    return max(notes, key=lambda note: note.channel)


def _tuning(notes: Iterable[Sounding]) -> Tuning:
    highest = _highest(notes)
    if highest.channel > MOST_STRINGS:
        expected = f"expected channel 1 to {MOST_STRINGS}, one for each string"
        raise MidiFileError(f"tick {highest.onset_tick}: a note on channel {highest.channel}; {expected}")
    return guitar_tuning(highest.channel)


def _score_note(note: Sounding, tuning: Tuning, ticks_per_quarter: int) -> ScoreNote:
    fret = note.pitch - tuning.open_pitches[note.channel - 1]
    if not 0 <= fret <= LAST_FRET:
        where = f"quarter {float(Fraction(note.onset_tick, ticks_per_quarter)):g}, string {note.channel}"
        found = f"{pitch_name(note.pitch)} (MIDI {note.pitch}) is fret {fret}"
        raise MidiFileError(f"{where}: {found}; expected a fret from 0 to {LAST_FRET}")
    return _note_at(note, Location(note.channel, fret), tuning, ticks_per_quarter)


def _note_at(note: Sounding, location: Location, tuning: Tuning, ticks_per_quarter: int) -> ScoreNote:
    end_tick = note.onset_tick if note.end_tick is None else note.end_tick
    end_tick = min(end_tick, LONGEST_QUARTERS * ticks_per_quarter)
    return ScoreNote(
        onset_quarters=Fraction(note.onset_tick, ticks_per_quarter),
        duration_quarters=Fraction(end_tick - note.onset_tick, ticks_per_quarter),
        location=location,
        pitch=tuning.pitch_at(location),
    )


def _tempo(tempos: list[int]) -> Tempo:
    if not tempos:
        return Tempo(DEFAULT_QUARTERS_PER_MINUTE)
    if not tempos[0]:
        raise MidiFileError("sets a tempo of 0 µs a quarter")
    try:
        return Tempo(Fraction(_US_PER_MINUTE, tempos[0]))
    except ValueError as error:
        raise MidiFileError(str(error)) from error


def _meter(meters: list[tuple[int, int]]) -> Meter:
    beats, unit = meters[0] if meters else (4, 4)
    if not beats or unit > _SHORTEST_BEAT_UNIT:
        raise MidiFileError(f"has a time signature of {beats}/{unit}: expected 1/1 to 255/{_SHORTEST_BEAT_UNIT}")
    return Meter(beats, unit)


def _track_name(file: "MidiFile") -> str:
    """The first track's name, which is the piece's (Standard MIDI Files 1.0, meta event 3), in printable characters."""
    names = (
        message.name
        for track in file.tracks[:1]
        for message in track
        if message.is_meta and message.type == "track_name"
    )
    return _printable(next(names, ""))


def _printable(text: str) -> str:
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def _remarks(tempos: list[int], meters: list[tuple[int, int]]) -> Iterator[str]:
    """What the file says and a line at one steady tempo in one meter does not."""
    if len(set(tempos)) > 1:
        yield "The file changes its tempo; here the whole line is at the first one."
    if len(set(meters)) > 1:
        yield "The file changes its time signature; bars here are as at first."
