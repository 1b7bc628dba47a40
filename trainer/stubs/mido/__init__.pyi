# The part of mido 1.3 that this project uses, typed: the message codec and standard MIDI files.

from collections.abc import Iterable, Iterator
from os import PathLike
from typing import IO, Any, Literal, Self, SupportsIndex, TypeAlias, overload

from mido.midifiles.meta import KeySignatureError as KeySignatureError

MIN_PITCHWHEEL: int
MAX_PITCHWHEEL: int

class _BaseMessage:
    type: str
    time: float
    is_meta: bool
    @property
    def is_realtime(self) -> bool: ...
    def is_cc(self, control: int | None = None) -> bool: ...
    def bytes(self) -> list[int]: ...
    def bin(self) -> bytearray: ...
    def hex(self, sep: str = " ") -> str: ...
    def dict(self) -> dict[str, Any]: ...

class Message(_BaseMessage):
    # A channel or system message; which of the fields exist depends on `type`.
    is_meta: Literal[False]
    channel: int
    note: int
    velocity: int
    control: int
    value: int
    program: int
    pitch: int
    data: tuple[int, ...]
    def __init__(
        self,
        type: str,
        skip_checks: bool = False,
        *,
        channel: int = 0,
        note: int = 0,
        velocity: int = 64,
        control: int = 0,
        value: int = 0,
        program: int = 0,
        pitch: int = 0,
        pos: int = 0,
        song: int = 0,
        data: Iterable[int] = (),
        frame_type: int = 0,
        frame_value: int = 0,
        time: float = 0,
    ) -> None: ...
    def copy(self, skip_checks: bool = False, **overrides: Any) -> Self: ...
    @classmethod
    def from_bytes(cls, data: Iterable[int], time: float = 0) -> Self: ...
    @classmethod
    def from_hex(cls, text: str, time: float = 0, sep: str | None = None) -> Self: ...
    @classmethod
    def from_str(cls, text: str) -> Self: ...
    @classmethod
    def from_dict(cls, data: dict[str, Any]) -> Self: ...
    def __len__(self) -> int: ...

class MetaMessage(_BaseMessage):
    # A meta event of a MIDI file; which of the fields exist depends on `type`.
    is_meta: Literal[True]
    name: str
    text: str
    tempo: int
    numerator: int
    denominator: int
    clocks_per_click: int
    notated_32nd_notes_per_beat: int
    key: str
    channel: int
    port: int
    number: int
    data: tuple[int, ...]
    def __init__(self, type: str, skip_checks: bool = False, **fields: Any) -> None: ...
    def copy(self, **overrides: Any) -> Self: ...

class UnknownMetaMessage(MetaMessage):
    type_byte: int
    def __init__(
        self,
        type_byte: int,
        data: Iterable[int] | None = None,
        time: float = 0,
        type: str = "unknown_meta",
        **fields: Any,
    ) -> None: ...

AnyMessage: TypeAlias = Message | MetaMessage
# Only a name for these stubs: mido has no such object; import it under `TYPE_CHECKING`.

class MidiTrack(list[AnyMessage]):
    name: str
    def copy(self) -> Self: ...
    @overload
    def __getitem__(self, index_or_slice: SupportsIndex, /) -> AnyMessage: ...
    @overload
    def __getitem__(self, index_or_slice: slice, /) -> Self: ...

class MidiFile:
    filename: str | PathLike[str] | None
    type: int
    ticks_per_beat: int
    charset: str
    tracks: list[MidiTrack]
    def __init__(
        self,
        filename: str | PathLike[str] | None = None,
        file: IO[bytes] | None = None,
        type: int = 1,
        ticks_per_beat: int = 480,
        charset: str = "latin1",
        debug: bool = False,
        clip: bool = False,
        tracks: list[MidiTrack] | None = None,
    ) -> None: ...
    @property
    def merged_track(self) -> MidiTrack: ...
    @property
    def length(self) -> float: ...
    def add_track(self, name: str | None = None) -> MidiTrack: ...
    def save(self, filename: str | PathLike[str] | None = None, file: IO[bytes] | None = None) -> None: ...
    def __iter__(self) -> Iterator[AnyMessage]: ...
    def __enter__(self) -> Self: ...
    def __exit__(self, type: object, value: object, traceback: object) -> Literal[False]: ...

class Parser:
    messages: list[Message]
    def __init__(self, data: Iterable[int] | None = None) -> None: ...
    def feed(self, data: Iterable[int]) -> None: ...
    def feed_byte(self, byte: int) -> None: ...
    def get_message(self) -> Message | None: ...
    def pending(self) -> int: ...
    def __iter__(self) -> Iterator[Message]: ...

def parse(data: Iterable[int]) -> Message | None: ...
def parse_all(data: Iterable[int]) -> list[Message]: ...
def parse_string(text: str) -> Message: ...
def merge_tracks(tracks: Iterable[MidiTrack], skip_checks: bool = False) -> MidiTrack: ...
def tick2second(tick: float, ticks_per_beat: int, tempo: int) -> float: ...
def second2tick(second: float, ticks_per_beat: int, tempo: int) -> int: ...
def bpm2tempo(bpm: float, time_signature: tuple[int, int] = (4, 4)) -> int: ...
def tempo2bpm(tempo: float, time_signature: tuple[int, int] = (4, 4)) -> float: ...
def read_syx_file(filename: str | PathLike[str]) -> list[Message]: ...
