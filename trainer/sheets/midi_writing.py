"""A line as a standard MIDI file: format 1, channel k is string k, tempo and bars in the first track.

Each new position of the hand is a marker. A MIDI file has no hammer-ons, pull-offs, slides, strokes or fingers: those
are lost, and accents are left as velocity. The tuning goes along as a text event for people; a reader that knows only
channels takes the strings of a guitar in standard tuning.
Times are exact: 2520 ticks a quarter, which all notes of 1 to 10 a quarter divide, or the smallest multiple of it that
fits every onset and end; where that is more than the format's 32767, the smallest number that fits.
References: Standard MIDI Files 1.0; General MIDI 1 (programs 28 and 34 are a clean guitar and a finger-plucked bass).
"""

import io
from collections.abc import Iterable
from math import lcm
from typing import TYPE_CHECKING

import mido

from trainer.score.exercise import Exercise
from trainer.sheets.errors import SheetError
from trainer.sheets.joins import position_changes
from trainer.sheets.spelling import clef_of
from trainer.theory.pitch import pitch_name

if TYPE_CHECKING:
    from mido import AnyMessage

TICKS_PER_QUARTER = 2520
_MOST_TICKS = 32767
_US_PER_MINUTE = 60_000_000
# Channel 10 is the drums' in General MIDI; no common instrument with frets has more strings than there are before it.
_MOST_STRINGS = 9
_VELOCITY, _ACCENTED_VELOCITY = 80, 112
_GUITAR_PROGRAM, _BASS_PROGRAM = 27, 33

# Signs at one tick: what ends comes before what begins.
_OFF, _MARK, _ON, _END = range(4)


def midi_file(exercise: Exercise) -> bytes:
    """`exercise` as the bytes of a standard MIDI file; `SheetError` for more strings than there are channels."""
    if exercise.courses[-1] > _MOST_STRINGS:
        raise SheetError(f"{exercise.title}: string {exercise.courses[-1]} has no channel of its own (1 to 9)")
    ticks = ticks_per_quarter(exercise)
    file = mido.MidiFile(type=1, ticks_per_beat=ticks)
    file.tracks.append(_heading(exercise, ticks))
    file.tracks.append(_strings(exercise, ticks))
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


def ticks_per_quarter(exercise: Exercise) -> int:
    """How many ticks a quarter has in the file of a line; `SheetError` when no number fits all of its times."""
    moments = [exercise.length_quarters]
    for note in exercise.notes:
        moments += [note.onset_quarters, note.onset_quarters + note.duration_quarters]
    needed = lcm(*(moment.denominator for moment in moments))
    if (ticks := lcm(TICKS_PER_QUARTER, needed)) <= _MOST_TICKS:
        return ticks
    if needed <= _MOST_TICKS:
        return needed
    raise SheetError(
        f"{exercise.title}: its times need {needed} ticks a quarter; a MIDI file has at most {_MOST_TICKS}"
    )


def _heading(exercise: Exercise, ticks: int) -> "mido.MidiTrack":
    """The track of what rules the others."""
    meter = exercise.meter
    strings = " ".join(pitch_name(pitch) for pitch in reversed(exercise.tuning.open_pitches))
    start: list[AnyMessage] = [
        mido.MetaMessage("track_name", name=_latin(exercise.title)),
        mido.MetaMessage("text", text=_latin(f"open strings, string 1 last: {strings}")),
        mido.MetaMessage("set_tempo", tempo=round(_US_PER_MINUTE / exercise.tempo.quarters_per_minute)),
        mido.MetaMessage("time_signature", numerator=meter.beats, denominator=meter.beat_unit),
    ]
    events: list[tuple[int, int, AnyMessage]] = [(0, _MARK, message) for message in start]
    for index, position in position_changes(exercise):
        at = int(exercise.notes[index].onset_quarters * ticks)
        events.append((at, _MARK, mido.MetaMessage("marker", text=f"position {position}")))
    return _track(events, int(exercise.length_quarters * ticks))


def _strings(exercise: Exercise, ticks: int) -> "mido.MidiTrack":
    """The track of the notes, each string on its channel."""
    is_bass = clef_of(exercise.tuning).sign == "F"
    program = _BASS_PROGRAM if is_bass else _GUITAR_PROGRAM
    events: list[tuple[int, int, AnyMessage]] = [
        (0, _OFF, mido.Message("program_change", channel=course - 1, program=program)) for course in exercise.courses
    ]
    for note in exercise.notes:
        channel, velocity = note.course - 1, _ACCENTED_VELOCITY if note.accent else _VELOCITY
        onset = int(note.onset_quarters * ticks)
        end = max(int((note.onset_quarters + note.duration_quarters) * ticks), onset + 1)
        events.append((onset, _ON, mido.Message("note_on", channel=channel, note=note.pitch, velocity=velocity)))
        events.append((end, _OFF, mido.Message("note_off", channel=channel, note=note.pitch)))
    return _track(events, int(exercise.length_quarters * ticks))


def _track(events: Iterable[tuple[int, int, "AnyMessage"]], end_tick: int) -> "mido.MidiTrack":
    """Events at their ticks as a track, which counts the ticks between them."""
    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(end_tick - now, 0)))
    return track


def _latin(text: str) -> str:
    """`text` with signs outside Latin-1, which is what readers of MIDI files expect, as question marks."""
    return text.encode("latin-1", "replace").decode("latin-1")
