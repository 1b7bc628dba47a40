"""One player's place: the input, the sound and the folder of takes, joined to runs.

A second player can have an input beside it; whoever's turn it is is played on, and the other one is heard aside. The
window and the command without a window both start their runs here, so that both are the same run. Clock: the
computer's steady clock, `time.perf_counter_ns`, the one that stamps the input and tells when the sound is heard.
"""

import time
from collections import deque
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path

from trainer import __version__
from trainer.coaching.tempo_sitting import TempoSitting
from trainer.devices.converter_style import STYLES, ConverterStyle
from trainer.devices.faults import Faults
from trainer.devices.midi_drivers import MidiInputError, input_names
from trainer.devices.midi_input import MidiInput
from trainer.devices.recording import CONTEST, TakeWriter, quantised, take_path
from trainer.devices.remembered import Memory, learned_by
from trainer.devices.seat import Seat
from trainer.devices.simulated_player import SimulatedPlayer, simulated_player
from trainer.devices.skill import EXACT, SKILLS, Skill
from trainer.devices.sound import Sound
from trainer.devices.sound_desk import SoundDesk
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Pace
from trainer.history.keeping import HistoryKeeper
from trainer.history.tempo_runs import run_of
from trainer.playing.calibration.guide import Guide
from trainer.playing.messages import StampedMessage
from trainer.playing.profile import PickupProfile
from trainer.playing.take import TakeHeader
from trainer.run import Keeper, NoKeeper, Run, RunPlan
from trainer.score.exercise import Exercise
from trainer.score.meter import Meter
from trainer.score.serial import exercise_to_dict
from trainer.score.tempo import Tempo

SIMULATED = "simulated"
DEMONSTRATION = "demonstration"
MOST_ASIDE = 4096
"""So many messages of an input that nobody asks for are laid aside; older ones are let go."""
SECOND_PLAYER = "second player"
"""Whose takes those on the second input are when nobody was named."""


@dataclass(frozen=True, slots=True)
class Simulation:
    """Who plays when no pickup does."""

    skill: Skill = SKILLS["practised"]
    faults: Faults = Faults()  # noqa: RUF009 - a frozen value
    style: ConverterStyle = STYLES["bend"]
    seed: int = 1


class Station:
    """Starts runs on the chosen input; polled once a frame."""

    def __init__(
        self,
        input_name: str | None,
        sound: Sound,
        *,
        profile: PickupProfile | None = None,
        simulation: Simulation | None = None,
        takes_folder: Path | None = None,
        memory: Memory | None = None,
    ) -> None:
        self.desk = SoundDesk(sound, memory)
        self.sound = sound
        self.memory = memory
        self.history: HistoryKeeper | None = None
        """Takes in each take when it is over; None: takes stay files alone."""
        self._asked_profile = profile
        self.simulation = simulation or Simulation()
        self.takes_folder = takes_folder
        self.second_player = ""
        """Who plays on the second input; empty: whoever is there."""
        self.second: Seat | None = None
        self._aside: deque[StampedMessage] = deque(maxlen=MOST_ASIDE)
        """What the input whose turn it is not has said since somebody asked."""
        self._first = self._seat = self._seated(input_name or self._first_input())

    @staticmethod
    def input_choices() -> tuple[str, ...]:
        """What can be chosen: the MIDI ports, then the players that need none."""
        return (*input_names(), SIMULATED, DEMONSTRATION)

    @property
    def input_name(self) -> str:
        """The name of the input that is played on."""
        return self._seat.input_name

    @property
    def profile(self) -> PickupProfile:
        """How that input is read: as asked for, else as it was set up, else as most devices are."""
        return self._seat.profile

    @property
    def is_simulated(self) -> bool:
        """Whether no hands are needed."""
        return self.input_name in (SIMULATED, DEMONSTRATION)

    @property
    def device(self) -> str:
        """The name that the chosen input is remembered by."""
        return self._seat.device

    @property
    def status(self) -> str:
        """How the input stands, and that nothing can be heard if that is so, for the screen."""
        if self._seat.source is not None:
            source = self._seat.source.status
        else:
            source = "A simulated player plays." if self.input_name == SIMULATED else "The line is demonstrated."
        return source if self.sound.is_audible else f"No sound. {source}"

    @property
    def trouble(self) -> str:
        """What has gone wrong with the input, or with an output that was heard, and what to do; empty otherwise."""
        has_lost_sound = bool(self.sound.name) and not self.sound.is_audible
        return self._seat.trouble or (self.sound.status if has_lost_sound else "")

    def choose_input(self, name: str) -> None:
        """Listen to another input from now on; `MidiInputError` when no port has that name."""
        seat = self._seated(name)
        if self.second is not None and seat.is_port and seat.device == self.second.device:
            self._take_second("")
        self._first.leave()
        self._first = self._seat = seat

    def choose_second(self, name: str) -> None:
        """Listen to a second input as well, to none with an empty name, and remember it; `MidiInputError` as above."""
        self._take_second(name)
        if self.memory is not None and (self.second is None or self.second.is_port):
            self.memory.keep_second_input("" if self.second is None else self.second.device)

    def next_second(self) -> str:
        """Listen to the next port beside the first, after the last one to none; a sentence about that."""
        others = [name for name in input_names() if name != self._first.device]
        if not others:
            return "There is no other MIDI port: plug the second pickup in."
        names = ["", *others]
        here = "" if self.second is None else self.second.device
        name = names[(names.index(here) + 1) % len(names)] if here in names else ""
        try:
            self.choose_second(name)
        except MidiInputError as error:
            return str(error)
        return f"Second input: {name}." if name else "No second input: both play on the first."

    def take_up_second(self) -> str:
        """Listen to the second input that is remembered, if there is none; a sentence when it cannot be had now."""
        wanted = "" if self.memory is None else self.memory.second_input
        if not wanted or self.second is not None:
            return ""
        try:
            self._take_second(wanted)
        except MidiInputError:
            return f"The second input, {wanted}, is not there now."
        return ""

    def play_on(self, *, second: bool) -> None:
        """Whose turn it is: runs begin on that input; without a second one the first plays on."""
        self._seat = self.second if second and self.second is not None else self._first
        self._aside.clear()

    @property
    def names(self) -> tuple[str, str]:
        """Who plays on the first input and who on the second; empty: the one player who needs no name."""
        return "" if self.history is None else self.history.player, self.second_player or SECOND_PLAYER

    @property
    def is_second_playing(self) -> bool:
        """Whether it is the second input's turn."""
        return self._seat is not self._first

    def poll(self, now_ns: int) -> tuple[StampedMessage, ...]:
        """What has arrived since the last poll, on the steady clock; what the other input says is laid aside."""
        other = self._first if self.is_second_playing else self.second
        if other is not None:
            self._aside.extend(other.poll(now_ns))
        return self._seat.poll(now_ns)

    def heard_aside(self) -> tuple[StampedMessage, ...]:
        """What the other input has said since this was asked last, however often was polled meanwhile."""
        heard = tuple(self._aside)
        self._aside.clear()
        return heard

    def announced(self) -> tuple[StampedMessage, ...]:
        """What the device has said since it was chosen and still holds, stamped 0."""
        return self._seat.announced()

    def start_latency_click(self, bars: int) -> int | None:
        """Let the click of the set-up sound; when its first beat after the count-in is heard, None without a sound."""
        return self.desk.start_latency_click(bars)

    def hear(self, exercise: Exercise) -> int:
        """Let a line sound alone, at most its first two minutes; when its first beat is heard."""
        return self.desk.hear(exercise)

    def keep_set_up(self, guide: Guide) -> str:
        """Read the device by what was learned from now on, and remember it; a sentence about that."""
        if not guide.learned:
            return f"Nothing was learned of {self.device}; nothing was changed."
        self._seat.profile = guide.profile
        if self.memory is None:
            return f"{self.device} is set up until the program ends."
        self.memory.keep_device(self.device, learned_by(guide))
        return self.memory.trouble or f"{self.device} is set up."

    def start_run(self, plan: RunPlan) -> Run:
        """Begin a take: the count-in sounds, whatever is played from now on is followed and kept."""
        if self.history is not None:
            self.history.hold()
        zero_ns = time.perf_counter_ns() if plan.pace is Pace.FREE else self.desk.start_take(plan)
        preamble, profile = self._seat.announced(), self.profile
        if self.is_simulated:
            player = self._simulated_player(plan, zero_ns)
            self._seat.source, profile, preamble = player, player.profile, ()
        return Run(
            plan,
            zero_ns=zero_ns,
            profile=profile,
            keeper=self._keeper(plan, profile),
            preamble=preamble,
            quantise=quantised,
            stop_sound=self.sound.stop,
            at_end=self._take_over,
        )

    def keep_tempo(self, sitting: TempoSitting) -> None:
        """Let the history have the working tempo that a sitting found, if it is over and found one."""
        run = run_of(sitting, datetime.now().astimezone(), is_simulated=self.is_simulated)
        if run is not None and self.history is not None:
            self.history.keep_tempo_run(run)

    def start_click(self, tempo: Tempo, meter: Meter, bars: int) -> None:
        """Let the click sound alone."""
        self.desk.start_click(tempo, meter, bars)

    def close(self) -> None:
        """Leave the port and the sound card, and wait for the history to have the last take."""
        self._first.leave()
        if self.second is not None:
            self.second.leave()
        self.sound.close()
        if self.history is not None:
            self.history.close()

    def _take_over(self, run: Run) -> None:
        if self.history is not None:
            self.history.take_over(run.session, run.take_path)

    def _first_input(self) -> str:
        return next(iter(input_names()), SIMULATED)

    def _take_second(self, name: str) -> None:
        seat = self._seated(name) if name else None
        if seat is not None and seat.is_port and seat.device == self._first.device:
            seat.leave()
            raise MidiInputError(f"{seat.device} is the first input already: the second needs a port of its own.")
        self.play_on(second=False)
        if self.second is not None:
            self.second.leave()
        self.second = seat

    def _seated(self, name: str) -> Seat:
        """An input, opened and read as is known of it; `MidiInputError` when no port has that name."""
        seat = Seat(name, None if name in (SIMULATED, DEMONSTRATION) else MidiInput(name), PickupProfile())
        learned = self.memory.profile_of(seat.device) if self.memory else None
        seat.profile = self._asked_profile or learned or PickupProfile()
        return seat

    def _simulated_player(self, plan: RunPlan, zero_ns: int) -> SimulatedPlayer:
        simulation = self.simulation
        if self.input_name == DEMONSTRATION:
            simulation = replace(simulation, skill=EXACT, faults=Faults())
        line = plan.exercise.repeated(plan.passes)
        return simulated_player(
            line,
            plan.tempo,
            plan.count_in_ns,
            zero_ns,
            skill=simulation.skill,
            faults=simulation.faults.that_fit(line),
            style=simulation.style,
            seed=simulation.seed,
        )

    def _keeper(self, plan: RunPlan, profile: PickupProfile) -> Keeper:
        if self.takes_folder is None or self.input_name == DEMONSTRATION:
            return NoKeeper()
        now = datetime.now().astimezone()
        first, last = plan.stretch or (None, None)
        header = TakeHeader(
            program=f"boxwalk {__version__}",
            date=now.isoformat(timespec="seconds"),
            exercise_name=plan.exercise.name,
            exercise=exercise_to_dict(plan.exercise),
            pace=plan.pace.value,
            quarters_per_minute=plan.tempo.quarters_per_minute,
            starts_at_ns=plan.count_in_ns,
            passes=plan.passes,
            first_note=first,
            last_note=last,
            profile=profile,
            tolerance=asdict(Tolerance()),
            seed=self.simulation.seed if self.is_simulated else None,
            input=self.input_name,
            player=self.names[1 if self.is_second_playing else 0],
            contest=plan.contest,
            turn=plan.turn,
        )
        name = f"{CONTEST} {plan.exercise.name}" if plan.contest else plan.exercise.name
        return TakeWriter(take_path(self.takes_folder, now, name), header)
