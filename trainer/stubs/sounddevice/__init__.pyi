# The part of sounddevice 0.5 that the program uses; the package brings no types of its own.

from collections.abc import Callable, Sequence
from typing import Any, overload

import numpy as np
import numpy.typing as npt

class PortAudioError(Exception): ...

class CallbackFlags:
    output_underflow: bool

class _StreamTime:
    currentTime: float
    outputBufferDacTime: float

class OutputStream:
    def __init__(
        self,
        *,
        device: int | None = ...,
        samplerate: float,
        channels: int,
        dtype: str,
        latency: str | float,
        callback: Callable[[npt.NDArray[np.int16], int, _StreamTime, CallbackFlags], None],
    ) -> None: ...
    @property
    def latency(self) -> float: ...
    @property
    def active(self) -> bool: ...
    def start(self) -> None: ...
    def stop(self) -> None: ...
    def close(self) -> None: ...

@overload
def query_devices(device: int | str | None, kind: str) -> dict[str, Any]: ...
@overload
def query_devices() -> Sequence[dict[str, Any]]: ...
