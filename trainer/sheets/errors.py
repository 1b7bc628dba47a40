"""Why a sheet cannot be written."""


class SheetError(Exception):
    """A sheet that cannot be made or saved; `str()` is the whole message for the user."""
