"""The adaptive run on the screen: what is asked, the passes so far, and the figure.

Between passes this screen stands; Space plays the next pass on the practice screen, which comes back here when it is
over. A pass counts when the whole line was played once at the tempo that was asked.
"""

from collections.abc import Callable

import pygame

from trainer.coaching.asking import Procedure
from trainer.coaching.ladder import Bursts, Ladder, Shuffled
from trainer.coaching.rests import SinceBreak
from trainer.coaching.tempo_sitting import REST_SECONDS, TempoSitting
from trainer.playing.messages import StampedMessage
from trainer.run import RunPlan
from trainer.screens.going_on import GoingOn
from trainer.screens.keys import KeysScreen
from trainer.screens.look import colour
from trainer.screens.paint import PagePainter, Painter, texts_of
from trainer.screens.practice import Outcome
from trainer.screens.screen import TEMPI, Action, Command, Pressed, Screen, target_at
from trainer.screens.tempo_run_picture import TempoRunPicture, TempoRunView
from trainer.screens.words import line_words
from trainer.tablature.glyphs import Ink, Rect

FIRST = "One pass at a time; what was clean decides the next tempo. Warm up first."
OTHERWISE = "That pass was not played once through at the tempo asked, and does not count."
Practice = Callable[[RunPlan, Callable[[Outcome], Screen], Callable[[], Screen]], Screen]


def title_of(procedure: Procedure) -> str:
    """What a run is called by its way to ask."""
    match procedure:
        case Ladder():
            return "Ladder"
        case Bursts():
            return "Bursts"
        case Shuffled():
            return "Shuffled tempi"
        case _:
            return "Working tempo"


class TempoRunScreen:
    """One adaptive run over one line.

    `practice(plan, show_result, leave_to)` is the screen that plays one pass; `before_pass(sitting)` is told before
    each; `most_passes` are drawn room for; `known` is what the working tempo was before; `rest(now_ns)` is how long
    was played since the last break; `leave_to()` is where to go when it is left.
    """

    takes_text = False

    def __init__(
        self,
        sitting: TempoSitting,
        *,
        practice: Practice,
        status: Callable[[], str],
        leave_to: Callable[[], Screen | None],
        before_pass: Callable[[TempoSitting], None] = lambda _sitting: None,
        most_passes: int = 20,
        known: str = "",
        rest: Callable[[int], SinceBreak] = lambda _now_ns: SinceBreak(0, 0),
    ) -> None:
        self._first = self.sitting = sitting
        self._practice = practice
        self._status = status
        self._leave_to = leave_to
        self._before_pass = before_pass
        self._most_passes = most_passes
        self._known = known
        self._rest = rest
        self._now_ns = 0
        self._remark = ""
        self._going_on = GoingOn()
        self._painter = PagePainter()
        self._painted: tuple[Painter, TempoRunPicture] | None = None

    def update(self, messages: tuple[StampedMessage, ...], now_ns: int) -> Screen:  # noqa: ARG002 - only time matters
        """Stay, or go on by itself."""
        self._now_ns = now_ns
        due = self._going_on.feed(
            now_ns, len(self.sitting.judged), is_break_due=self.sitting.is_over or self._rest(now_ns).is_due
        )
        return (self.handle(Command.PAUSE) or self) if due else self

    def handle(self, action: Action) -> Screen | None:
        """Play the next pass, begin anew, or leave."""
        match action:
            case Command.CHOOSE | Command.PAUSE if not self.sitting.is_over:
                self._before_pass(self.sitting)
                plan = RunPlan(self.sitting.exercise, self.sitting.tempo())
                return self._practice(plan, self.heard, lambda: self)
            case Command.LOOP:
                self._going_on.turn()
            case Command.RESTART:
                self.sitting, self._remark = self._first, ""
            case Command.BACK:
                return self._leave_to()
            case Command.QUIT:
                return None
            case Pressed() if self._painted is not None:
                pressed = target_at(self._painted[1].targets(self.view()), action)
                return self if pressed is None else self.handle(pressed)
            case Command.KEYS:
                return KeysScreen(self, place=TEMPI)
            case _:
                pass
        return self

    def heard(self, outcome: Outcome) -> Screen:
        """Judge the pass that was just played."""
        last = outcome.stretches[-1] if outcome.stretches else None
        is_whole = last is not None and not last.is_loop and last.first == 0 and last.is_timed
        if last is None or not is_whole or outcome.plan.tempo != self.sitting.tempo():
            self._remark = OTHERWISE
            return self
        self.sitting = self.sitting.after(last.assess())
        self._remark = self.sitting.remark
        return self

    def draw(self, surface: pygame.Surface, now_ns: int) -> None:
        """Paint the run."""
        self._now_ns = now_ns
        painter, picture = self._parts(surface.get_size())
        surface.fill(colour(Ink.GROUND))
        painter.draw(surface, picture.glyphs(self.view()))

    def texts(self, size: tuple[int, int]) -> list[tuple[str, Rect]]:
        """The texts, and where their capitals lie."""
        painter, picture = self._parts(size)
        glyphs = picture.glyphs(self.view())
        return texts_of(glyphs, painter.fonts)

    def view(self) -> TempoRunView:
        """What is shown now."""
        sitting = self.sitting
        procedure = sitting.procedure
        return TempoRunView(
            title=f"{title_of(procedure)}: {sitting.exercise.title}",
            line_words=line_words(sitting.exercise),
            now=self._now_words(),
            passes=procedure.passes,
            most_passes=self._most_passes,
            estimate=sitting.estimate,
            sentence=f"{sitting.words()} {self._known}" if self._known and sitting.estimate else sitting.words(),
            remark=self._remark or (FIRST if not procedure.passes else ""),
            rest=self._rest_words(),
            is_rest_due=self._rest(self._now_ns).is_due or sitting.is_rest_due,
            definition=sitting.definition(),
            status=self._status(),
            is_hidden=procedure.is_hidden and not sitting.is_over,
            hints=(
                *(() if sitting.is_over else (("Space", "play this pass", Command.PAUSE),)),
                ("L", "wait for Space" if self._going_on.is_on else "go on by itself", Command.LOOP),
                ("R", "begin anew", Command.RESTART),
                ("Esc", "leave", Command.BACK),
                ("F1", "keys, marks", Command.KEYS),
            ),
        )

    def _rest_words(self) -> str:
        """A break comes before the short rest between passes."""
        break_words = self._rest(self._now_ns)
        if break_words.is_due:
            return f"{break_words.words()[:1].upper()}{break_words.words()[1:]}."
        if self.sitting.is_rest_due:
            return f"Rest your hands for {REST_SECONDS} seconds; stop when anything hurts."
        return self._going_on.words(self._now_ns) or break_words.words()

    def _now_words(self) -> str:
        procedure = self.sitting.procedure
        if self.sitting.is_over:
            return f"{len(procedure.passes)} passes played"
        tempo = "hidden" if procedure.is_hidden else f"♩ = {procedure.tempo():g}"
        return f"{tempo} · pass {len(procedure.passes) + 1}"

    def _parts(self, size: tuple[int, int]) -> tuple[Painter, TempoRunPicture]:
        painter = self._painter.of(size)
        if self._painted is None or self._painted[0] is not painter:
            self._painted = (painter, TempoRunPicture(size, painter.fonts))
        return self._painted
