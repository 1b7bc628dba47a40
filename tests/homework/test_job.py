import threading

import pytest

from trainer.homework.job import Job, StoppedError
from trainer.homework.pieces import Progress


def test_a_job_says_how_far_it_is_and_then_what_came_of_it() -> None:
    go_on = threading.Event()

    def act(progress: Progress) -> str:
        progress(2, 5)
        go_on.wait()
        return "all"

    job = Job(act)
    while not job.of:
        pass

    assert (job.done, job.of, job.is_over) == (2, 5, False)
    go_on.set()
    assert job.result == "all"
    assert job.is_over


def test_a_job_that_is_stopped_ends_with_the_next_take() -> None:
    go_on, judged = threading.Event(), []

    def act(progress: Progress) -> str:
        for take in range(3):
            progress(take, 3)
            judged.append(take)
            go_on.wait()
        return "all"

    job = Job(act)
    job.stop()
    go_on.set()

    with pytest.raises(StoppedError):
        _ = job.result
    assert len(judged) < 3


def test_what_a_job_raises_is_raised_where_its_result_is_asked_for() -> None:
    def act(_progress: Progress) -> str:
        raise ValueError("no takes")

    with pytest.raises(ValueError, match="no takes"):
        _ = Job(act).result
