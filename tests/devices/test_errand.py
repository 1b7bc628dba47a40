import time
from collections.abc import Callable
from threading import Event

import pytest

from trainer.devices.errand import errand


def waited_for(poll: Callable[[], int | None]) -> int:
    result = poll()
    while result is None:
        time.sleep(0.001)
        result = poll()
    return result


def test_there_is_no_result_before_the_work_is_done() -> None:
    may_end = Event()

    def act() -> int:
        may_end.wait(10)
        return 7

    poll = errand(act)
    before = poll()
    may_end.set()

    assert (before, waited_for(poll), poll()) == (None, 7, 7)


def test_what_goes_wrong_is_raised_where_the_result_is_asked_for() -> None:
    def act() -> int:
        raise LookupError("no such note")

    poll = errand(act)

    with pytest.raises(LookupError, match="no such note"):
        waited_for(poll)
