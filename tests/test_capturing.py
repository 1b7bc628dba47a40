"""A live capture on a clock that the test turns."""

from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

from trainer.capture.listening import heard_phrase
from trainer.capturing import CapturePlan, capture_phrase, phrase_keeper
from trainer.devices.recording import TakeWriter
from trainer.devices.sound import SilentSound, Sound
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.take import read_take
from trainer.score.exercise import Exercise
from trainer.score.meter import Meter
from trainer.score.serial import exercise_from_dict
from trainer.score.tempo import Tempo
from trainer.theory.tuning import TUNINGS

MS = 1_000_000
STANDARD = TUNINGS["standard"]


class Port:
    """Gives prepared messages when their time comes."""

    def __init__(self, *notes: tuple[int, int, int]) -> None:
        """Notes are (ms from the opening of the port, string, fret)."""
        self.sound: Sound = SilentSound("a test")
        self.profile = PickupProfile()
        self.now_ns = 5_000 * MS
        self.interrupts_at_ns: int | None = None
        self._opened_ns = self.now_ns
        self._messages = [
            message
            for at_ms, course, fret in notes
            for message in (
                self._at(at_ms, 0x90, course, fret, 90),
                self._at(at_ms + 100, 0x80, course, fret, 0),
            )
        ]
        self._messages.sort(key=lambda message: message.stamp_ns)

    def _at(self, at_ms: int, status: int, course: int, fret: int, velocity: int) -> StampedMessage:
        pitch = STANDARD.open_pitches[course - 1] + fret
        return StampedMessage(self._opened_ns + at_ms * MS, bytes([status | course - 1, pitch, velocity]))

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        arrived = tuple(message for message in self._messages if message.stamp_ns <= now_ns)
        self._messages = self._messages[len(arrived) :]
        return arrived

    def announced(self) -> tuple[StampedMessage, ...]:
        return ()

    def clock(self) -> int:
        return self.now_ns

    def rest(self, seconds: float) -> None:
        self.now_ns += round(seconds * 1e9)
        if self.interrupts_at_ns is not None and self.now_ns >= self._opened_ns + self.interrupts_at_ns:
            raise KeyboardInterrupt


def heard(port: Port, plan: CapturePlan) -> list[tuple[int, int | None, int]]:
    """(ms, string, pitch) of what is captured."""
    notes = capture_phrase(port, plan, lambda _: None, now_ns=port.clock, rest=port.rest)
    return [(round(note.onset_ns / MS), note.course, note.pitch) for note in notes]


FREE = CapturePlan(STANDARD, Meter())


def test_a_phrase_ends_when_silence_follows_its_last_note() -> None:
    port = Port((500, 1, 5), (1000, 2, 8), (9000, 1, 7))

    assert heard(port, FREE) == [(500, 1, 69), (1000, 2, 67)]


def test_the_player_may_wait_before_the_first_note() -> None:
    assert heard(Port((30_000, 1, 5)), FREE) == [(30_000, 1, 69)]


def test_the_time_that_was_given_ends_a_phrase() -> None:
    port = Port(*[(500 * at, 1, 5) for at in range(1, 100)])

    assert len(heard(port, CapturePlan(STANDARD, Meter(), longest_ns=2_200 * MS))) == 4


def test_with_a_click_silence_counts_from_the_first_beat() -> None:
    plan = CapturePlan(STANDARD, Meter(), click=Tempo(Fraction(60)), count_in_bars=1)

    # A string touched during the count-in of four seconds does not end the phrase before it began.
    assert heard(Port((200, 1, 0), (4500, 1, 5)), plan) == [(200, 1, 64), (4500, 1, 69)]
    assert plan.starts_at_ns == 4_000 * MS


def test_an_interrupted_phrase_is_kept() -> None:
    port = Port((500, 1, 5), (1000, 2, 8))
    port.interrupts_at_ns = 800 * MS

    assert heard(port, FREE) == [(500, 1, 69)]


def test_what_was_played_before_does_not_belong_to_the_phrase() -> None:
    assert heard(Port((-300, 1, 5), (500, 1, 7)), FREE) == [(500, 1, 71)]


SLOW_CLICK = CapturePlan(STANDARD, Meter(3, 4), click=Tempo(Fraction(60)), count_in_bars=1)


def keeper(folder: Path, plan: CapturePlan, port: Port) -> TakeWriter:
    return phrase_keeper(folder, plan, "captured", port, "a test", datetime(2026, 5, 4, 9, 30, tzinfo=UTC))


def test_a_phrase_is_kept_as_a_take_that_is_heard_as_it_was(tmp_path: Path) -> None:
    port = Port((500, 1, 5), (1000, 2, 8))
    kept = keeper(tmp_path, FREE, port)

    notes = capture_phrase(port, FREE, lambda _: None, keeper=kept, now_ns=port.clock, rest=port.rest)

    take = read_take(tmp_path / "2026-05-04_09-30-00_captured.mid")
    assert kept.path == tmp_path / "2026-05-04_09-30-00_captured.mid"
    assert heard_phrase(take.messages, port.profile, STANDARD) == notes


def test_the_take_of_a_phrase_says_how_it_was_played_and_names_no_note(tmp_path: Path) -> None:
    port = Port((3500, 1, 5))

    capture_phrase(
        port,
        SLOW_CLICK,
        lambda _: None,
        keeper=keeper(tmp_path, SLOW_CLICK, port),
        now_ns=port.clock,
        rest=port.rest,
    )

    (path,) = tmp_path.iterdir()
    header = read_take(path).header
    assert header is not None
    assert (header.pace, header.starts_at_ns, header.quarters_per_minute) == ("click", 3_000 * MS, Fraction(60))
    line = exercise_from_dict(dict(header.exercise))
    assert line == Exercise("captured", "captured", STANDARD, Tempo(Fraction(60)), notes=(), meter=Meter(3, 4))


def test_what_was_played_is_on_the_disk_while_the_phrase_still_goes_on(tmp_path: Path) -> None:
    port = Port((500, 1, 5), (1000, 2, 8), (4000, 1, 7))
    kept = keeper(tmp_path, FREE, port)
    copy = tmp_path / "as a killed program would leave it.mid"

    def rest_and_look(seconds: float) -> None:
        port.rest(seconds)
        if kept.path is not None and port.now_ns <= 7_000 * MS:
            copy.write_bytes(kept.path.read_bytes())

    capture_phrase(port, FREE, lambda _: None, keeper=kept, now_ns=port.clock, rest=rest_and_look)

    heard = heard_phrase(read_take(copy).messages, port.profile, STANDARD)
    assert [(note.onset_ns, note.course) for note in heard] == [(500 * MS, 1), (1000 * MS, 2)]


def test_of_a_capture_in_which_nothing_was_played_no_take_stays(tmp_path: Path) -> None:
    port = Port()

    capture_phrase(port, FREE, lambda _: None, keeper=keeper(tmp_path, FREE, port), now_ns=port.clock, rest=port.rest)

    assert list(tmp_path.iterdir()) == []
