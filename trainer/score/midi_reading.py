"""Reading an exercise from a standard MIDI file.

Channel k is string k (1 = the highest-pitched); the guitar is in standard tuning, with as many strings as the file uses
(6, 7 or 8). A file carries no technique, so every note is picked. A string sounds one note at a time: a note ends where
the next one on its channel begins. The first tempo and the first time signature count; what differs later is named in
the exercise's text (`about`).
References: Standard MIDI Files 1.0 (formats 0 and 1; times in ticks a quarter).
"""

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import mido

from trainer.score.errors import ExerciseError
from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.limits import DEFAULT_QUARTERS_PER_MINUTE, LAST_FRET, LONGEST_QUARTERS, MOST_NOTES
from trainer.score.meter import Meter
from trainer.score.strings import MOST_STRINGS, guitar_tuning
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.naming import folded
from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import Tuning

if TYPE_CHECKING:
    from mido import AnyMessage, MidiFile

# 4 MB: about a million events; an exercise has a few hundred.
_LARGEST_BYTES = 4 * 1024 * 1024
_US_PER_MINUTE = 60_000_000
_SHORTEST_BEAT_UNIT = 64


@dataclass(slots=True)
class _Sounding:
    """A note on a channel; `end_tick` is None while it sounds."""

    channel: int
    pitch: int
    onset_tick: int
    end_tick: int | None = None


def read_midi_exercise(path: Path) -> Exercise:
    """The exercise in the MIDI file at `path`; `ExerciseError` with one clear line when there is none."""
    try:
        return _exercise(_read_file(path), path)
    except _MidiFileError as error:
        raise ExerciseError(f"{path}: {error}") from error


class _MidiFileError(Exception):
    """Why a MIDI file is no exercise."""


def _read_file(path: Path) -> "MidiFile":
    try:
        with path.open("rb") as opened:
            data = opened.read(_LARGEST_BYTES + 1)
    except OSError as error:
        raise _MidiFileError(f"cannot be read ({error.strerror or error})") from error
    if len(data) > _LARGEST_BYTES:
        raise _MidiFileError(f"is too large: expected at most {_LARGEST_BYTES // 1024 // 1024} MB")
    if not data.startswith(b"MThd"):
        raise _MidiFileError("is not a standard MIDI file: expected MThd at its start")
    try:
        file = mido.MidiFile(file=io.BytesIO(data))
    except (
        Exception
    ) as error:  # mido meets a broken file with anything from EOFError to KeySignatureError to IndexError
        reason = " ".join(str(error).split()) or type(error).__name__
        raise _MidiFileError(f"is a broken MIDI file ({reason})") from error
    if file.type not in {0, 1}:
        raise _MidiFileError(f"is a MIDI file of format {file.type}: expected format 0 or 1")
    if file.ticks_per_beat < 0:
        raise _MidiFileError("counts time in SMPTE frames: expected ticks a quarter")
    if not file.ticks_per_beat:
        raise _MidiFileError("has 0 ticks a quarter: expected at least 1")
    return file


def _exercise(file: "MidiFile", path: Path) -> Exercise:
    events = sorted(_timed(file), key=lambda event: event[0])
    sounding = _notes(events)
    if not sounding:
        raise _MidiFileError("holds no notes to play")
    if len(sounding) > MOST_NOTES:
        raise _MidiFileError(f"holds {len(sounding)} notes: expected at most {MOST_NOTES}")
    if sounding[-1].onset_tick > LONGEST_QUARTERS * file.ticks_per_beat:
        raise _MidiFileError(f"is longer than {LONGEST_QUARTERS} quarters")
    tuning = _tuning(sounding)
    notes = tuple(_score_note(note, tuning, file.ticks_per_beat) for note in sounding)
    metas = [message for _, message in events if message.is_meta]
    tempos = [message.tempo for message in metas if message.type == "set_tempo"]
    meters = [(message.numerator, message.denominator) for message in metas if message.type == "time_signature"]
    meter = _meter(meters)
    end = max(note.onset_quarters + note.duration_quarters for note in notes)
    return Exercise(
        name=folded(path.stem),
        title=_track_name(file) or path.stem,
        tuning=tuning,
        tempo=_tempo(tempos),
        notes=tuple(sorted(notes, key=lambda note: (note.onset_quarters, -note.course))),
        meter=meter,
        # A repeat begins on a bar line: written ends often stop a little short of it.
        length_quarters=max(-(-end // meter.bar_quarters), 1) * meter.bar_quarters,
        about=" ".join(_remarks(tempos, meters)),
        last_fret=LAST_FRET,
    )


def _timed(file: "MidiFile") -> Iterator[tuple[int, "AnyMessage"]]:
    """Every message of every track with its tick from the start."""
    for track in file.tracks:
        tick = 0
        for message in track:
            tick += int(message.time)
            yield tick, message


def _notes(events: Iterable[tuple[int, "AnyMessage"]]) -> list[_Sounding]:
    """The notes in order of their onset, each ended by its note-off or by the next onset on its channel."""
    notes: list[_Sounding] = []
    open_notes: dict[int, _Sounding] = {}
    last_tick = 0
    for tick, message in events:
        last_tick = tick
        if message.is_meta or message.type not in {"note_on", "note_off"}:
            continue
        before = open_notes.get(message.channel)
        is_onset = message.type == "note_on" and message.velocity > 0
        if before is not None and before.onset_tick == tick:
            # An off at the tick of the onset belongs to the note before; two onsets at once are two notes on a string.
            if is_onset and before.pitch != message.note:
                frets = f"{pitch_name(before.pitch)} and {pitch_name(message.note)}"
                raise _MidiFileError(f"tick {tick}: two notes at once on channel {message.channel + 1} ({frets})")
            continue
        if before is not None and (is_onset or before.pitch == message.note):
            before.end_tick = tick
            del open_notes[message.channel]
        if is_onset:
            notes.append(_Sounding(message.channel + 1, message.note, tick))
            open_notes[message.channel] = notes[-1]
    for note in open_notes.values():
        note.end_tick = last_tick
    return notes


def _tuning(notes: Iterable[_Sounding]) -> Tuning:
    highest = max(notes, key=lambda note: note.channel)
    if highest.channel > MOST_STRINGS:
        expected = f"expected channel 1 to {MOST_STRINGS}, one for each string"
        raise _MidiFileError(f"tick {highest.onset_tick}: a note on channel {highest.channel}; {expected}")
    return guitar_tuning(highest.channel)


def _score_note(note: _Sounding, tuning: Tuning, ticks_per_quarter: int) -> ScoreNote:
    fret = note.pitch - tuning.open_pitches[note.channel - 1]
    if not 0 <= fret <= LAST_FRET:
        where = f"quarter {float(Fraction(note.onset_tick, ticks_per_quarter)):g}, string {note.channel}"
        found = f"{pitch_name(note.pitch)} (MIDI {note.pitch}) is fret {fret}"
        raise _MidiFileError(f"{where}: {found}; expected a fret from 0 to {LAST_FRET}")
    end_tick = note.onset_tick if note.end_tick is None else note.end_tick
    end_tick = min(end_tick, LONGEST_QUARTERS * ticks_per_quarter)
    return ScoreNote(
        onset_quarters=Fraction(note.onset_tick, ticks_per_quarter),
        duration_quarters=Fraction(end_tick - note.onset_tick, ticks_per_quarter),
        location=Location(note.channel, fret),
        pitch=note.pitch,
    )


def _tempo(tempos: list[int]) -> Tempo:
    if not tempos:
        return Tempo(DEFAULT_QUARTERS_PER_MINUTE)
    if not tempos[0]:
        raise _MidiFileError("sets a tempo of 0 µs a quarter")
    try:
        return Tempo(Fraction(_US_PER_MINUTE, tempos[0]))
    except ValueError as error:
        raise _MidiFileError(str(error)) from error


def _meter(meters: list[tuple[int, int]]) -> Meter:
    beats, unit = meters[0] if meters else (4, 4)
    if not beats or unit > _SHORTEST_BEAT_UNIT:
        raise _MidiFileError(f"has a time signature of {beats}/{unit}: expected 1/1 to 255/{_SHORTEST_BEAT_UNIT}")
    return Meter(beats, unit)


def _track_name(file: "MidiFile") -> str:
    """The first track's name, which is the piece's (Standard MIDI Files 1.0, meta event 3), in printable characters."""
    names = (
        message.name
        for track in file.tracks[:1]
        for message in track
        if message.is_meta and message.type == "track_name"
    )
    return " ".join("".join(sign if sign.isprintable() else " " for sign in next(names, "")).split())


def _remarks(tempos: list[int], meters: list[tuple[int, int]]) -> Iterator[str]:
    """What the file says and a line at one steady tempo in one meter does not."""
    if len(set(tempos)) > 1:
        yield "The file changes its tempo; here the whole line is at the first one."
    if len(set(meters)) > 1:
        yield "The file changes its time signature; bars here are as at first."
