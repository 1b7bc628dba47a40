"""The events of a standard MIDI file: from bytes that nobody vouches for to notes with ticks."""

import io
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import mido

from trainer.theory.pitch import pitch_name

if TYPE_CHECKING:
    from mido import AnyMessage, Message, MidiFile

# 4 MB: about a million events; an exercise has a few hundred.
_LARGEST_BYTES = 4 * 1024 * 1024


@dataclass(slots=True)
class Sounding:
    """A note on a channel; `end_tick` is None while it sounds."""

    channel: int
    pitch: int
    onset_tick: int
    end_tick: int | None = None


class MidiFileError(Exception):
    """Why a MIDI file is no exercise."""


def read_midi_file(path: Path) -> "MidiFile":
    """The MIDI file at `path`; `MidiFileError` when it is none, or too large."""
    try:
        with path.open("rb") as opened:
            data = opened.read(_LARGEST_BYTES + 1)
    except OSError as error:
        raise MidiFileError(f"cannot be read ({error.strerror or error})") from error
    if len(data) > _LARGEST_BYTES:
        raise MidiFileError(f"is too large: expected at most {_LARGEST_BYTES // 1024 // 1024} MB")
    if not data.startswith(b"MThd"):
        raise MidiFileError("is not a standard MIDI file: expected MThd at its start")
    try:
        file = mido.MidiFile(file=io.BytesIO(data))
    except (
        Exception
    ) as error:  # mido meets a broken file with anything from EOFError to KeySignatureError to IndexError
        reason = " ".join(str(error).split()) or type(error).__name__
        raise MidiFileError(f"is a broken MIDI file ({reason})") from error
    if file.type not in {0, 1}:
        raise MidiFileError(f"is a MIDI file of format {file.type}: expected format 0 or 1")
    if file.ticks_per_beat < 0:
        raise MidiFileError("counts time in SMPTE frames: expected ticks a quarter")
    if not file.ticks_per_beat:
        raise MidiFileError("has 0 ticks a quarter: expected at least 1")
    return file


def is_onset(message: "AnyMessage") -> bool:
    """Whether a message begins a note."""
    return not message.is_meta and message.type == "note_on" and message.velocity > 0


def timed(file: "MidiFile") -> Iterator[tuple[int, "AnyMessage"]]:
    """Every message of every track with its tick from the start."""
    for track in file.tracks:
        yield from timed_track(track)


def timed_track(track: "Iterable[AnyMessage]") -> Iterator[tuple[int, "AnyMessage"]]:
    """Every message of a track with its tick from the start."""
    tick = 0
    for message in track:
        tick += int(message.time)
        yield tick, message


def notes_a_channel(events: Iterable[tuple[int, "AnyMessage"]]) -> list[Sounding]:
    """The notes in order of their onset, each ended by its note-off or by the next onset on its channel."""
    return _notes(events, lambda message: int(message.channel))


def all_notes(events: Iterable[tuple[int, "AnyMessage"]]) -> list[Sounding]:
    """The notes in order of their onset, several at once as they come, each ended by its own note-off."""
    return _notes(events, lambda message: int(message.note))


def _notes(events: Iterable[tuple[int, "AnyMessage"]], place_of: Callable[["Message"], int]) -> list[Sounding]:
    """The notes in order of their onset; at one place one note sounds at a time."""
    notes: list[Sounding] = []
    open_notes: dict[int, Sounding] = {}
    last_tick = 0
    for tick, message in events:
        last_tick = tick
        if message.is_meta or message.type not in {"note_on", "note_off"}:
            continue
        place = place_of(message)
        before = open_notes.get(place)
        begins = is_onset(message)
        if before is not None and before.onset_tick == tick:
            # An off at the tick of the onset belongs to the note before; two onsets at once are two notes on a string.
            if begins and before.pitch != message.note:
                frets = f"{pitch_name(before.pitch)} and {pitch_name(message.note)}"
                raise MidiFileError(f"tick {tick}: two notes at once on channel {message.channel + 1} ({frets})")
            continue
        if before is not None and (begins or before.pitch == message.note):
            before.end_tick = tick
            del open_notes[place]
        if begins:
            notes.append(Sounding(message.channel + 1, message.note, tick))
            open_notes[place] = notes[-1]
    for note in open_notes.values():
        note.end_tick = last_tick
    return notes
