"""The step that learns which string arrives on which channel: the open strings, plucked one after the other.

It goes from the lowest string to the highest, the order in which players tune. A pluck is whatever arrives within
`PLUCK_NS`: an octave on the attack, a ghost or a sympathetic string comes with it and is not taken for it, because the
pitch is known. A string is learned when two plucks in a row came on one channel.

What can come out: a channel for each string (in any order, from any channel on); strings that share a channel, which
then cannot be told apart; or a device that gives every note another channel, as MPE allows, so that the channel says
nothing of the string. A zone of MPE (RP-053) may hand its channels out anew for each note and yet bring an open string
on the same one each time; one fretted note, at the pitch of the next open string, tells.
"""

from collections import Counter
from dataclasses import dataclass, replace

from trainer.playing.messages import StringEvent, StringOn
from trainer.playing.profile import ChannelUse, PickupProfile
from trainer.theory.pitch import pitch_name
from trainer.theory.tuning import Tuning

PLUCK_NS = 150_000_000
"""What comes within this time of a first note-on belongs to the same pluck."""
AGREEING_PLUCKS = 2
MOST_PLUCKS = 4
"""A string whose plucks have not agreed by then has no channel of its own."""
SURE_AFTER_STRINGS = 3
"""When this many strings came on one and the same channel, the others need not be asked."""
FIXED_VELOCITY_PLUCKS = 12
"""So many plucks at one velocity are no chance: a player's velocities vary."""
STRING_UNKNOWN = (
    "The string stays unknown and is never judged. Many devices can be switched to one channel a string, often called "
    "mono mode."
)


@dataclass(frozen=True, slots=True)
class _Ask:
    """One place to pluck."""

    course: int
    fret: int = 0


class StringStep:
    """Asks for one string after the other; `has_zone` is told when the device has announced an MPE zone."""

    def __init__(self, tuning: Tuning) -> None:
        self.is_finished = False
        self.remark = ""
        self.channel_of_course: dict[int, int] = {}
        """What has been learned so far."""
        self.has_zone = False
        self._tuning = tuning
        self._asks = [_Ask(course) for course in reversed(tuning.courses)]
        self._plucks: dict[_Ask, list[int]] = {}
        self._velocities: Counter[int] = Counter()
        self._arrived: list[StringOn] = []
        self._off_by: list[int] = []
        self._rotates = False

    @property
    def asked(self) -> tuple[int, int] | None:
        """Course and fret to pluck now; None when there is nothing more to ask."""
        return (self._asks[0].course, self._asks[0].fret) if self._asks else None

    @property
    def prompt(self) -> str:
        """What to do now."""
        if not self._asks:
            return ""
        ask, done = self._asks[0], len(self._plucks.get(self._asks[0], ()))
        place = "open" if ask.fret == 0 else f"fret {ask.fret}"
        again = " once more" if done else ""
        return f"Pluck string {ask.course}{again}, {place} ({pitch_name(self._pitch(ask))}), and let it ring."

    def feed(self, event: StringEvent) -> None:
        """Take in what one string did."""
        self.advance(event.stamp_ns)
        if isinstance(event, StringOn) and not self.is_finished:
            self._arrived.append(event)

    def advance(self, now_ns: int) -> None:
        """Time passes: a pluck is judged once all that belongs to it has arrived."""
        if self._arrived and now_ns - self._arrived[0].stamp_ns > PLUCK_NS and not self.is_finished:
            arrived, self._arrived = self._arrived, []
            self._judge(self._asks[0], arrived)

    def enough(self) -> None:
        """Leave off; strings that were not asked stay as they were."""
        self.is_finished = True

    def applied_to(self, profile: PickupProfile) -> PickupProfile:
        """The profile with the channels learned; the same one when it was left off before the end."""
        if not self.has_learned:
            return profile
        is_fixed = self._is_fixed or (profile.fixed_velocity and len(self._velocities) == 1)
        if not self.separates:
            return replace(profile, channel_use=ChannelUse.ONE_CHANNEL, channel_of_course=(), fixed_velocity=is_fixed)
        return replace(
            profile,
            channel_use=ChannelUse.MPE if self.has_zone else ChannelUse.STRING_PER_CHANNEL,
            channel_of_course=tuple(self.channel_of_course[course] for course in self._tuning.courses),
            fixed_velocity=is_fixed,
        )

    @property
    def has_learned(self) -> bool:
        """Whether it came to an end of its own."""
        return self.is_finished and not self._asks

    @property
    def separates(self) -> bool:
        """Whether every string has a channel of its own."""
        channels = [self.channel_of_course.get(course) for course in self._tuning.courses]
        return not self._rotates and None not in channels and len(set(channels)) == len(channels)

    @property
    def findings(self) -> tuple[str, ...]:
        """What was learned, in sentences."""
        if not self.has_learned:
            return ("Strings: not learned; they stay as they were.",)
        words = [self._channel_words()]
        if self._is_fixed:
            words.append("Every pluck came at the same velocity: how hard a note was played is not sent.")
        return tuple(words)

    @property
    def _is_fixed(self) -> bool:
        return len(self._velocities) == 1 and self._velocities.total() >= FIXED_VELOCITY_PLUCKS

    def _pitch(self, ask: _Ask) -> int:
        return self._tuning.open_pitches[ask.course - 1] + ask.fret

    def _judge(self, ask: _Ask, arrived: list[StringOn]) -> None:
        meant = [event for event in arrived if event.pitch == self._pitch(ask)]
        heard = max(meant or arrived, key=lambda event: event.velocity)
        if not meant:
            self.remark = self._wrong_pitch(ask, heard)
            return
        self._off_by.clear()
        self._velocities[heard.velocity] += 1
        plucks = self._plucks.setdefault(ask, [])
        plucks.append(heard.channel)
        self.remark = f"String {ask.course} arrived on channel {heard.channel}."
        if len(plucks) >= AGREEING_PLUCKS and len(set(plucks[-AGREEING_PLUCKS:])) == 1:
            self._learned(ask, heard.channel)
        elif len(plucks) >= MOST_PLUCKS:
            self.remark = f"String {ask.course} arrived on another channel each time."
            self._finish(rotates=True)

    def _learned(self, ask: _Ask, channel: int) -> None:
        self._asks.pop(0)
        if ask.fret:
            self._finish(rotates=channel != self.channel_of_course[ask.course])
            return
        self.channel_of_course[ask.course] = channel
        is_shared_by_all = (
            len(self.channel_of_course) >= SURE_AFTER_STRINGS and len(set(self.channel_of_course.values())) == 1
        )
        if is_shared_by_all or not self._asks:
            self._asks.clear()
            self._end_or_verify()

    def _end_or_verify(self) -> None:
        """The open strings are done; a zone that seems to separate them has to show it with a fretted note."""
        lowest = len(self._tuning.open_pitches)
        fret = self._tuning.open_pitches[lowest - 2] - self._tuning.open_pitches[lowest - 1] if lowest > 1 else 0
        if self.has_zone and self.separates and fret > 0:
            self._asks.append(_Ask(lowest, fret))
        else:
            self._finish(rotates=False)

    def _finish(self, *, rotates: bool) -> None:
        self._rotates = rotates
        self._asks.clear()
        self.is_finished = True

    def _wrong_pitch(self, ask: _Ask, heard: StringOn) -> str:
        wanted, name = pitch_name(self._pitch(ask)), pitch_name(heard.pitch)
        if heard.pitch in self._tuning.open_pitches:
            played = self._tuning.open_pitches.index(heard.pitch) + 1
            return f"That was {name}, string {played}. String {ask.course} ({wanted}) is wanted."
        self._off_by.append(heard.pitch - self._pitch(ask))
        if len(self._off_by) >= AGREEING_PLUCKS and len(set(self._off_by)) == 1 and abs(self._off_by[0]) <= 5:
            side = "below" if self._off_by[0] < 0 else "above"
            steps = "a semitone" if abs(self._off_by[0]) == 1 else f"{abs(self._off_by[0])} semitones"
            return (
                f"String {ask.course} is {name}, {steps} {side} {wanted}: tune it, or choose the tuning that you play "
                f"({self._tuning.name} is chosen)."
            )
        return f"That was {name}; string {ask.course}, {'open' if not ask.fret else f'fret {ask.fret}'}, is {wanted}."

    def _channel_words(self) -> str:
        channels = self.channel_of_course
        if self.separates:
            listed = " ".join(str(channels[course]) for course in self._tuning.courses)
            lead = "The device is MPE and each string keeps its" if self.has_zone else "Each string has its own"
            return f"{lead} channel: strings 1 to {len(channels)} arrive on {listed}."
        if self._rotates:
            return f"This device gives a note any free channel and so does not separate strings. {STRING_UNKNOWN}"
        used = Counter(channels.values())
        if len(used) == 1:
            channel = next(iter(used))
            return f"All strings arrive on channel {channel}: this device does not separate strings. {STRING_UNKNOWN}"
        sharing = {channel: [course for course in sorted(channels) if channels[course] == channel] for channel in used}
        shared = (
            f"strings {' and '.join(map(str, courses))} on {channel}"
            for channel, courses in sorted(sharing.items())
            if len(courses) > 1
        )
        return f"Some strings share a channel: {'; '.join(shared)}. {STRING_UNKNOWN}"
