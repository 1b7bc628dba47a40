"""One thing that is worked out on a thread of its own while the frames of a window go on."""

import threading
from collections.abc import Callable
from typing import TypeVar

Result = TypeVar("Result")


def errand(act: Callable[[], Result]) -> Callable[[], Result | None]:
    """Begin at once; what is returned gives the result once there is one, None before, and raises what `act` raised."""
    results: list[Result] = []
    errors: list[Exception] = []

    def work() -> None:
        try:
            results.append(act())
        except Exception as error:  # it is raised where somebody waits for the result
            errors.append(error)

    # Whoever leaves the program does not wait for it.
    threading.Thread(target=work, name="errand", daemon=True).start()

    def poll() -> Result | None:
        if errors:
            raise errors[0]
        return results[0] if results else None

    return poll
