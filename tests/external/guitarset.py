"""Two excerpts of GuitarSet: what six people's strings really did, note by note.

Source: Q. Xi, R. M. Bittner, J. Pauwels, X. Ye, J. P. Bello, "GuitarSet: A Dataset for Guitar Transcription", ISMIR
2018; licence CC BY 4.0. Two of its annotation files travel in the source distribution of the package basic_pitch
0.4.0, which is fetched for the test and never kept. Each string was recorded by a pickup of its own; an annotation
gives its notes (onset, duration, mean pitch as a fractional MIDI number) and its pitch every 5.8 ms.

`stream` turns an annotation into what a converter with one channel a string would have sent. GuitarSet labels neither
velocities nor techniques, so all notes are sent at one velocity.
"""

import json
import math
import subprocess
import sys
import tarfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import median_low
from typing import Any

from trainer.playing.messages import StampedMessage

PACKAGE = "basic_pitch==0.4.0"
EXCERPTS = ("00_BN1-129-Eb_comp", "00_BN1-147-Gb_comp")
BEND_RANGE_SEMITONES = 12
VELOCITY = 90
TRACKING_S = 0.046
"""A converter follows a string for a while before it names a pitch: some four cycles of the lowest string."""


class FetchError(Exception):
    """The package could not be had; the sentence says why."""


@dataclass(frozen=True, slots=True)
class AnnotatedNote:
    """One note of one string."""

    course: int
    onset_s: float
    end_s: float
    pitch: float
    """Mean pitch over the note, as a MIDI number."""
    contour: tuple[tuple[float, float], ...]
    """(time in s, cents) while it sounds."""


def fetched(folder: Path) -> dict[str, list[AnnotatedNote]]:
    """The notes of both excerpts, by name, in the order of their onsets; `FetchError` without the package."""
    command = [sys.executable, "-m", "pip", "download", "--no-deps", "--no-binary", ":all:", "--no-build-isolation"]
    command += ["--retries", "1", PACKAGE, "-d", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise FetchError(f"pip could not fetch {PACKAGE}: {done.stderr.strip().splitlines()[-1:]}")
    (archive,) = folder.glob("*.tar.gz")
    excerpts = {}
    with tarfile.open(archive) as opened:
        for name in EXCERPTS:
            inner = f"basic_pitch-0.4.0/tests/resources/data/guitarset/annotation/{name}.jams"
            stored = opened.extractfile(inner)
            if stored is None:
                raise FetchError(f"{archive.name} holds no {inner}")
            excerpts[name] = list(_notes(json.load(stored)["annotations"]))
    return excerpts


def _notes(annotations: list[dict[str, Any]]) -> Iterator[AnnotatedNote]:
    """Annotations of one kind come lowest string first."""
    contours = [each["data"] for each in annotations if each["namespace"] == "pitch_contour"]
    strings = [each["data"] for each in annotations if each["namespace"] == "note_midi"]
    notes = []
    for course, contour, string in zip(range(6, 0, -1), contours, strings, strict=True):
        samples = [
            (time_s, 100 * (69 + 12 * math.log2(value["frequency"] / 440)))
            for time_s, value in zip(contour["time"], contour["value"], strict=True)
            if value["voiced"] and value["frequency"] > 0
        ]
        for note in string:
            start_s, end_s = note["time"], note["time"] + note["duration"]
            inside = tuple(sample for sample in samples if start_s <= sample[0] < end_s)
            notes.append(AnnotatedNote(course, start_s, end_s, note["value"], inside))
    yield from sorted(notes, key=lambda note: note.onset_s)


def stream(notes: list[AnnotatedNote]) -> list[StampedMessage]:
    """What a converter with string k on channel k would send: range by RPN 0,0, bends as the contours go, note-offs."""
    messages = [
        StampedMessage(0, bytes([0xB0 | channel, number, value]))
        for channel in range(6)
        for number, value in ((101, 0), (100, 0), (6, BEND_RANGE_SEMITONES), (38, 0))
    ]
    for course in range(1, 7):
        on_string = [note for note in notes if note.course == course]
        next_onsets_s = [later.onset_s for _, later in pairwise(on_string)]
        for note, next_onset_s in zip(on_string, [*next_onsets_s, math.inf], strict=True):
            messages += _sounding(note, min(note.end_s, next_onset_s))
    return sorted(messages, key=lambda message: message.stamp_ns)


def _sounding(note: AnnotatedNote, end_s: float) -> Iterator[StampedMessage]:
    channel, key = note.course - 1, round(note.pitch)
    values = [(time_s, _bend_value(cents - 100 * key)) for time_s, cents in note.contour if time_s < end_s]
    tracked = [value for time_s, value in values if time_s <= note.onset_s + TRACKING_S]
    standing = median_low(tracked) if tracked else 8192
    yield _at(note.onset_s, 0xE0 | channel, standing & 0x7F, standing >> 7)
    yield _at(note.onset_s, 0x90 | channel, key, VELOCITY)
    for time_s, value in values[len(tracked) :]:
        if value != standing:
            yield _at(time_s, 0xE0 | channel, value & 0x7F, value >> 7)
            standing = value
    yield _at(end_s, 0x80 | channel, key, 64)


def _bend_value(cents: float) -> int:
    return max(0, min(16383, 8192 + round(cents / 100 / BEND_RANGE_SEMITONES * 8192)))


def _at(time_s: float, *data: int) -> StampedMessage:
    return StampedMessage(round(time_s * 1e9), bytes(data))
