from trainer.coaching.rests import BREAK_NS, DUE_NS, GAP_NS, MINUTE_NS, BreakCounter, SinceBreak, since_break

FRAME_NS = 500_000_000


def played(counter: BreakCounter, from_ns: int, length_ns: int) -> int:
    """Frames of a take, the last one at the end; when that is."""
    for now_ns in range(from_ns, from_ns + length_ns + 1, FRAME_NS):
        counter.feed(now_ns)
    return from_ns + length_ns


def test_playing_counts_and_pauses_between_takes_do_not() -> None:
    counter = BreakCounter()

    first_end_ns = played(counter, 0, 7 * MINUTE_NS)
    second_end_ns = played(counter, first_end_ns + BREAK_NS - 1, 3 * MINUTE_NS)

    assert counter.state(second_end_ns + GAP_NS) == SinceBreak(10 * MINUTE_NS, GAP_NS)


def test_five_minutes_without_playing_are_a_break_whether_or_not_playing_goes_on() -> None:
    counter = BreakCounter()

    end_ns = played(counter, 0, DUE_NS)

    assert counter.state(end_ns).is_due
    assert counter.state(end_ns + BREAK_NS) == SinceBreak(0, BREAK_NS)
    assert counter.state(played(counter, end_ns + BREAK_NS, MINUTE_NS)) == SinceBreak(MINUTE_NS, 0)


def test_the_words_ask_for_a_break_only_when_it_is_due_and_then_count_it() -> None:
    words = [
        SinceBreak(0, 0).words(),
        SinceBreak(DUE_NS - 1, 0).words(),
        SinceBreak(DUE_NS, 0).words(),
        SinceBreak(DUE_NS, 2 * MINUTE_NS).words(),
    ]

    assert words == [
        "",
        "19 min since a break",
        "20 minutes of playing: rest your hands for five",
        "break: 2:00 of 5:00",
    ]


def test_a_program_that_is_started_again_goes_on_counting() -> None:
    before = SinceBreak(18 * MINUTE_NS, 2 * MINUTE_NS)
    counter = BreakCounter(before, now_ns=10 * MINUTE_NS)

    assert counter.state(10 * MINUTE_NS) == before
    assert counter.state(played(counter, 11 * MINUTE_NS, 2 * MINUTE_NS)).is_due
    assert BreakCounter(before, 10 * MINUTE_NS).state(13 * MINUTE_NS) == SinceBreak(0, BREAK_NS)


def test_kept_takes_count_from_the_last_break_on() -> None:
    takes = [(0, 10), (20, 25), (26, 30)]
    minutes = [(begins * MINUTE_NS, ends * MINUTE_NS) for begins, ends in takes]

    assert since_break(minutes, 31 * MINUTE_NS) == SinceBreak(9 * MINUTE_NS, MINUTE_NS)
    assert since_break(minutes, 35 * MINUTE_NS) == SinceBreak(0, BREAK_NS)
    assert since_break([], 0) == SinceBreak(0, BREAK_NS)
