from trainer.score.library import load_exercise
from trainer.screens.listening import Listening

LINE = load_exercise("two-gates")
BEGINS_NS = 5_000_000


def listening(told: list[str]) -> Listening:
    def hear(exercise: object) -> int:  # noqa: ARG001 - every line is heard alike
        told.append("heard")
        return BEGINS_NS

    return Listening(hear, lambda: told.append("silent"))


def test_the_note_that_sounds_is_the_last_one_that_began() -> None:
    one = listening([])
    one.start(LINE)
    second_ns = BEGINS_NS + LINE.tempo.ns(LINE.notes[1].onset_quarters)

    found = []
    for now_ns in (BEGINS_NS - 1, BEGINS_NS, second_ns - 1, second_ns):
        one.advance(now_ns)
        found.append(one.index)

    assert found == [None, 0, 0, 1]


def test_behind_its_end_it_is_silent_once() -> None:
    told: list[str] = []
    one = listening(told)
    one.start(LINE)
    end_ns = BEGINS_NS + LINE.tempo.ns(LINE.length_quarters)

    one.advance(end_ns)
    assert one.is_on
    one.advance(end_ns + 1)
    one.advance(end_ns + 2)
    one.stop()

    assert (one.is_on, one.index, told) == (False, None, ["heard", "silent"])
