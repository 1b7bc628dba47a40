"""The set-up screen: pluck, fret and play what it asks, and see what it makes of it.

It goes the same way with the same words as `boxwalk set-up` in the terminal. Nothing is changed before Enter keeps it.
"""

from collections import deque
from collections.abc import Callable, Sequence

import pygame

from trainer.monitor import Monitor
from trainer.playing.calibration.guide import Guide
from trainer.playing.calibration.latency import LatencyStep
from trainer.playing.calibration.strings import StringStep
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.screens.hints import Hint
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.screen import Action, Command, Pressed, Screen, target_at
from trainer.screens.set_up_picture import SetUpPicture, SetUpView
from trainer.screens.words import tuning_words
from trainer.tablature.glyphs import Ink, Rect
from trainer.theory.tuning import Tuning

SHOWN_LINES = 14
RECENT_MESSAGES = 200
NAMES_NO_STRING = PickupProfile(channel_use=ChannelUse.ONE_CHANNEL, channel_of_course=())
LEFT_OUT = "Latency is learned from notes played to a click, and none can be heard. {}. Enter leaves it as it was."
CLICK = "Two bars count in; half a minute, or more when the notes scatter. {}."


class SetUpScreen:
    """One set-up of one device.

    `begin(tuning)` makes a guide that knows what the device has announced; `start_click(bars)` lets the click sound and
    tells when its first beat after the count-in is heard, None when there is no sound; `keep(guide)` remembers what
    was learned and tells a sentence; `leave_to(notice)` is the list.
    """

    takes_text = False

    def __init__(
        self,
        device: str,
        tunings: Sequence[Tuning],
        *,
        begin: Callable[[Tuning], Guide],
        start_click: Callable[[int], int | None],
        stop_click: Callable[[], None],
        sound_status: Callable[[], str],
        keep: Callable[[Guide], str],
        leave_to: Callable[[str], Screen],
    ) -> None:
        self._device = device
        self._tunings = tuple(tunings)
        self._begin = begin
        self._start_click = start_click
        self._stop_click = stop_click
        self._sound_status = sound_status
        self._keep = keep
        self._leave_to = leave_to
        self._guide = begin(self._tunings[0])
        self._is_silent = False
        self._zero_ns: int | None = None
        self._arrived: deque[str] = deque(maxlen=SHOWN_LINES)
        self._recent: deque[StampedMessage] = deque(maxlen=RECENT_MESSAGES)
        self._monitor = self._new_monitor()
        self._painter = PagePainter()
        self._painted: tuple[Painter, SetUpPicture] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:
        """Take in what arrived."""
        if self._zero_ns is None:
            self._zero_ns = now_ns
        before = self._guide.step
        for message in messages:
            self._guide.feed(message)
        self._guide.advance(now_ns)
        moved = tuple(message._replace(stamp_ns=message.stamp_ns - self._zero_ns) for message in messages)
        self._recent.extend(moved)
        self._arrived.extend(" ".join(line.split()) for line in self._monitor.lines(moved, now_ns - self._zero_ns))
        if self._guide.step is not before:
            self._went_on()
        return self

    def handle(self, action: Action) -> Screen | None:
        """Do what a key asks for."""
        match action:
            case Pressed() if self._painted is not None:
                hint = target_at(self._painted[1].hint_targets(self.view()), action)
                return self if hint is None else self.handle(hint)
            case Command.CHOOSE:
                return self._entered()
            case Command.RESTART if not self._guide.is_finished:
                self._stop_click()
                self._guide.again()
            case Command.LEFT | Command.RIGHT if self._may_change_tuning:
                place = self._tunings.index(self._guide.tuning) + (1 if action is Command.RIGHT else -1)
                self._guide = self._begin(self._tunings[place % len(self._tunings)])
                self._went_on()
            case Command.KEYS:
                return KeysScreen(self)
            case Command.BACK:
                self._stop_click()
                return self._leave_to("")
            case Command.QUIT:
                self._stop_click()
                return None
            case _:
                pass
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:  # noqa: ARG002 - it moves with what arrives
        """Paint the page."""
        painter, picture = self._parts(surface.get_size())
        surface.fill(colour(Ink.GROUND))
        painter.draw(surface, picture.glyphs(self.view()))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        glyphs = picture.glyphs(self.view())
        return texts_of(glyphs, painter.fonts)

    def view(self) -> SetUpView:
        """What is shown."""
        guide = self._guide
        prompt, remark = guide.prompt, guide.remark
        if guide.is_finished:
            prompt = f"Enter keeps this for {self._device}; Esc changes nothing."
        elif self._waits_for_click:
            remark = (LEFT_OUT if self._is_silent else CLICK).format(self._sound_status())
        elif self._may_change_tuning and not remark:
            remark = f"Tuning: {tuning_words(guide.tuning.name)}. Tune first; ← → choose another tuning."
        return SetUpView(self._device, guide, prompt, remark, tuple(self._arrived), self._hints())

    @property
    def _waits_for_click(self) -> bool:
        step = self._guide.step
        return isinstance(step, LatencyStep) and step.wants_click

    @property
    def _may_change_tuning(self) -> bool:
        step = self._guide.step
        return isinstance(step, StringStep) and not step.channel_of_course

    def _hints(self) -> tuple[Hint, ...]:
        leave, help_ = ("Esc", "leave, change nothing", Command.BACK), ("F1", "all keys and marks", Command.KEYS)
        if self._guide.is_finished:
            return ("Enter", "keep", Command.CHOOSE), leave
        if self._waits_for_click and not self._is_silent:
            return ("Enter", "start the click", Command.CHOOSE), leave, help_
        is_clicking = isinstance(self._guide.step, LatencyStep) and not self._is_silent
        enter = "that will do" if is_clicking else "leave this step out"
        tuning = (("← →", "tuning", Command.RIGHT),) if self._may_change_tuning else ()
        return ("Enter", enter, Command.CHOOSE), ("R", "this step again", Command.RESTART), *tuning, leave, help_

    def _entered(self) -> Screen:
        if self._guide.is_finished:
            return self._leave_to(self._keep(self._guide))
        step = self._guide.step
        if isinstance(step, LatencyStep) and step.wants_click and not self._is_silent:
            starts_at_ns = self._start_click(step.most_bars)
            if starts_at_ns is None:
                self._is_silent = True
            else:
                step.start(starts_at_ns)
            return self
        self._guide.enough()
        self._went_on()
        return self

    def _went_on(self) -> None:
        """Another step: the click is over, and what arrives is read with what is known by now."""
        self._stop_click()
        self._monitor = self._new_monitor()

    def _new_monitor(self) -> Monitor:
        """It has heard what came lately, so that it knows what sounds; while the strings are learned it names none."""
        profile = NAMES_NO_STRING if isinstance(self._guide.step, StringStep) else self._guide.profile
        monitor = Monitor(profile, self._guide.tuning)
        if self._recent:
            deque(monitor.lines(tuple(self._recent), self._recent[-1].stamp_ns), maxlen=0)
        return monitor

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, SetUpPicture]:
        painter = self._painter.of(size)
        if self._painted is None or self._painted[0] is not painter:
            self._painted = (painter, SetUpPicture(size, painter.fonts))
        return self._painted
