"""Takes: what was played, with what is needed to judge it again.

A take of ours is a standard MIDI file whose first text event is a JSON object (`TakeHeader`); any other standard MIDI
file is a take without a header. The line that was played is kept whole as a plain object, because an exercise file may
change or vanish; whoever reads the header turns it into an exercise.

Conventions: stamps and `starts_at_ns` are ns from the start of the take; fractions are words such as `"187/2"`.
"""

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.playing.messages import StampedMessage
from trainer.playing.midi_file import LONGEST_NS, MidiFileError, parse_midi_file
from trainer.playing.profile import ChannelUse, PickupProfile

TAKE_VERSION = 1
_VERSION_KEY = "boxwalk_take"
_PACES = ("click", "free")
MOST_WRITTEN = 250_000
"""Notes that one take can ask for, all passes together: seven hours at ten a second."""
_MOST_PLAYERS = 2
_MOST_BEND_SEMITONES = 127
_MOST_LATENCY_NS, _MOST_LATENCY_CYCLES = 10_000_000_000, 1000
_FRACTION = re.compile(r"[0-9]{1,300}(/[0-9]{1,300})?")
"""Not every text that `Fraction` takes: "1e999999999" would be worked out digit by digit."""


class TakeError(ValueError):
    """Why a take cannot be read, in one line; it names the file where there is one."""


@dataclass(frozen=True, slots=True)
class TakeHeader:
    """The circumstances of a take, all that judging it again needs."""

    program: str
    """The program that wrote it, with its version."""
    date: str
    """When it was played, ISO 8601."""
    exercise_name: str
    exercise: Mapping[str, Any]
    """One pass of the line as it was played, as plain JSON values."""
    pace: str
    """`click` or `free`."""
    quarters_per_minute: Fraction
    starts_at_ns: int = 0
    """When written quarter 0 falls in the take."""
    passes: int = 1
    first_note: int | None = None
    """When only a stretch of the exercise was played: the first note of it, counted in the whole exercise."""
    last_note: int | None = None
    profile: PickupProfile = field(default_factory=PickupProfile)
    tolerance: Mapping[str, int | float] = field(default_factory=dict)
    seed: int | None = None
    """Of a simulated player."""
    input: str = ""
    """The port, or what else played."""
    player: str = ""
    """Who played; empty: the one player who needs no name."""
    contest: str = ""
    """When the run of a contest began that this take is a pass of, ISO 8601; empty: it is of none."""
    turn: int = 0
    """Of a relay: which of its players this pass is by, counted from 1; 0: it is of none."""


@dataclass(frozen=True, slots=True)
class Take:
    """One take as it is read."""

    header: TakeHeader | None
    """None: a MIDI file from elsewhere."""
    messages: tuple[StampedMessage, ...]
    """In time order."""
    is_cut_off: bool = False
    """The file ends before it should; the messages are those that are whole."""
    ends_at_ns: int = 0
    """When the playing was over, as far as the file tells: its last event."""


LONGEST_NOTE = 500
"""Letters of a note about a take: so many have room where it is shown."""


def note_path(take: Path) -> Path:
    """Where the note about a take is kept: beside it."""
    return take.with_suffix(".note.txt")


def read_take(path: Path) -> Take:
    """Read a take of ours or any standard MIDI file of format 0 or 1; `TakeError` when it is neither."""
    try:
        return take_in(path.read_bytes())
    except OSError as error:
        raise TakeError(f"{path}: {error.strerror or error}") from error
    except TakeError as error:
        raise TakeError(f"{path}: {error}") from error


def take_in(data: bytes) -> Take:
    """The take that the bytes of such a file hold; `TakeError`, which names no file, when they hold none."""
    try:
        midi = parse_midi_file(data)
        return Take(_header_in(midi.first_text), midi.messages, midi.is_cut_off, midi.ends_at_ns)
    except (MidiFileError, _HeaderError) as error:
        raise TakeError(str(error)) from error


def header_to_json(header: TakeHeader) -> str:
    """The header as one line of ASCII."""
    fields = asdict(header)
    fields["quarters_per_minute"] = str(header.quarters_per_minute)
    return json.dumps({_VERSION_KEY: TAKE_VERSION} | fields, separators=(",", ":"))


class _HeaderError(ValueError):
    """What is wrong with a take header."""


def _header_in(text: bytes | None) -> TakeHeader | None:
    """The header that a file's first text holds; None when that text is something else."""
    if text is None or not text.startswith(b'{"%s":' % _VERSION_KEY.encode()):
        return None
    try:
        fields = json.loads(text, parse_constant=_no_number)
    except (ValueError, RecursionError) as error:
        raise _HeaderError(f"take header: not JSON: {error}") from error
    if fields[_VERSION_KEY] != TAKE_VERSION:
        raise _HeaderError(f"take header: version {fields[_VERSION_KEY]!r}, this program reads version {TAKE_VERSION}")
    return _header(_Fields(fields))


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _header(fields: "_Fields") -> TakeHeader:
    return TakeHeader(
        program=fields.text("program"),
        date=fields.text("date"),
        exercise_name=fields.text("exercise_name"),
        exercise=fields.mapping("exercise"),
        pace=fields.one_of("pace", _PACES),
        quarters_per_minute=fields.fraction("quarters_per_minute"),
        starts_at_ns=fields.whole("starts_at_ns", most=LONGEST_NS),
        passes=fields.whole("passes", least=1, most=MOST_WRITTEN),
        first_note=fields.optional("first_note", lambda key: fields.whole(key, most=MOST_WRITTEN)),
        last_note=fields.optional("last_note", lambda key: fields.whole(key, most=MOST_WRITTEN)),
        profile=_profile(_Fields(fields.mapping("profile"), "profile.")),
        tolerance=_tolerance(_Fields(fields.mapping("tolerance"), "tolerance.")),
        seed=fields.optional("seed", fields.whole),
        input=fields.text("input"),
        player=fields.text("player") if "player" in fields.values else "",  # not in takes from before it was known
        contest=fields.text("contest") if "contest" in fields.values else "",
        turn=fields.whole("turn", most=_MOST_PLAYERS) if "turn" in fields.values else 0,
    )


def _profile(fields: "_Fields") -> PickupProfile:
    return PickupProfile(
        name=fields.text("name"),
        title=fields.text("title"),
        channel_use=ChannelUse(fields.one_of("channel_use", tuple(ChannelUse))),
        channel_of_course=fields.channels("channel_of_course"),
        bend_range_semitones=fields.number("bend_range_semitones", most=_MOST_BEND_SEMITONES),
        latency_ns=fields.whole("latency_ns", least=-_MOST_LATENCY_NS, most=_MOST_LATENCY_NS),
        latency_cycles=fields.number("latency_cycles", most=_MOST_LATENCY_CYCLES),
        fixed_velocity=fields.flag("fixed_velocity"),
    )


def _tolerance(fields: "_Fields") -> dict[str, int | float]:
    return {key: fields.number(key, most=LONGEST_NS) for key in fields.values}


@dataclass(frozen=True, slots=True)
class _Fields:
    """The members of a JSON object, read with a check of their types."""

    values: Mapping[str, Any]
    prefix: str = ""

    def text(self, key: str) -> str:
        return str(self._checked(key, "a text", lambda value: isinstance(value, str)))

    def mapping(self, key: str) -> dict[str, Any]:
        return dict(self._checked(key, "an object", lambda value: isinstance(value, dict)))

    def one_of(self, key: str, words: tuple[str, ...]) -> str:
        return str(self._checked(key, f"one of {', '.join(words)}", lambda value: value in words))

    def whole(self, key: str, least: int = 0, most: int | None = None) -> int:
        wanted = f"a whole number from {least}" + ("" if most is None else f" to {most}")
        in_range = most or math.inf
        return int(self._checked(key, wanted, lambda value: type(value) is int and least <= value <= in_range))

    def number(self, key: str, most: int) -> int | float:
        value: int | float = self._checked(
            key, f"a number from 0 to {most}", lambda value: type(value) in (int, float) and 0 <= value <= most
        )
        return value

    def flag(self, key: str) -> bool:
        return bool(self._checked(key, "true or false", lambda value: isinstance(value, bool)))

    def channels(self, key: str) -> tuple[int, ...]:
        def is_channels(value: object) -> bool:
            return isinstance(value, list) and all(type(channel) is int and 1 <= channel <= 16 for channel in value)

        return tuple(self._checked(key, "a list of channels 1 to 16", is_channels))

    def fraction(self, key: str) -> Fraction:
        text = self.text(key)
        try:
            value = Fraction(text if _FRACTION.fullmatch(text) else 0)
        except (ValueError, ZeroDivisionError):
            value = Fraction(0)
        if value <= 0:
            raise self._error(key, 'a positive fraction such as "187/2"', text)
        return value

    def optional(self, key: str, read: Callable[[str], int]) -> int | None:
        return None if self.values.get(key) is None else read(key)

    def _checked(self, key: str, expected: str, holds: Callable[[Any], bool]) -> Any:
        if key not in self.values:
            raise _HeaderError(f"take header: {self.prefix}{key} is missing, expected {expected}")
        value = self.values[key]
        if not holds(value):
            raise self._error(key, expected, value)
        return value

    def _error(self, key: str, expected: str, found: object) -> _HeaderError:
        return _HeaderError(f"take header: {self.prefix}{key}: expected {expected}, found {found!r:.60}")
