"""The port that a command listens to."""

from typing import TYPE_CHECKING

from trainer.cli.complaint import Complaint

if TYPE_CHECKING:
    from trainer.devices.midi_input import MidiInput


def source_named(name: str | None) -> "MidiInput":
    """The port of that name, None for the first; `Complaint` when there is none."""
    from trainer.devices.midi_drivers import MidiInputError, input_names
    from trainer.devices.midi_input import MidiInput

    try:
        names = input_names()
        if name is None and not names:
            raise Complaint("no MIDI port was found; plug the pickup in, or see `boxwalk ports`")
        return MidiInput(name or names[0])
    except MidiInputError as error:
        raise Complaint(str(error)) from error
