"""Where the user's own exercises are kept: beside the takes."""

from pathlib import Path

from trainer.devices.recording import takes_folder


def exercises_folder() -> Path:
    """In the user's data folder, or in the folder that BOXWALK_DATA names; it may not exist yet."""
    return takes_folder().with_name("exercises")
