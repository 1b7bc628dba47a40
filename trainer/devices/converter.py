"""The simulated pickup: gestures on strings -> the MIDI bytes that a converter sends for them.

Theory of operation: gestures go through in time order, each to the *voice* of its string, which remembers the key it
holds, its bend and when it is to be released. A picked note is a note-on; a slurred one moves the bend, or is a note-on
of its own, as the style says. What a voice does until its next gesture (vibrato, a false tail, the note-off) is written
when that gesture comes, so that its messages stay in order; all are sorted by stamp at the end.
"""

import random
from collections.abc import Iterator, Sequence
from math import pi, sin

from trainer.devices import wire
from trainer.devices.converter_style import ConverterStyle, Slurs
from trainer.devices.performer import Gesture
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import ChannelUse
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

_MS = 1_000_000
_STEP_NS = 3 * _MS  # between the two bend messages in which a hammer-on or pull-off is tracked, from memory
_TAIL_NS = 60 * _MS  # where false excursions were found, see ConverterStyle.with_slips
_SENSING_NS = 270 * _MS  # active sensing comes at most 300 ms apart, MIDI 1.0
_MARGIN_NS = 100 * _MS  # a ghost needs a string that is silent this long before and after


def convert(
    gestures: Sequence[Gesture], tuning: Tuning, style: ConverterStyle, rng: random.Random
) -> tuple[StampedMessage, ...]:
    """The messages of a take, sorted by stamp; stamp 0 is the zero of the gestures' clock.

    `ValueError` when the style has fewer channels than the tuning has strings.
    """
    if len(style.channel_of_course) < len(tuning.open_pitches):
        raise ValueError(f"{len(style.channel_of_course)} channels for {len(tuning.open_pitches)} strings")
    ordered = sorted(gestures, key=lambda gesture: gesture.onset_ns)
    converter = _Converter(tuning, style, rng)
    for gesture in ordered:
        converter.play(gesture)
    messages = [StampedMessage(0, data) for data in _announcement(tuning, style)]
    messages += converter.finished()
    messages += _other_strings(ordered, tuning, style, rng)
    messages += _background(max((message.stamp_ns for message in messages), default=0), style)
    return tuple(sorted(messages, key=lambda message: message.stamp_ns))


class _Voice:
    """One string as the converter sees it; writes its messages in order."""

    def __init__(self, channel: int, style: ConverterStyle, rng: random.Random, messages: list[StampedMessage]) -> None:
        self.key: int | None = None
        """The key held, None when silent."""
        self.off_ns: int | None = None
        """When the key is to be released; None: never, that note-off gets lost."""
        self._channel = channel
        self._style = style
        self._rng = rng
        self._messages = messages
        self._cents = 0.0
        """Where the pitch stands relative to the key."""
        self._bend = wire.BEND_CENTRE
        self._last_ns = 0

    def on(self, key: int, velocity: int, stamp_ns: int) -> None:
        """A new key, in tune or nearly; the bend comes before it, so that nothing swoops."""
        self.bend(0.0, stamp_ns, always=self._style.channel_use is ChannelUse.MPE)
        self._send(wire.note_on(self._channel, key, self._style.fixed_velocity or velocity), stamp_ns)
        self.key = key

    def off(self, stamp_ns: int) -> None:
        """Let the present key go."""
        if self.key is not None and self.off_ns is not None:
            silent = wire.note_on(self._channel, self.key, 0)
            plain = wire.note_off(self._channel, self.key)
            self._send(silent if self._style.offs_as_velocity_zero else plain, stamp_ns)
        self.key = None

    def bend(self, cents: float, stamp_ns: int, *, wavers: bool = True, always: bool = False) -> None:
        """Bring the pitch to `cents` from the key, as nearly in tune as this string is; sent on a change, or always."""
        self._cents = cents
        if not self._style.sends_bends:
            return
        if wavers and self._style.intonation_sd_cents:
            cents += self._rng.gauss(0, 1) * self._style.intonation_sd_cents
        value = wire.bend_value(cents, self._style.bend_range_semitones)
        if always or value != self._bend:
            self._bend = value
            self._send(wire.bend(self._channel, value), stamp_ns)

    def sustain(self, until_ns: int) -> None:
        """Sound on until then, with the vibrato that the style has."""
        style = self._style
        if self.key is None or not style.vibrato_cents or not style.sends_bends:
            return
        begun_ns, centre_cents = self._last_ns, self._cents
        for stamp_ns in range(begun_ns + style.bend_period_ns, until_ns, style.bend_period_ns):
            phase = 2 * pi * style.vibrato_hz * (stamp_ns - begun_ns) / 1e9
            self.bend(centre_cents + style.vibrato_cents * sin(phase), stamp_ns, wavers=False)
        self._cents = centre_cents

    def fade(self, until_ns: int) -> None:
        """Sound on until then and let go; some notes run astray in their tail."""
        tail_ns = min(_TAIL_NS, max(0, until_ns - self._last_ns) // 2)
        self.sustain(until_ns - tail_ns)
        if self.key is not None and self._rng.random() < self._style.false_tail_rate:
            start_cents = self._cents
            astray_cents = self._rng.choice((-1, 1)) * self._rng.uniform(55, 180)
            for share, stamp_ns in _glide(until_ns - tail_ns, until_ns, self._style.bend_period_ns):
                self.bend(start_cents + astray_cents * share, stamp_ns, wavers=False)
        self.off(until_ns)

    def _send(self, data: bytes, stamp_ns: int) -> None:
        self._last_ns = max(self._last_ns, stamp_ns)
        self._messages.append(StampedMessage(self._last_ns, data))

    def not_before(self, stamp_ns: int) -> int:
        """`stamp_ns`, or the stamp of the latest message when that is later."""
        return max(self._last_ns, stamp_ns)


class _Converter:
    """All strings, one gesture after another."""

    def __init__(self, tuning: Tuning, style: ConverterStyle, rng: random.Random) -> None:
        self._tuning = tuning
        self._style = style
        self._rng = rng
        self._messages: list[StampedMessage] = []
        self._voices = {
            course: _Voice(style.channel_of_course[course - 1], style, rng, self._messages) for course in tuning.courses
        }

    def play(self, gesture: Gesture) -> None:
        """One gesture, after the releases that were due before it."""
        style, voice = self._style, self._voices[gesture.course]
        pitch = self._tuning.open_pitches[gesture.course - 1] + gesture.fret
        latency_ns = style.latency_ns + round(style.latency_cycles * 1e9 / _frequency_hz(pitch))
        jitter_ns = round(self._rng.gauss(0, 1) * style.latency_sd_ns)
        stamp_ns = voice.not_before(gesture.onset_ns + latency_ns + jitter_ns)
        goes_on = voice if gesture.from_fret is not None else None
        for other in self._voices.values():
            if other.off_ns is not None and other.off_ns <= stamp_ns and other is not goes_on:
                other.fade(other.off_ns)
                other.off_ns = None
        release_ns = max(gesture.release_ns + latency_ns, stamp_ns + 1)
        if gesture.from_fret is not None and voice.key is not None:
            self._slur(voice, voice.key, pitch + gesture.from_fret - gesture.fret, pitch, gesture, stamp_ns)
        else:
            if voice.key is not None:
                voice.fade(stamp_ns)
            self._attack(voice, pitch, gesture.velocity, stamp_ns, release_ns)
        voice.off_ns = None if self._rng.random() < style.missing_off_rate else release_ns

    def finished(self) -> list[StampedMessage]:
        """All messages, in order on each string, once what still sounds has been released."""
        for voice in self._voices.values():
            if voice.off_ns is not None:
                voice.fade(voice.off_ns)
        return self._messages

    def _attack(self, voice: _Voice, pitch: int, velocity: int, stamp_ns: int, release_ns: int) -> None:
        style, rng = self._style, self._rng
        half_ns = (stamp_ns + release_ns) // 2
        voice.off_ns = release_ns
        if rng.random() < style.octave_rate and pitch + 12 <= 127:
            voice.on(pitch + 12, velocity, stamp_ns)
            stamp_ns = min(half_ns, stamp_ns + rng.randint(20 * _MS, 60 * _MS))
            voice.off(stamp_ns)
        voice.on(pitch, velocity, stamp_ns)
        if rng.random() < style.duplicate_rate:
            voice.on(pitch, max(1, velocity - 8), min(half_ns, stamp_ns + rng.randint(5 * _MS, 30 * _MS)))

    def _slur(self, voice: _Voice, carrier: int, start: int, pitch: int, gesture: Gesture, stamp_ns: int) -> None:
        """From pitch `start`, which sounds by a bend from the key `carrier`, to `pitch`."""
        style, velocity = self._style, gesture.velocity
        leaves_ns = voice.not_before(stamp_ns - gesture.travel_ns)
        is_slide = gesture.technique is Technique.SLIDE
        passed = range(start, pitch, 1 if pitch > start else -1)[1:] if is_slide else range(0)
        step_ns = (stamp_ns - leaves_ns) // (len(passed) + 1)
        voice.sustain(leaves_ns if is_slide else stamp_ns - _STEP_NS)
        if style.slurs is not Slurs.BEND or not style.sends_bends:
            if style.slurs is Slurs.CHROMATIC or style.passing_notes:
                for place, key in enumerate(passed, start=1):
                    self._retrigger(voice, key, velocity, leaves_ns + place * step_ns)
            self._retrigger(voice, pitch, velocity, stamp_ns)
            return
        limit_cents = 100 * style.bend_range_semitones
        for reached, arrival_ns in self._bend_path(start, pitch, passed, leaves_ns, stamp_ns, is_slide=is_slide):
            voice.bend(max(-limit_cents, min(limit_cents, 100 * (reached - carrier))), arrival_ns)
        if abs(pitch - carrier) <= style.bend_range_semitones:
            voice.bend(100 * (pitch - carrier), stamp_ns)
        else:
            self._retrigger(voice, pitch, velocity, stamp_ns)

    def _bend_path(
        self, start: int, pitch: int, passed: range, leaves_ns: int, stamp_ns: int, *, is_slide: bool
    ) -> Iterator[tuple[float, int]]:
        """(pitch, stamp) of the bends on the way from one pitch to another, without the arrival."""
        if not is_slide:
            yield start + 0.6 * (pitch - start), stamp_ns - _STEP_NS
        elif self._style.slides_in_steps:
            for place, key in enumerate(passed, start=1):
                yield key, leaves_ns + place * (stamp_ns - leaves_ns) // (len(passed) + 1)
        else:
            for share, arrival_ns in _glide(leaves_ns, stamp_ns, self._style.bend_period_ns):
                yield start + (pitch - start) * share, arrival_ns

    @staticmethod
    def _retrigger(voice: _Voice, key: int, velocity: int, stamp_ns: int) -> None:
        voice.off(stamp_ns)
        voice.on(key, velocity, stamp_ns)
        voice.off_ns = stamp_ns


def _glide(start_ns: int, end_ns: int, period_ns: int) -> Iterator[tuple[float, int]]:
    """(share of the way, stamp) at each period strictly between two moments."""
    for stamp_ns in range(start_ns + period_ns, end_ns, period_ns):
        yield (stamp_ns - start_ns) / (end_ns - start_ns), stamp_ns


def _frequency_hz(pitch: int) -> float:
    return 440.0 * float(2.0 ** ((pitch - 69) / 12))


def _announcement(tuning: Tuning, style: ConverterStyle) -> list[bytes]:
    if not style.announces_range:
        return []
    channels = sorted({style.channel_of_course[course - 1] for course in tuning.courses})
    members = wire.mpe_configuration(max(channels) - 1) if style.channel_use is ChannelUse.MPE else []
    return [*members, *(data for channel in channels for data in wire.bend_range(channel, style.bend_range_semitones))]


def _other_strings(
    gestures: Sequence[Gesture], tuning: Tuning, style: ConverterStyle, rng: random.Random
) -> list[StampedMessage]:
    """Ghosts and sympathetic open strings: notes that nobody played, on strings that are silent then."""
    busy = [(gesture.course, gesture.onset_ns - gesture.travel_ns, gesture.release_ns) for gesture in gestures]
    messages: list[StampedMessage] = []
    for gesture in gestures:
        is_ghost = rng.random() < style.ghost_rate
        is_sympathetic = rng.random() < style.sympathetic_rate
        if is_ghost:
            length_ns, velocity, fret = rng.randint(8 * _MS, 35 * _MS), rng.randint(3, 16), rng.randint(0, 14)
        elif is_sympathetic:
            length_ns, velocity, fret = rng.randint(120 * _MS, 350 * _MS), rng.randint(8, 26), 0
        else:
            continue
        start_ns = gesture.onset_ns + rng.randint(5 * _MS, 70 * _MS)
        silent = [
            course
            for course in tuning.courses
            if not any(
                other == course and start_ns - _MARGIN_NS <= until_ns and since_ns <= start_ns + length_ns + _MARGIN_NS
                for other, since_ns, until_ns in busy
            )
        ]
        if silent:
            course = rng.choice(silent)
            busy.append((course, start_ns, start_ns + length_ns))
            channel, key = style.channel_of_course[course - 1], tuning.open_pitches[course - 1] + fret
            data = wire.note_on(channel, key, style.fixed_velocity or velocity)
            messages += [
                StampedMessage(start_ns, data),
                StampedMessage(start_ns + length_ns, wire.note_off(channel, key)),
            ]
    return messages


def _background(last_ns: int, style: ConverterStyle) -> list[StampedMessage]:
    sensing = range(0, last_ns, _SENSING_NS) if style.active_sensing else range(0)
    clock = range(0, last_ns, style.clock_period_ns) if style.clock_period_ns else range(0)
    return [
        *(StampedMessage(stamp_ns, wire.ACTIVE_SENSING) for stamp_ns in sensing),
        *(StampedMessage(stamp_ns, wire.CLOCK) for stamp_ns in clock),
    ]
