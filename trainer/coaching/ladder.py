"""The ladders of the trade: plain rules for raising a tempo, each with its settings.

- `Ladder`: so many clean passes in a row, up by a step; with a step down after so many spoiled ones in a row, or
  without. Without a step down it is no measurement: it climbs until the player fails and stays there. Common steps are
  2 to 5 quarters a minute, or 3 to 5 %, after 3 to 5 clean passes (common practice, no source).
- `Bursts`: at a tempo that is easy, with now and then one pass well above it, and back (the trade overshoots by about a
  quarter). The easy tempo rises when a burst was clean.
- `Shuffled`: some tempi round one that is known, in shuffled order, and the player is not told which comes next; how
  many were clean at each is shown afterwards. Players stuck at a tempo report that this gets them past it; that is an
  observation and no promise.

Nothing here estimates anything: for that there is `working_tempo`.
"""

from collections import Counter
from dataclasses import dataclass, field, replace
from random import Random
from typing import Self

from trainer.coaching.asking import Pass, checked_start, within_limits

_NOTHING_MORE = "nothing more is asked: all passes are played"


@dataclass(frozen=True, slots=True)
class Rungs:
    """The settings of a ladder; steps are in quarters a minute, or in per cent."""

    in_row: int = 3
    up: float = 4.0
    down: float = 0.0
    """0: there is no step down."""
    spoiled_in_row: int = 2
    """So many spoiled passes in a row go down."""
    in_percent: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.in_row <= 20 or not 1 <= self.spoiled_in_row <= 20:
            raise ValueError(f"{self.in_row} clean and {self.spoiled_in_row} spoiled in a row: expected 1 to 20 each")
        if not 0 < self.up <= 50 or not 0 <= self.down <= 50:
            raise ValueError(f"steps of {self.up:g} up and {self.down:g} down: expected over 0, and 0, up to 50")

    def above(self, qpm: float) -> float:
        """The next rung."""
        return qpm * (1 + self.up / 100) if self.in_percent else qpm + self.up

    def below(self, qpm: float) -> float:
        """The rung before."""
        return qpm / (1 + self.down / 100) if self.in_percent else qpm - self.down


@dataclass(frozen=True, slots=True)
class Ladder:
    """A ladder after some passes."""

    start_qpm: float
    rungs: Rungs = field(default_factory=Rungs)
    most_passes: int = 20
    passes: tuple[Pass, ...] = ()
    at_qpm: float | None = None
    run: int = 0
    """Passes in a row that came out the same at this tempo: clean ones counted up, spoiled ones down from 0."""
    is_hidden: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    @property
    def is_over(self) -> bool:
        """Whether all passes are played."""
        return len(self.passes) >= self.most_passes

    def tempo(self) -> float:
        """The tempo of the next pass."""
        if self.is_over:
            raise ValueError(_NOTHING_MORE)
        return within_limits(self.start_qpm if self.at_qpm is None else self.at_qpm)

    def told(self, *, clean: bool) -> Self:
        """The ladder after the next pass."""
        here = self.tempo()
        run = max(0, self.run) + 1 if clean else min(0, self.run) - 1
        if run >= self.rungs.in_row:
            here, run = self.rungs.above(here), 0
        elif self.rungs.down and -run >= self.rungs.spoiled_in_row:
            here, run = self.rungs.below(here), 0
        return replace(self, passes=(*self.passes, Pass(self.tempo(), clean)), at_qpm=within_limits(here), run=run)

    def words(self) -> str:
        """The highest tempo that was kept up."""
        kept = _kept_up(self.passes, self.rungs.in_row)
        if kept is None:
            return f"No tempo was clean {_times(self.rungs.in_row)} in a row yet."
        return f"Clean {_times(self.rungs.in_row)} in a row up to ♩ = {kept:g}."


@dataclass(frozen=True, slots=True)
class Leaps:
    """The settings of bursts."""

    easy_passes: int = 2
    """Before each burst."""
    over_percent: float = 25.0
    """How far a burst lies above the easy tempo."""
    rise_percent: float = 3.0
    """How far the easy tempo rises after a clean burst."""

    def __post_init__(self) -> None:
        if not 1 <= self.easy_passes <= 20:
            raise ValueError(f"{self.easy_passes} easy passes: expected 1 to 20")
        if not 0 < self.over_percent <= 100 or not 0 <= self.rise_percent <= 20:
            raise ValueError(
                f"{self.over_percent:g} % over, rising by {self.rise_percent:g} %: expected up to 100 and 0 to 20"
            )


@dataclass(frozen=True, slots=True)
class Bursts:
    """Easy passes and bursts, after some of them."""

    start_qpm: float
    leaps: Leaps = field(default_factory=Leaps)
    most_passes: int = 15
    passes: tuple[Pass, ...] = ()
    easy_qpm: float | None = None
    is_hidden: bool = field(default=False, init=False)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    @property
    def is_over(self) -> bool:
        """Whether all passes are played."""
        return len(self.passes) >= self.most_passes

    @property
    def is_burst(self) -> bool:
        """Whether the next pass is one."""
        return self._is_burst(len(self.passes))

    def tempo(self) -> float:
        """The tempo of the next pass."""
        if self.is_over:
            raise ValueError(_NOTHING_MORE)
        return within_limits(self._easy * (1 + self.leaps.over_percent / 100) if self.is_burst else self._easy)

    def told(self, *, clean: bool) -> Self:
        """What comes after the next pass."""
        rises = self.is_burst and clean
        easy = within_limits(self._easy * (1 + self.leaps.rise_percent / 100)) if rises else self._easy
        return replace(self, passes=(*self.passes, Pass(self.tempo(), clean)), easy_qpm=easy)

    def words(self) -> str:
        """How many bursts were clean."""
        bursts = [one for number, one in enumerate(self.passes) if self._is_burst(number)]
        clean = [one.qpm for one in bursts if one.is_clean]
        fastest = f", the fastest at ♩ = {max(clean):g}" if clean else ""
        return f"{len(clean)} of {len(bursts)} bursts clean{fastest}."

    def _is_burst(self, number: int) -> bool:
        return number % (self.leaps.easy_passes + 1) == self.leaps.easy_passes

    @property
    def _easy(self) -> float:
        return self.start_qpm if self.easy_qpm is None else self.easy_qpm


@dataclass(frozen=True, slots=True)
class Mixture:
    """The settings of shuffled tempi."""

    tempi: int = 5
    around_percent: float = 20.0
    """How far the slowest and the fastest lie from the middle."""
    times: int = 3
    """How often each is asked; all of them once before any comes again."""
    seed: int = 1

    def __post_init__(self) -> None:
        if not 2 <= self.tempi <= 15 or not 1 <= self.times <= 10:
            raise ValueError(f"{self.tempi} tempi {self.times} times: expected 2 to 15 tempi, 1 to 10 times")
        if not 0 < self.around_percent <= 60:
            raise ValueError(f"{self.around_percent:g} % around: expected over 0, up to 60")


@dataclass(frozen=True, slots=True)
class Shuffled:
    """Hidden tempi in shuffled order, after some passes; `start_qpm` is their middle."""

    start_qpm: float
    mixture: Mixture = field(default_factory=Mixture)
    passes: tuple[Pass, ...] = ()
    is_hidden: bool = field(default=True, init=False)

    def __post_init__(self) -> None:
        checked_start(self.start_qpm)

    @property
    def is_over(self) -> bool:
        """Whether every tempo was asked as often as it should be."""
        return len(self.passes) >= self.mixture.tempi * self.mixture.times

    def tempo(self) -> float:
        """The tempo of the next pass, which the player is not told."""
        if self.is_over:
            raise ValueError(_NOTHING_MORE)
        mixture, number = self.mixture, len(self.passes)
        reach = 1 + mixture.around_percent / 100
        tempi = [
            within_limits(self.start_qpm * reach ** (2 * place / (mixture.tempi - 1) - 1))
            for place in range(mixture.tempi)
        ]
        Random(f"{mixture.seed} {number // mixture.tempi}").shuffle(tempi)
        return tempi[number % mixture.tempi]

    def told(self, *, clean: bool) -> Self:
        """What comes after the next pass."""
        return replace(self, passes=(*self.passes, Pass(self.tempo(), clean)))

    def words(self) -> str:
        """How many were clean at each tempo."""
        asked = Counter(one.qpm for one in self.passes)
        clean = Counter(one.qpm for one in self.passes if one.is_clean)
        if not asked:
            return "Nothing was played yet."
        return f"Clean: {', '.join(f'{clean[qpm]} of {asked[qpm]} at ♩ = {qpm:g}' for qpm in sorted(asked))}."


def _kept_up(passes: tuple[Pass, ...], in_row: int) -> float | None:
    """The fastest tempo at which so many passes in a row were clean."""
    kept = [
        passes[last].qpm
        for last in range(in_row - 1, len(passes))
        if all(one.is_clean and one.qpm == passes[last].qpm for one in passes[last - in_row + 1 : last + 1])
    ]
    return max(kept, default=None)


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
