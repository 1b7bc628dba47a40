"""When a message was really played, from when the driver counted it and when Python saw it.

The driver hands over the seconds since its previous message (`delta`), counted before Python runs; Python sees the
message later, by anything from a fraction of a millisecond to a whole frame. Summed deltas have the right spacing but
no place on the clock; arrivals have the place but jitter that is always late. So a stamp is the sum plus the smallest
(arrival - sum) of the last 20 s: the least late message of the window says where the sum lies on the clock.

Twenty seconds are long enough to contain a message that came through at once, and short enough that two clocks that
drift apart by 100 ppm are never more than 2 ms apart.
"""

from collections import deque
from math import inf

WINDOW_NS = 20_000_000_000
RESTART_NS = 100_000_000
"""A driver says delta 0 for the first message of a newly opened port: 0 after 100 ms of silence is such a beginning."""


class StampAnchor:
    """Turns (arrival, delta) pairs of one input port into stamps on the arrival clock.

    Stamps never run backwards and never lie after the arrival.
    """

    def __init__(self) -> None:
        self._counted_ns = 0.0
        self._least: deque[tuple[int, float]] = deque()  # (arrival, arrival - counted), both rising
        self._last_stamp_ns: int | None = None

    def stamp(self, arrival_ns: int, delta_seconds: float) -> int:
        """The ns at which the message reached the driver, on the clock of `arrival_ns`.

        A delta that is negative, or not a finite number, counts as 0.
        """
        delta_ns = delta_seconds * 1e9 if 0 < delta_seconds < inf else 0.0
        if delta_ns == 0 and self._lateness_ns(arrival_ns) >= RESTART_NS:
            self.restart()
        self._counted_ns += delta_ns
        self._see(arrival_ns, arrival_ns - self._counted_ns)
        stamp_ns = min(round(self._counted_ns + self._least[0][1]), arrival_ns)
        if self._last_stamp_ns is not None:
            stamp_ns = max(stamp_ns, self._last_stamp_ns)
        self._last_stamp_ns = stamp_ns
        return stamp_ns

    def restart(self) -> None:
        """Forget where the sum lies: the port was opened anew."""
        self._counted_ns = 0.0
        self._least.clear()

    def _lateness_ns(self, arrival_ns: int) -> float:
        if not self._least:
            return 0.0
        return arrival_ns - self._counted_ns - self._least[0][1]

    def _see(self, arrival_ns: int, offset_ns: float) -> None:
        while self._least and self._least[-1][1] >= offset_ns:
            self._least.pop()
        self._least.append((arrival_ns, offset_ns))
        while self._least[0][0] < arrival_ns - WINDOW_NS:
            self._least.popleft()
