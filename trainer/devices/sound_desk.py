"""All that a station lets sound: takes, lines, clicks and backings, on one output and by one set of settings.

Moments are ns of `time.perf_counter_ns`, as the output tells them.
"""

import time
from collections.abc import Iterable
from dataclasses import replace

from trainer.devices.latency_click import start_latency_click
from trainer.devices.outputs import Outlet, opened, output_names
from trainer.devices.remembered import KeptSound, Memory
from trainer.devices.sound import Sound
from trainer.run import RunPlan
from trainer.score.exercise import Exercise
from trainer.score.meter import Meter
from trainer.score.tempo import Tempo
from trainer.sounds.backing import Backing
from trainer.sounds.band import bars_of
from trainer.sounds.click import render_click
from trainer.sounds.endless import Endless, Playable
from trainer.sounds.mix import Mix
from trainer.sounds.plucked import render_line
from trainer.sounds.samples import Pcm, mixed, samples_in
from trainer.sounds.stems import Stem, demonstration, stems

LONGEST_HEARD_NS = 120_000_000_000
BEFORE_HEARD_NS = 50_000_000
"""A line that is heard alone begins a little later than its buffer, so that its first attack is whole."""


class SoundDesk:
    """`memory` keeps the settings; without one they last until the program ends."""

    def __init__(self, sound: Sound, memory: Memory | None = None) -> None:
        self.sound = sound
        self._memory = memory
        self._kept = KeptSound() if memory is None else memory.sound

    @property
    def mix(self) -> Mix:
        """How a sitting sounds."""
        return self._kept.mix

    @property
    def output(self) -> str:
        """The name of the output that was chosen; empty: the first that opens."""
        return self._kept.output

    @property
    def offset_ms(self) -> float:
        """How much later the output is heard than the system knows."""
        return self.sound.offset_ms if isinstance(self.sound, Outlet) else 0.0

    @staticmethod
    def outputs() -> tuple[str, ...]:
        """What can be chosen; the empty name stands for the first that opens."""
        return ("", *output_names())

    def keep_mix(self, mix: Mix) -> None:
        """Let sittings sound otherwise from now on."""
        self._keep(replace(self._kept, mix=mix))

    def use_mix(self, mix: Mix) -> None:
        """Let sittings sound otherwise until the program ends."""
        self._kept = replace(self._kept, mix=mix)

    def choose_output(self, name: str) -> None:
        """Let all be heard elsewhere from now on; one that does not open gives way to the first that does."""
        self._keep(replace(self._kept, output=name))
        if isinstance(self.sound, Outlet):
            self.sound.exchange(lambda: opened(self._kept))

    def keep_offset(self, offset_ms: float) -> None:
        """Know from now on how late this output is heard; `ValueError` for what cannot be. Silence is never late."""
        if not self.sound.name:
            return
        self._keep(replace(self._kept, offsets_ms={**self._kept.offsets_ms, self.sound.name: offset_ms}))
        if isinstance(self.sound, Outlet):
            self.sound.offset_ms = offset_ms

    def start_take(self, plan: RunPlan) -> int:
        """Let a take with the click sound; the moment at which its count-in begins."""
        if not self.sound.is_audible:
            return time.perf_counter_ns()
        return self.sound.start(self.rendered(plan))

    def rendered(self, plan: RunPlan) -> Pcm:
        """The whole of a take: its click, its backing and its line where they are wanted."""
        wanted = [Stem.CLICK]
        wanted += [Stem.BACKING] if plan.with_backing else []
        wanted += [Stem.LINE] if plan.hear_line else []
        line = plan.exercise.repeated(plan.passes)
        return mixed(*stems(line, plan.tempo, self.mix, wanted, count_in_bars=plan.count_in_bars).values())

    def hear(self, exercise: Exercise) -> int:
        """Let a line sound alone, at most its first two minutes; when its first beat is heard."""
        tempo = exercise.tempo
        notes = tuple(note for note in exercise.notes if tempo.ns(note.onset_quarters) < LONGEST_HEARD_NS)
        if not self.sound.is_audible:
            return time.perf_counter_ns()
        line = render_line(replace(exercise, notes=notes), tempo, BEFORE_HEARD_NS)
        return self.sound.start(mixed(line)) + BEFORE_HEARD_NS

    def demonstrate(self, exercise: Exercise, tempo: Tempo, wanted: Iterable[Stem], passes: int) -> int:
        """Let a line sound again and again, with what goes with it; when its first beat is heard."""
        if not self.sound.is_audible:
            return time.perf_counter_ns()
        return self.sound.start(demonstration(exercise, tempo, self.mix, wanted, passes))

    def start_backing(self, backing: Backing, tempo: Tempo, length_ns: int) -> int:
        """Let a backing sound, its loop again and again without a seam; when its first beat is heard.

        It is made while it plays, so that an hour of it costs no more memory than its loop (but for the system's
        mixer, which takes it whole).
        """
        if not self.sound.is_audible:
            return time.perf_counter_ns()
        bars = bars_of(backing, tempo, self.mix.levels)
        return self.sound.start(Playable([Endless(bars, backing.meter.bar_quarters, tempo)], samples_in(length_ns)))

    def start_click(self, tempo: Tempo, meter: Meter, bars: int) -> None:
        """Let the click sound alone."""
        if self.sound.is_audible:
            length = bars * meter.bar_quarters
            way = self.mix.click
            self.sound.start(mixed(render_click(tempo, meter, count_in_bars=0, length_quarters=length, way=way)))

    def start_latency_click(self, bars: int) -> int | None:
        """Let the click of the set-up sound; when its first beat after the count-in is heard, None without a sound."""
        return start_latency_click(self.sound, bars) if self.sound.is_audible else None

    def _keep(self, kept: KeptSound) -> None:
        self._kept = kept
        if self._memory is not None:
            self._memory.keep_sound(kept)
