"""The `boxwalk` command: without a subcommand it opens the window.

Heavy imports (pygame, pydantic, rtmidi) are taken inside the commands that need them, so that the others start at once.
Bad input ends with one clear sentence and exit code 2.
"""

import click

from trainer import __version__
from trainer.cli.backing import backing
from trainer.cli.capture import capture
from trainer.cli.coach import coach
from trainer.cli.complaint import Program
from trainer.cli.contest import contest
from trainer.cli.cues import cues
from trainer.cli.doctor import doctor
from trainer.cli.hear import hear
from trainer.cli.history import export, history, rejudge
from trainer.cli.homework import homework
from trainer.cli.importing import import_file
from trainer.cli.judge import judge
from trainer.cli.library import exercises, show
from trainer.cli.listening import listen, ports
from trainer.cli.new import new, vary
from trainer.cli.pedals import pedals
from trainer.cli.plan import plan
from trainer.cli.player import keep_history, player_of, player_option, say_trouble
from trainer.cli.practise import practise
from trainer.cli.replay import replay
from trainer.cli.report import report
from trainer.cli.set_up import set_up
from trainer.cli.sheet import sheet
from trainer.cli.sound import sound
from trainer.cli.takes import takes
from trainer.cli.tempo import tempo
from trainer.cli.window import window_option


@click.group(cls=Program, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="boxwalk")
@click.option("--pickup", metavar="NAME", help="Pickup profile (see `boxwalk ports`) for the window.")
@click.option("--silent", is_flag=True, help="No sound at all in the window.")
@click.option("--second-input", metavar="PORT", help="A second player's MIDI port: call and answer, relays.")
@click.option("--second-player", metavar="NAME", default="", callback=player_of, help="Who plays on it.")
@player_option
@window_option
@click.pass_context
def main(
    context: click.Context,
    *,
    pickup: str | None,
    silent: bool,
    second_input: str | None,
    second_player: str,
    player: str,
    size: tuple[int, int],
) -> None:
    """Drill scale lines through the positions: plug in, play, and see what was missed, early, late or not slid.

    Without a command the window opens. Without a pickup, a simulated player shows everything.
    """
    if context.invoked_subcommand is None:
        open_home(
            pickup,
            size,
            silent=silent,
            player=player,
            second_input=second_input,
            second_player=second_player,
        )


def open_home(
    pickup: str | None,
    size: tuple[int, int],
    *,
    silent: bool = False,
    player: str = "",
    second_input: str | None = None,
    second_player: str = "",
) -> None:
    """Open the window on the list of exercises."""
    from trainer.app import open_window
    from trainer.cli.complaint import Complaint
    from trainer.devices.midi_drivers import MidiInputError
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.recording import takes_folder
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import SilentSound
    from trainer.judging import pickup_named
    from trainer.station import Station

    profile = None if pickup is None else pickup_named(pickup)
    sound = SilentSound("it is switched off") if silent else remembered_sound()
    station = Station(None, sound, profile=profile, takes_folder=takes_folder(), memory=Memory())
    try:
        if second_input is not None:
            station.choose_second(second_input)
    except MidiInputError as error:
        raise Complaint(str(error)) from error
    station.second_player = second_player
    keep_history(station, player)
    open_window(station, size=size)
    say_trouble(station)


_COMMANDS = (
    practise,
    contest,
    tempo,
    exercises,
    show,
    new,
    vary,
    import_file,
    capture,
    sheet,
    hear,
    backing,
    ports,
    sound,
    set_up,
    cues,
    pedals,
    listen,
    takes,
    replay,
    judge,
    coach,
    plan,
    report,
    history,
    rejudge,
    export,
    homework,
    doctor,
)
for command in _COMMANDS:
    main.add_command(command)
