"""`boxwalk capture`: what is played, or was played, written down as an exercise."""

from fractions import Fraction
from typing import TYPE_CHECKING, Any

import click

from trainer.cli.complaint import Complaint, complaints

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.capture.listening import PhraseNote
    from trainer.capture.writing import Asked
    from trainer.playing.messages import StampedMessage
    from trainer.playing.profile import PickupProfile
    from trainer.score.meter import Meter
    from trainer.score.tempo import Tempo
    from trainer.theory.tuning import Tuning

NS_PER_SECOND = 1_000_000_000
_LONGEST_SECONDS = 600


@click.command()
@click.option("--from", "taken", metavar="FILE", help="A take or any MIDI file, instead of playing now.")
@click.option("--input", "input_name", metavar="PORT", help="Which MIDI port. Default: the first.")
@click.option("--pickup", metavar="NAME", help="Pickup profile. Default: the take's, or as the device was set up.")
@click.option("--pace", type=click.Choice(["free", "click"]), default="free", show_default=True)
@click.option("--tempo", type=float, metavar="QPM", help="The click's; played freely: about how fast it is.")
@click.option("--meter", "meter_text", default="4/4", show_default=True)
@click.option("--tuning", "tuning_name", help="Default: the take's, else standard.")
@click.option("--count-in", type=click.IntRange(1, 8), default=1, show_default=True, metavar="BARS")
@click.option(
    "--seconds", type=click.FloatRange(1, _LONGEST_SECONDS), default=120.0, show_default=True, help="At most."
)
@click.option("--starts-at", type=float, metavar="SECONDS", help="With --from: when the click's first beat falls.")
@click.option(
    "--reading",
    type=click.IntRange(1),
    default=1,
    metavar="N",
    help="Which of several beats, as numbered below the line.",
)
@click.option("--silent", is_flag=True, help="No click is heard.")
@click.option("--save", "name", metavar="NAME", help="Keep it among your own exercises under this name.")
@click.option("--width", type=click.IntRange(40, 400), default=100, show_default=True, help="Columns to fill.")
def capture(**options: Any) -> None:
    """Write down a phrase: its strings, frets and techniques, the grid that explains it best, its key and positions.

    Play into the pickup, freely or to the click; three seconds of silence end the phrase, which is kept as a take while
    you play. Which grid was chosen, and how far the playing lies from it, is said below the tablature; where it could
    also be another, --reading N writes that (with --from TAKE, of what you have played).
    """
    from trainer.capture.writing import CaptureError, captured
    from trainer.cli.importing import echo_remarks
    from trainer.keeping import checked_name, keep_line
    from trainer.sheets.text_tablature import text_tablature

    with complaints():
        if options["name"] is not None:
            checked_name(options["name"])
        phrase, asked = _taken(options) if options["taken"] is not None else _played(options)
    try:
        found = captured(phrase, asked)
    except CaptureError as error:
        raise Complaint(f"nothing was written down: {error}") from error
    click.echo(text_tablature(found.exercise, width=options["width"]))
    echo_remarks(found.remarks)
    if options["name"] is not None:
        with complaints():
            path = keep_line(found.exercise, options["name"])
        click.echo(f"Kept as {path}: `boxwalk practise {options['name']}` plays it.")


def _taken(options: dict[str, Any]) -> "tuple[Sequence[PhraseNote], Asked]":
    """The phrase in a take or a MIDI file, and what is known of it."""
    from trainer.capture.listening import heard_phrase
    from trainer.capture.writing import Asked
    from trainer.cli.takes import take_path_of
    from trainer.judging import pickup_named
    from trainer.playing.take import read_take
    from trainer.score.serial import exercise_from_dict

    path = take_path_of(options["taken"])
    take = read_take(path)
    tuning, meter, tempo = _tuning(options), _meter(options), _tempo(options)
    starts_at_ns = None if options["starts_at"] is None else round(options["starts_at"] * NS_PER_SECOND)
    profile = None if options["pickup"] is None else pickup_named(options["pickup"])
    if take.header is not None:
        line = exercise_from_dict(dict(take.header.exercise))
        profile = profile or take.header.profile
        tuning = line.tuning if options["tuning_name"] is None else tuning
        if take.header.pace == "click" and tempo is None and starts_at_ns is None:
            from trainer.judging import tempo_of

            tempo, starts_at_ns = tempo_of(take.header.quarters_per_minute), take.header.starts_at_ns
            meter = line.meter
    if starts_at_ns is not None and tempo is None:
        raise Complaint("--starts-at says where a click began: it needs its --tempo")
    phrase = heard_phrase(take.messages, profile or _profile_for(take.messages), tuning)
    name, title = options["name"] or path.stem, _title(options, path.stem)
    return phrase, Asked(tuning, meter, tempo, starts_at_ns, name, title, options["reading"])


def _profile_for(messages: "Sequence[StampedMessage]") -> "PickupProfile":
    """How a file that says nothing of its device is read: all on one channel tells no strings."""
    from trainer.playing.profile import PickupProfile
    from trainer.playing.profiles import profile_named

    channels = {message.data[0] & 0x0F for message in messages if message.data and message.data[0] >> 4 == 0x9}
    return profile_named("one-channel") if len(channels) == 1 else PickupProfile()


def _played(options: dict[str, Any]) -> "tuple[Sequence[PhraseNote], Asked]":
    """The phrase that is played now."""
    from datetime import datetime

    from trainer.capture.writing import Asked
    from trainer.capturing import CapturePlan, capture_phrase, phrase_keeper
    from trainer.devices.midi_drivers import MidiInputError
    from trainer.devices.outputs import remembered_sound
    from trainer.devices.recording import takes_folder
    from trainer.devices.remembered import Memory
    from trainer.devices.sound import SilentSound
    from trainer.judging import pickup_named
    from trainer.station import Station

    tempo, tuning, meter = _tempo(options), _tuning(options), _meter(options)
    is_clicked = options["pace"] == "click"
    if is_clicked and tempo is None:
        raise Complaint("a click needs its --tempo")
    if options["starts_at"] is not None:
        raise Complaint("--starts-at goes with --from")
    plan = CapturePlan(
        tuning,
        meter,
        tempo if is_clicked else None,
        options["count_in"],
        round(Fraction(options["seconds"]) * NS_PER_SECOND),
    )
    profile = None if options["pickup"] is None else pickup_named(options["pickup"])
    sound = remembered_sound() if is_clicked and not options["silent"] else SilentSound("no click was asked for")
    try:
        station = Station(options["input_name"], sound, profile=profile, memory=Memory())
    except MidiInputError as error:
        raise Complaint(str(error)) from error
    if station.is_simulated:
        station.close()
        raise Complaint("no MIDI port was found to play into; --from FILE writes down a take or a MIDI file")
    name = options["name"] or "captured"
    keeper = phrase_keeper(takes_folder(), plan, name, station, station.input_name, datetime.now().astimezone())
    try:
        click.echo(station.status, err=True)
        phrase = capture_phrase(station, plan, lambda sentence: click.echo(sentence, err=True), keeper=keeper)
    finally:
        station.close()
    if keeper.trouble is not None:
        click.echo(keeper.trouble, err=True)
    if keeper.path is not None:
        click.echo(f"Kept as a take: `boxwalk capture --from {keeper.path.stem}` writes it down again.", err=True)
    return phrase, Asked(tuning, meter, tempo, plan.starts_at_ns, name, _title(options, name), options["reading"])


def _title(options: dict[str, Any], name: str) -> str:
    words = (options["name"] or name).replace("-", " ")
    return str(words[:1].upper() + words[1:])


def _tuning(options: dict[str, Any]) -> "Tuning":
    from trainer.theory.naming import UnknownWord
    from trainer.theory.tuning import tuning_named

    try:
        return tuning_named(options["tuning_name"] or "standard")
    except UnknownWord as error:
        raise Complaint(str(error)) from error


def _meter(options: dict[str, Any]) -> "Meter":
    from trainer.score.recipe import meter_of
    from trainer.theory.naming import UnknownWord

    try:
        return meter_of(options["meter_text"])
    except UnknownWord as error:
        raise Complaint(str(error)) from error


def _tempo(options: dict[str, Any]) -> "Tempo | None":
    from trainer.judging import tempo_of

    return None if options["tempo"] is None else tempo_of(options["tempo"])
