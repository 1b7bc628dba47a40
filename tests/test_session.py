import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.builders import SECOND_NS, line, played, session_of
from trainer.devices import wire
from trainer.devices.converter_style import STYLES
from trainer.devices.skill import SKILLS
from trainer.following.verdict import Match, Missed, Pace, Slip, WrongNote
from trainer.judging import judgement, play_through
from trainer.playing.messages import StampedMessage

MS = 1_000_000


def words(session_judgement: dict) -> dict[int, str]:
    """The verdicts on written notes that are not plain matches."""
    return {n["index"]: n["verdict"] for n in session_judgement["notes"] if n["verdict"] != "matched"}


@pytest.mark.parametrize("style", STYLES.values(), ids=list(STYLES))
@pytest.mark.parametrize("pace", Pace)
def test_a_line_played_as_written_gives_only_matches(pace: Pace, style) -> None:
    exercise = line()

    session = play_through(session_of(exercise, pace=pace, style=style), played(exercise, style=style))

    verdicts = [session.ledger.of_written(index) for index in range(len(exercise.notes))]
    assert all(isinstance(verdict, Match) and verdict.settled for verdict in verdicts)
    assert session.assessment().extra == 0


def test_planted_faults_are_found_where_they_were_planted() -> None:
    exercise = line()
    faults = "miss 5, late 9 40, fret 12, string 17, early 20 30"

    session = play_through(session_of(exercise), played(exercise, faults))

    of = session.ledger.of_written
    assert isinstance(of(5), Missed)
    assert of(9).deviation_ns == pytest.approx(40 * MS, abs=2 * MS)
    assert isinstance(of(12), WrongNote)
    assert of(12).slip is Slip.PITCH
    assert isinstance(of(17), WrongNote)
    assert of(17).slip is Slip.STRING
    assert of(20).deviation_ns == pytest.approx(-30 * MS, abs=2 * MS)
    assert set(words(judgement(session))) == {5, 12, 17}


@pytest.mark.parametrize("pace", Pace)
def test_a_stop_and_restart_a_few_notes_back_is_followed(pace: Pace) -> None:
    exercise = line()

    session = play_through(session_of(exercise, pace=pace), played(exercise, "restart 14 8"))

    result = judgement(session)
    assert words(result) == {}
    assert [(jump["from"], jump["to"]) for jump in result["jumps"]] == [(14, 8)]
    assert result["assessment"]["extra"] == 0


def test_a_slide_that_was_picked_again_is_said_to_be_picked() -> None:
    exercise = line("quarry-steps")
    slides = [index for index, note in enumerate(exercise.notes) if note.technique == "slide"]

    session = play_through(session_of(exercise), played(exercise, f"unslid {slides[1]}"))

    played_as = {index: judgement(session)["notes"][index]["technique_played"] for index in slides}
    assert played_as == {index: "pick" if index == slides[1] else "slide" for index in slides}


def test_every_event_gets_a_verdict_and_says_when_it_was_settled() -> None:
    exercise = line()

    session = play_through(
        session_of(exercise), played(exercise, "miss 3, extra 7, restart 14 8", skill=SKILLS["practised"])
    )

    events = judgement(session)["events"]
    assert [event["event"] for event in events] == list(range(len(session.note_ons)))
    assert all(event["settled_after"] is not None and event["settled_after"] <= 4 for event in events)


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), frame_ns=st.integers(1 * MS, 200 * MS), data=st.data())
def test_verdicts_do_not_depend_on_the_frame_rate(seed: int, frame_ns: int, data: st.DataObject) -> None:
    exercise = line("quarry-steps", tempo=140)
    style = STYLES[data.draw(st.sampled_from(sorted(STYLES)))].with_slips()
    pace = data.draw(st.sampled_from(list(Pace)))
    messages = played(exercise, style=style, skill=SKILLS["learning"], seed=seed)
    by_event = session_of(exercise, pace=pace, style=style)
    for message in messages:
        by_event.feed(message)
    end_ns = max(messages[-1].stamp_ns, by_event.due_ns(len(exercise.notes) - 1)) + SECOND_NS
    by_event.finish(end_ns)

    by_frame = session_of(exercise, pace=pace, style=style)
    now_ns = 0
    for message in messages:
        while now_ns <= message.stamp_ns:
            by_frame.advance(now_ns)
            now_ns += frame_ns
        by_frame.feed(message)
    by_frame.finish(end_ns)

    assert judgement(by_frame) == judgement(by_event)


@settings(max_examples=60, deadline=None)
@given(data=st.lists(st.tuples(st.integers(0, 30 * MS), st.binary(min_size=0, max_size=4)), max_size=120))
def test_whatever_arrives_every_written_note_gets_a_verdict(data: list[tuple[int, bytes]]) -> None:
    exercise = line()
    session = session_of(exercise, starts_at_ns=0)
    stamp_ns = 0
    messages = []
    for gap_ns, raw in data:
        stamp_ns += gap_ns
        messages.append(StampedMessage(stamp_ns, raw))

    play_through(session, messages)

    assert all(session.ledger.of_written(index) is not None for index in range(len(exercise.notes)))
    assert all(session.ledger.of_heard(onset.heard) is not None for onset in session.onsets)


def test_due_times_run_with_the_click() -> None:
    exercise = line(tempo=60)

    session = session_of(exercise, starts_at_ns=SECOND_NS)

    assert session.due_ns(2) == SECOND_NS + int(exercise.notes[2].onset_quarters * SECOND_NS)
    assert session.score_quarters(0) == -1


def test_a_note_that_was_bent_is_explained_so() -> None:
    exercise = line("two-gates", tempo=30)
    messages = played(exercise)
    at = next(i for i, message in enumerate(messages) if message.data[0] & 0xF0 == 0x90 and message.data[2])
    channel = messages[at].data[0] & 0x0F
    bends = [
        StampedMessage(
            messages[at].stamp_ns + (100 + 10 * step) * MS,
            wire.bend(channel + 1, wire.bend_value(8 * min(step, 10), 12)),
        )
        for step in range(25)
    ]

    session = play_through(session_of(exercise), sorted([*messages, *bends], key=lambda message: message.stamp_ns))

    assert session.inflections[0].bend_cents == pytest.approx(80, abs=5)
    assert session.explained(0).inflection == session.inflections[0]
