"""How a pickup's converter turns strings into MIDI: what varies between one and another.

Conventions: lengths are ns, bends are cents, rates are probabilities a note. The figures describe what converters do in
general (common practice, no source, unless a comment says otherwise); no recording of a real converter's output was
found in any open collection, so all of this is modelled.
"""

from dataclasses import dataclass, replace
from difflib import get_close_matches
from enum import StrEnum

from trainer.playing.profile import ChannelUse, PickupProfile

_MS = 1_000_000


class Slurs(StrEnum):
    """What a converter sends for a note that was not picked."""

    BEND = "bend"
    """The sounding note goes on and its bend moves, as long as the range allows."""
    RETRIGGER = "retrigger"
    """A new note-on for the note that was reached."""
    CHROMATIC = "chromatic"
    """A new note-on for every semitone that was reached, those passed on the way of a slide included."""


@dataclass(frozen=True, slots=True)
class ConverterStyle:
    """One converter, with its habits and its slips."""

    name: str = "bend"
    slurs: Slurs = Slurs.BEND
    channel_use: ChannelUse = ChannelUse.STRING_PER_CHANNEL
    channel_of_course: tuple[int, ...] = tuple(range(1, 17))
    """Channel (1..16) of each string, course 1 first; with one channel, the first counts."""
    bend_range_semitones: int = 12
    announces_range: bool = True
    """RPN 0,0 (and the MPE configuration message) stands at the start of the stream."""
    slides_in_steps: bool = True
    """A slide's bend stands on each fret in turn, or else glides."""
    passing_notes: bool = False
    """A retriggered slide sends the frets on its way as notes, too."""
    fixed_velocity: int | None = None
    offs_as_velocity_zero: bool = False
    latency_ns: int = 0
    latency_cycles: float = 0.0
    """Periods of the string that tracking takes, besides `latency_ns`."""
    latency_sd_ns: int = 0
    bend_period_ns: int = 8 * _MS
    """Time between two bend messages while a bend moves."""
    intonation_sd_cents: float = 0.0
    vibrato_cents: float = 0.0
    vibrato_hz: float = 5.5
    """Between 4 and 7 Hz is usual (from memory)."""
    false_tail_rate: float = 0.0
    """Share of notes whose bend runs astray in their last 60 ms."""
    ghost_rate: float = 0.0
    octave_rate: float = 0.0
    duplicate_rate: float = 0.0
    sympathetic_rate: float = 0.0
    missing_off_rate: float = 0.0
    active_sensing: bool = False
    clock_period_ns: int | None = None
    """Time between two MIDI clock bytes (24 a quarter), None: no clock."""

    def __post_init__(self) -> None:
        if not 1 <= self.bend_range_semitones <= 96:
            raise ValueError(f"bend range {self.bend_range_semitones} is not in 1..96 semitones")
        if not all(1 <= channel <= 16 for channel in self.channel_of_course):
            raise ValueError(f"channels {self.channel_of_course} are not all in 1..16")

    @property
    def sends_bends(self) -> bool:
        """Whether this converter bends at all: not in chromatic mode, and not with all strings on one channel."""
        return self.slurs is not Slurs.CHROMATIC and self.channel_use is not ChannelUse.ONE_CHANNEL

    @property
    def profile(self) -> PickupProfile:
        """What a listener has to know of this converter."""
        return PickupProfile(
            name=self.name,
            title=f"Simulated converter, {self.name} style",
            channel_use=self.channel_use,
            channel_of_course=self.channel_of_course,
            bend_range_semitones=float(self.bend_range_semitones),
            latency_ns=self.latency_ns,
            latency_cycles=self.latency_cycles,
            fixed_velocity=self.fixed_velocity is not None,
        )

    def like(self, profile: PickupProfile) -> "ConverterStyle":
        """The same style on the channels, bend range and latency of a pickup profile."""
        return replace(
            self,
            channel_use=profile.channel_use,
            channel_of_course=profile.channel_of_course,
            bend_range_semitones=max(1, min(96, round(profile.bend_range_semitones))),
            latency_ns=profile.latency_ns,
            latency_cycles=profile.latency_cycles,
            fixed_velocity=(self.fixed_velocity or 96) if profile.fixed_velocity else None,
        )

    def with_slips(self) -> "ConverterStyle":
        """The same style with the habits and slips of a real string: latency, jitter, false tails, ghosts."""
        return replace(
            self,
            latency_ns=4 * _MS,
            latency_cycles=1.5,
            latency_sd_ns=600_000,
            intonation_sd_cents=4.0,
            vibrato_cents=6.0,
            false_tail_rate=0.43,  # astray by over 50 cents in the last 60 ms, counted on 31 GuitarSet excerpts
            ghost_rate=0.03,
            octave_rate=0.02,
            duplicate_rate=0.02,
            sympathetic_rate=0.02,
            missing_off_rate=0.03,
            active_sensing=True,
        )


STYLES: dict[str, ConverterStyle] = {
    style.name: style
    for style in (
        ConverterStyle(),
        ConverterStyle(name="retrigger", slurs=Slurs.RETRIGGER),
        ConverterStyle(name="chromatic", slurs=Slurs.CHROMATIC, bend_range_semitones=2),
        ConverterStyle(
            name="mpe",
            channel_use=ChannelUse.MPE,
            channel_of_course=tuple(range(2, 17)),
            bend_range_semitones=48,  # members of a zone after the configuration message, MPE (RP-053) 2.4
        ),
        ConverterStyle(
            name="keyboard",
            slurs=Slurs.RETRIGGER,
            channel_use=ChannelUse.ONE_CHANNEL,
            channel_of_course=(1,) * 16,
            bend_range_semitones=2,
            announces_range=False,
        ),
    )
}
"""The styles without slips; `with_slips` makes one life-like."""


def style_named(name: str) -> ConverterStyle:
    """The style called `name`; `ValueError` with the nearest name when there is none."""
    if name in STYLES:
        return STYLES[name]
    near = get_close_matches(name.lower(), STYLES, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(STYLES)}"
    raise ValueError(f"no converter style is called {name!r}; {hint}")
