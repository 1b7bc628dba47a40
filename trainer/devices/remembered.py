"""What is remembered between two starts: the profile of each device that was set up, and the last choices.

One JSON file in the user's data folder, beside the takes. It is written whole into a new file that then takes the old
one's name, so that it is never half written, and it is read again before each change, so that two windows do not undo
one another. A file that cannot be read is kept aside under another name and said so; nothing else is lost by it.

Conventions: a device goes by the name of its port without the system's numbers, as in `midi_input`.
"""

import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from itertools import count
from pathlib import Path
from typing import Any, Literal

from trainer.coaching.plan import Day
from trainer.devices.recording import takes_folder
from trainer.playing.calibration.guide import Guide
from trainer.playing.profile import PickupProfile
from trainer.score.tempo import Tempo
from trainer.sounds.mix import Mix

VERSION = 1
_VERSION_KEY = "boxwalk_remembered"


MOST_OFFSET_MS = 500.0
CueName = Literal["again", "slower", "faster", "next", "stop"]


@dataclass(frozen=True, slots=True)
class SetUp:
    """What was learned of one device."""

    profile: PickupProfile
    date: str = ""
    """When, ISO 8601."""
    findings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Step of the set-up -> what was said of it, in sentences."""
    tuning: str = ""
    """The name of the tuning that the strings were in."""


def learned_by(guide: Guide) -> SetUp:
    """What a guide has learned, as of now."""
    date = datetime.now().astimezone().isoformat(timespec="seconds")
    findings = {step.value: guide.findings[step] for step in sorted(guide.learned)}
    return SetUp(guide.profile, date, findings, guide.tuning.name)


@dataclass(frozen=True, slots=True)
class LastChoices:
    """How the last line was played."""

    input_name: str = ""
    exercise_name: str = ""
    pace: Literal["click", "free"] = "click"
    passes: int = 4
    quarters_per_minute: str | None = None
    """A fraction such as `187/2`; None: each line's own tempo."""
    hear_line: bool = False
    with_backing: bool = False


@dataclass(frozen=True, slots=True)
class KeptLook:
    """How the window looks."""

    theme: str = "dark"
    text_percent: int = 100
    is_left_handed: bool = False


@dataclass(frozen=True, slots=True)
class KeptRoom:
    """How large the room is that the board is shown to."""

    distance_m: float = 8.0
    height_m: float = 1.5


@dataclass(frozen=True, slots=True)
class KeptCues:
    """Which phrases are listened for."""

    are_heard: bool = True
    learned: Mapping[CueName, tuple[tuple[int, int | None], ...]] = field(default_factory=dict)
    """Pitch and string of each note, by the name of the cue; the others are the usual ones."""


@dataclass(frozen=True, slots=True)
class KeptSound:
    """Where the sound is heard, and how a sitting sounds."""

    output: str = ""
    """The name of an output; empty: the first that opens."""
    offsets_ms: Mapping[str, float] = field(default_factory=dict)
    """By the name of an output: how much later it is heard than the system knows."""
    mix: Mix = field(default_factory=Mix)

    def __post_init__(self) -> None:
        for name, offset_ms in self.offsets_ms.items():
            if not -MOST_OFFSET_MS <= offset_ms <= MOST_OFFSET_MS:
                raise ValueError(f"offset of {name}: {offset_ms:g} ms; expected at most {MOST_OFFSET_MS:g} either way")


@dataclass(frozen=True, slots=True)
class KeptDay:
    """The plan of a day, as far as it was changed or gone through."""

    date: str
    """ISO 8601."""
    day: Day

    def __post_init__(self) -> None:
        items = self.day.plan.items
        numbers = [item.number for item in items]
        if not items or len(set(numbers)) < len(numbers):
            raise ValueError(f"items {numbers} of a plan: expected different ones, one at least")
        for item in items:
            if item.minutes < 1 or (item.choice is not None and item.choice.passes < 1):
                raise ValueError(f"item {item.number} of a plan cannot be played")
            if item.choice is not None:
                Tempo(Fraction(str(item.choice.qpm)))  # refuses what no line can be played at


@dataclass(frozen=True, slots=True)
class _Kept:
    """All of the file."""

    devices: Mapping[str, SetUp] = field(default_factory=dict)
    choices: LastChoices = LastChoices()
    look: KeptLook = KeptLook()
    room: KeptRoom = KeptRoom()
    cues: KeptCues = KeptCues()
    pedals: Mapping[str, str] = field(default_factory=dict)
    """What each foot pedal does."""
    sound: KeptSound = field(default_factory=KeptSound)
    is_welcomed: bool = False
    """Whether the cautions were shown."""
    second_input: str = ""
    """What is listened to beside the chosen input; empty: nothing."""
    day: KeptDay | None = None
    """The last plan that anything was done with."""
    ghost: Literal["off", "last", "best"] = "off"
    """Which pass of one's own is played against."""


def remembered_path() -> Path:
    """Where it is kept."""
    return takes_folder().parent / "remembered.json"


class Memory:
    """Reads at once, and writes at each change; no method raises for the disk's sake, see `trouble`."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or remembered_path()
        self.trouble: str | None = None
        """A sentence for the player when something could not be read or written."""
        self._kept = self._read()

    @property
    def devices(self) -> Mapping[str, SetUp]:
        """What was learned, by the name of the device."""
        return self._kept.devices

    @property
    def choices(self) -> LastChoices:
        """How the last line was played."""
        return self._kept.choices

    @property
    def look(self) -> KeptLook:
        """How the window looked."""
        return self._kept.look

    def profile_of(self, device: str) -> PickupProfile | None:
        """The profile learned for a device; None when it was never set up."""
        known = self._kept.devices.get(device)
        return None if known is None else known.profile

    def keep_device(self, device: str, learned: SetUp) -> None:
        """Remember a device; what was said of it in steps that were not gone through now is kept."""
        kept = self._read()
        known = kept.devices.get(device)
        findings = {**(known.findings if known else {}), **learned.findings}
        self._write(replace(kept, devices={**kept.devices, device: replace(learned, findings=findings)}))

    def keep_choices(self, choices: LastChoices) -> None:
        """Remember how the next line is to be offered."""
        if choices != self._kept.choices:
            self._write(replace(self._read(), choices=choices))

    def keep_look(self, look: KeptLook) -> None:
        """Remember how the window looks."""
        self._write(replace(self._read(), look=look))

    @property
    def room(self) -> KeptRoom:
        """How large the room was."""
        return self._kept.room

    def keep_room(self, room: KeptRoom) -> None:
        """Remember how large the room is."""
        self._write(replace(self._read(), room=room))

    @property
    def cues(self) -> KeptCues:
        """Which phrases are listened for."""
        return self._kept.cues

    def keep_cues(self, cues: KeptCues) -> None:
        """Remember which phrases are listened for."""
        self._write(replace(self._read(), cues=cues))

    @property
    def sound(self) -> KeptSound:
        """Where the sound is heard, and how a sitting sounds."""
        return self._kept.sound

    def keep_sound(self, sound: KeptSound) -> None:
        """Remember where the sound is heard, and how a sitting sounds."""
        if sound != self._kept.sound:
            self._write(replace(self._read(), sound=sound))

    @property
    def is_welcomed(self) -> bool:
        """Whether the first page was shown, with its cautions."""
        return self._kept.is_welcomed

    def keep_welcomed(self) -> None:
        """Remember that it was."""
        self._write(replace(self._read(), is_welcomed=True))

    @property
    def day(self) -> KeptDay | None:
        """The last plan that anything was done with."""
        return self._kept.day

    def keep_day(self, day: KeptDay) -> None:
        """Remember a plan, and how far it was gone through."""
        self._write(replace(self._read(), day=day))

    @property
    def second_input(self) -> str:
        """What is listened to beside the chosen input; empty: nothing."""
        return self._kept.second_input

    def keep_second_input(self, name: str) -> None:
        """Remember what is listened to beside the chosen input."""
        if name != self._kept.second_input:
            self._write(replace(self._read(), second_input=name))

    @property
    def ghost(self) -> Literal["off", "last", "best"]:
        """Which pass of one's own is played against."""
        return self._kept.ghost

    def keep_ghost(self, ghost: Literal["off", "last", "best"]) -> None:
        """Remember whom to play against."""
        self._write(replace(self._read(), ghost=ghost))

    @property
    def pedals(self) -> Mapping[str, str]:
        """What each foot pedal does."""
        return self._kept.pedals

    def keep_pedals(self, pedals: Mapping[str, str]) -> None:
        """Remember what each foot pedal does."""
        self._write(replace(self._read(), pedals=pedals))

    def _read(self) -> _Kept:
        try:
            text = self.path.read_text(encoding="utf-8")
        except FileNotFoundError:
            return _Kept()
        except (OSError, UnicodeDecodeError) as error:
            return self._put_aside(str(error))
        try:
            return _kept_in(json.loads(text, parse_constant=_no_number))
        except (ValueError, RecursionError) as error:
            return self._put_aside(str(error).splitlines()[0])

    def _put_aside(self, why: str) -> _Kept:
        for number in count(1):
            aside = self.path.with_name(f"{self.path.stem}.unread-{number}{self.path.suffix}")
            if not aside.exists():
                break
        try:
            self.path.rename(aside)
        except OSError:
            aside = self.path
        self.trouble = f"What was remembered of devices and choices cannot be read ({why}); it is kept as {aside}."
        return _Kept()

    def _write(self, kept: _Kept) -> None:
        self._kept = kept
        fields = {_VERSION_KEY: VERSION, **asdict(kept)}
        text = json.dumps(fields, indent=1, ensure_ascii=False) + "\n"
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            _replace_file(self.path, text)
        except OSError as error:
            self.trouble = f"Devices and choices cannot be remembered in {self.path} ({error.strerror or error})."


def _replace_file(path: Path, text: str) -> None:
    """Write a new file and give it the name of the old one, once the disk has it."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=path.stem, suffix=".new")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise


def _kept_in(fields: Any) -> _Kept:
    """What the file's JSON says; `ValueError` with the first member that is not as expected."""
    from pydantic import TypeAdapter, ValidationError

    if not isinstance(fields, dict) or fields.get(_VERSION_KEY) != VERSION:
        raise ValueError(f"expected an object with {_VERSION_KEY!r}: {VERSION}")
    try:
        kept = TypeAdapter(_Kept).validate_python(fields)
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(map(str, first["loc"]))
        raise ValueError(f"{place}: {first['msg']}") from error
    # What is no finite number, or half a letter, could not be written and read again.
    json.dumps(asdict(kept), allow_nan=False, ensure_ascii=False).encode()
    for device, learned in kept.devices.items():
        channels = learned.profile.channel_of_course
        if len(set(channels)) != len(channels) or not set(channels) <= set(range(1, 17)):
            raise ValueError(f"devices.{device}: channels {channels} are not different ones of 1..16")
    tempo = kept.choices.quarters_per_minute
    if kept.choices.passes < 1 or (tempo is not None and not _is_tempo(tempo)):
        raise ValueError(f"choices: {kept.choices.passes} passes at {tempo!r} quarters a minute cannot be")
    return kept


def _is_tempo(words: str) -> bool:
    try:
        return Fraction(words) > 0
    except (ValueError, ZeroDivisionError):
        return False


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")
