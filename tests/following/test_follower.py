from dataclasses import replace
from fractions import Fraction

import pytest

from tests.following.builders import (
    EIGHT_UP,
    LINE,
    MS,
    folded,
    follower_of,
    heard_at,
    heard_words,
    line_of,
    played,
    renumbered,
    said_of,
    written_words,
)
from trainer.following.follower import Follower
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import (
    Awaited,
    Jump,
    Match,
    Missed,
    Pace,
    Slip,
    TechniqueResult,
    TechniqueVerdict,
    Verdict,
    WrongNote,
)
from trainer.playing.messages import NoteOnset, TechniqueHeard
from trainer.theory.technique import Technique


def delayed(onsets: list[NoteOnset], late_ms: float) -> list[NoteOnset]:
    shift_ns = round(late_ms * MS)
    return [replace(onset, onset_ns=onset.onset_ns + shift_ns, known_ns=onset.known_ns + shift_ns) for onset in onsets]


def test_a_note_is_matched_at_once_and_settled_by_the_fourth_note_after_it() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 8))
    follower = follower_of(line)

    said = [follower.receive(onset) for onset in played(line)[:5]]

    assert said[0] == (Match(0, 0, 0, 0, settled=False),)
    assert all(Match(0, 0, 0, 0, settled=True) not in verdicts for verdicts in said[:4])
    assert said[4] == (Match(0, 0, 0, 0, settled=True), Match(4, 4, 250 * MS, 0, settled=False))


def test_a_verdict_is_settled_350_ms_after_its_note_and_not_1_ns_before() -> None:
    line = line_of(EIGHT_UP, step=Fraction(4))
    follower = follower_of(line)
    follower.receive(heard_at(0, 0, 4, 57))

    before = follower.advance(350 * MS - 1)
    at_the_edge = follower.advance(350 * MS)

    assert before == ()
    assert at_the_edge == (Match(0, 0, 0, 0, settled=True),)


def test_a_note_left_out_is_missed_and_the_rest_is_matched() -> None:
    line = line_of(EIGHT_UP)
    onsets = renumbered([onset for onset in played(line) if onset.heard != 3])

    ledger = folded(said_of(line, onsets))

    assert written_words(ledger, 8) == "m0 m1 m2 - m4 m5 m6 m7"
    overdue_ns = (375 + 80) * MS
    assert ledger.of_written(3) == Missed(3, 2, overdue_ns, settled=True)


def test_another_pitch_in_the_place_of_a_note_is_a_wrong_pitch() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    onsets[3] = replace(onsets[3], pitch=onsets[3].pitch + 1)

    ledger = folded(said_of(line, onsets))

    assert heard_words(ledger) == "m0 m1 m2 p3 m4 m5 m6 m7"
    assert ledger.of_written(3) == WrongNote(3, 3, Slip.PITCH, 375 * MS, 0, settled=True)


def test_the_same_pitch_on_another_string_is_a_wrong_string() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    onsets[3] = replace(onsets[3], course=4)

    ledger = folded(said_of(line, onsets))

    assert ledger.of_written(3) == WrongNote(3, 3, Slip.STRING, 375 * MS, 0, settled=True)


def test_an_unknown_string_is_never_a_wrong_string() -> None:
    line = line_of(LINE)
    onsets = [replace(onset, course=None) for onset in played(line)]

    ledger = folded(said_of(line, onsets))

    assert heard_words(ledger) == "m0 m1 m2 m3 m4 m5 m6 m7"


def test_a_note_between_two_written_ones_is_extra_and_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 2))
    between = heard_at(0, 625, 4, 60)

    ledger = folded(said_of(line, renumbered([*played(line), between])))

    assert heard_words(ledger) == "m0 m1 m2 x m3 m4 m5 m6 m7"


def test_two_neighbours_the_wrong_way_round_are_both_matched() -> None:
    line = line_of(EIGHT_UP)

    ledger = folded(said_of(line, played(line, order=[0, 1, 3, 2, 4, 5, 6, 7])))

    assert heard_words(ledger) == "m0 m1 m3 m2 m4 m5 m6 m7"
    assert [verdict.deviation_ns for verdict in ledger.heard if isinstance(verdict, Match)][2:4] == [
        -125 * MS,
        125 * MS,
    ]


def test_notes_due_together_are_matched_in_any_order() -> None:
    chord = ((4, 9), (3, 9), (2, 9))
    line = line_of([*chord, (4, 7), *chord], onsets=[Fraction(n) for n in (0, 0, 0, 1, 2, 2, 2)])
    times_ms = (0, 8, 15, 500, 1000, 1008, 1016)
    order = (2, 0, 1, 3, 5, 6, 4)
    onsets = [
        heard_at(heard, at_ms, line.notes[i].course, line.notes[i].pitch)
        for heard, (at_ms, i) in enumerate(zip(times_ms, order, strict=True))
    ]

    ledger = folded(said_of(line, onsets))

    assert heard_words(ledger) == "m2 m0 m1 m3 m5 m6 m4"


def test_a_note_left_out_of_a_chord_is_missed() -> None:
    line = line_of([(4, 9), (3, 9), (2, 9), (4, 7)], onsets=[Fraction(n) for n in (0, 0, 0, 1)])
    onsets = [heard_at(0, 0, 4, 59), heard_at(1, 10, 2, 68), heard_at(2, 500, 4, 57)]

    ledger = folded(said_of(line, onsets))

    assert written_words(ledger, 4) == "m0 - m2 m3"


def test_a_restart_after_a_pause_is_followed_and_said_once() -> None:
    line = line_of(EIGHT_UP * 2)
    onsets = played(line)
    restart = delayed([replace(onset, heard=onset.heard + 4) for onset in onsets[2:]], 875 + 250)

    said = said_of(line, [*onsets[:6], *restart], Pace.FREE)

    assert heard_words(folded(said)) == "m0 m1 m2 m3 m4 m5 " + " ".join(f"m{i}" for i in range(2, 16))
    assert [verdict for verdict in said if isinstance(verdict, Jump)] == [Jump(6, 5, 2)]


def test_who_waits_and_falls_in_with_the_click_has_skipped_what_went_by() -> None:
    line = line_of([(4 - n // 6, 5 + n % 6) for n in range(24)])
    onsets = played(line)

    said = said_of(line, renumbered([*onsets[:8], *onsets[16:]]))

    ledger = folded(said)
    assert heard_words(ledger) == " ".join(f"m{i}" for i in [*range(8), *range(16, 24)])
    assert [type(ledger.of_written(i)) for i in range(8, 16)] == [Missed] * 8
    assert [verdict for verdict in said if isinstance(verdict, Jump)] == [Jump(8, 7, 16)]
    assert {verdict.deviation_ns for verdict in ledger.heard if isinstance(verdict, Match)} == {0}


def test_after_a_restart_the_latest_attempt_is_what_counts() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    wrong = replace(onsets[5], pitch=onsets[5].pitch + 1)
    restart = delayed([replace(onset, heard=onset.heard + 2) for onset in onsets[4:]], 1000)

    ledger = folded(said_of(line, [*onsets[:5], wrong, *restart]))

    assert ledger.of_written(5) == Match(7, 5, 1625 * MS, 0, settled=True)
    assert [type(attempt) for attempt in ledger.attempts(5)] == [WrongNote, Match]


def test_at_the_players_own_pace_a_slower_tempo_is_no_fault() -> None:
    line = line_of(EIGHT_UP * 2)
    slower = [
        replace(onset, onset_ns=onset.onset_ns * 8 // 5, known_ns=onset.known_ns * 8 // 5) for onset in played(line)
    ]

    ledger = folded(said_of(line, slower, Pace.FREE))

    assert heard_words(ledger) == " ".join(f"m{i}" for i in range(16))


def test_a_late_note_in_the_right_order_is_matched_with_its_deviation() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    onsets = played(line)
    onsets[3] = replace(onsets[3], onset_ns=1_690 * MS, known_ns=1_690 * MS)

    ledger = folded(said_of(line, onsets))

    assert ledger.of_heard(3) == Match(3, 3, 1_690 * MS, 190 * MS, settled=True)


def test_who_goes_on_after_a_long_pause_is_judged_by_the_nearest_beat() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    onsets = played(line)
    late = delayed(onsets[4:], 1_500 + 20)

    ledger = folded(said_of(line, [*onsets[:4], *late]))

    assert [verdict.deviation_ns for verdict in ledger.heard if isinstance(verdict, Match)] == [0] * 4 + [20 * MS] * 4


def test_an_overdue_note_is_missed_at_its_deadline_and_awaited_again_when_it_comes() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    follower = follower_of(line)
    follower.receive(heard_at(0, 0, 4, 57))

    until_the_deadline = follower.advance(750 * MS)
    past_it = follower.advance(750 * MS + 1)
    later = follower.receive(heard_at(1, 900, 4, 59))

    assert until_the_deadline == (Match(0, 0, 0, 0, settled=True),)
    assert past_it == (Missed(1, 0, 750 * MS, settled=False),)
    assert later == (Awaited(1, 0, 900 * MS), Match(1, 1, 900 * MS, 400 * MS, settled=False))


def test_at_the_players_own_pace_nothing_is_overdue() -> None:
    line = line_of(EIGHT_UP)
    follower = follower_of(line, Pace.FREE)
    follower.receive(heard_at(0, 0, 4, 57))

    said = follower.advance(20_000 * MS)

    assert said == (Match(0, 0, 0, None, settled=True),)


def test_a_player_who_never_begins_misses_everything_once() -> None:
    line = line_of(EIGHT_UP)
    follower = follower_of(line)

    said = [*follower.advance(5_000 * MS), *follower.finish(6_000 * MS)]

    settled = [verdict.index for verdict in said if isinstance(verdict, Missed) and verdict.settled]
    assert sorted(settled) == list(range(8))


def test_a_note_known_late_is_put_in_its_place() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 8))
    onsets = played(line)
    late = replace(onsets[2], onset_ns=onsets[3].onset_ns - 10 * MS, known_ns=onsets[3].known_ns + 10 * MS)

    ledger = folded(said_of(line, [*onsets[:2], onsets[3], late, *onsets[4:]]))

    assert written_words(ledger, 8) == "m0 m1 m2 m3 m4 m5 m6 m7"


def test_the_first_note_of_the_next_pass_is_an_ordinary_advance() -> None:
    line = line_of(EIGHT_UP)
    twice = line.repeated(2)
    follower = Follower(twice, Pace.CLICK, twice.tempo, 0, Tolerance(), pass_length=8)

    said = [verdict for onset in played(twice) for verdict in follower.receive(onset)]
    said += follower.finish(10_000 * MS)

    assert heard_words(folded(said)) == " ".join(f"m{i}" for i in range(16))
    assert not [verdict for verdict in said if isinstance(verdict, Jump)]


def test_a_restart_of_the_line_stays_in_its_pass() -> None:
    line = line_of(EIGHT_UP)
    twice = line.repeated(2)
    onsets = played(twice)
    restart = delayed([replace(onset, heard=onset.heard + 6) for onset in onsets[:8]], 1500)
    follower = Follower(twice, Pace.FREE, twice.tempo, 0, Tolerance(), pass_length=8)

    said = [verdict for onset in [*onsets[:6], *restart] for verdict in follower.receive(onset)]
    said += follower.finish(10_000 * MS)

    assert [verdict for verdict in said if isinstance(verdict, Jump)] == [Jump(6, 5, 0)]


def test_a_technique_is_judged_whether_it_is_known_before_or_after_the_match() -> None:
    line = line_of(EIGHT_UP)
    hammered = replace(line.notes[1], technique=Technique.HAMMER)
    line = replace(line, notes=(line.notes[0], hammered, *line.notes[2:]))
    follower = follower_of(line)
    onsets = played(line)

    early = follower.technique(TechniqueHeard(0, Technique.PICK, 0))
    with_match = follower.receive(onsets[0])
    follower.receive(onsets[1])
    after = follower.technique(TechniqueHeard(1, Technique.PICK, 130 * MS))
    follower.receive(onsets[2])
    unknown = follower.technique(TechniqueHeard(2, None, 260 * MS))

    assert early == ()
    as_written = TechniqueVerdict(0, 0, Technique.PICK, Technique.PICK, TechniqueResult.AS_WRITTEN)
    assert with_match[1:] == (as_written,)
    assert after == (TechniqueVerdict(1, 1, Technique.HAMMER, Technique.PICK, TechniqueResult.OTHERWISE),)
    assert unknown == (TechniqueVerdict(2, 2, Technique.PICK, None, TechniqueResult.NOT_MEASURABLE),)


def test_a_technique_is_said_once_however_often_its_note_is_told_of_until_it_is_heard_otherwise() -> None:
    line = line_of(EIGHT_UP)
    follower = follower_of(line)
    said: list[Verdict] = []
    for onset in played(line):
        said.extend(follower.receive(onset))
        said.extend(follower.technique(TechniqueHeard(onset.heard, Technique.PICK, onset.known_ns)))
    said.extend(follower.technique(TechniqueHeard(7, Technique.PICK, 900 * MS)))
    otherwise = follower.technique(TechniqueHeard(7, Technique.PULL, 900 * MS))
    said.extend(follower.finish(10_000 * MS))

    assert [verdict.heard for verdict in said if isinstance(verdict, TechniqueVerdict)] == list(range(8))
    assert otherwise == (TechniqueVerdict(7, 7, Technique.PICK, Technique.PULL, TechniqueResult.OTHERWISE),)


@pytest.mark.parametrize(
    ("written", "one_of", "result", "judged"),
    [
        (Technique.HAMMER, (Technique.HAMMER, Technique.SLIDE), TechniqueResult.AS_WRITTEN, Technique.HAMMER),
        (Technique.PULL, (Technique.PULL, Technique.SLIDE), TechniqueResult.AS_WRITTEN, Technique.PULL),
        (Technique.SLIDE, (Technique.HAMMER, Technique.SLIDE), TechniqueResult.NOT_MEASURABLE, None),
        (Technique.PICK, (Technique.HAMMER, Technique.SLIDE), TechniqueResult.OTHERWISE, None),
        (Technique.HAMMER, (), TechniqueResult.NOT_MEASURABLE, None),
    ],
)
def test_where_several_techniques_are_left_a_written_slur_is_believed_and_what_is_ruled_out_is_not(
    written: Technique, one_of: tuple[Technique, ...], result: TechniqueResult, judged: Technique | None
) -> None:
    line = line_of(EIGHT_UP)
    line = replace(line, notes=(replace(line.notes[0], technique=written), *line.notes[1:]))
    follower = follower_of(line)
    follower.receive(played(line)[0])

    (verdict,) = follower.technique(TechniqueHeard(0, None, 100 * MS, one_of))

    assert isinstance(verdict, TechniqueVerdict)
    assert verdict == TechniqueVerdict(0, 0, written, None, result)
    assert verdict.judged is judged


@pytest.mark.parametrize("pace", list(Pace))
def test_a_note_long_before_its_time_that_nothing_follows_is_not_taken_for_it(pace: Pace) -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    onsets = played(line)[:5]
    passed_on_the_way = replace(played(line)[5], onset_ns=(2_500 - 428) * MS, known_ns=(2_500 - 428) * MS)

    ledger = folded(said_of(line, [*onsets, passed_on_the_way], pace))

    assert heard_words(ledger) == "m0 m1 m2 m3 m4 x"


@pytest.mark.parametrize("pace", list(Pace))
def test_a_note_long_before_its_time_is_taken_for_it_when_the_next_ones_are_early_too(pace: Pace) -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    early = [2_250, 2_500, 2_750]
    hurried = [replace(o, onset_ns=ms * MS, known_ns=ms * MS) for o, ms in zip(played(line)[5:], early, strict=True)]

    ledger = folded(said_of(line, [*played(line)[:5], *hurried], pace))

    assert heard_words(ledger) == " ".join(f"m{i}" for i in range(8))


def test_a_string_that_the_instrument_lacks_does_no_harm() -> None:
    line = line_of(EIGHT_UP)
    stray = replace(heard_at(0, 60, 9, 45), velocity=10)

    ledger = folded(said_of(line, renumbered([*played(line), stray])))

    assert heard_words(ledger) == "m0 x m1 m2 m3 m4 m5 m6 m7"


def test_a_line_without_notes_is_refused() -> None:
    line = replace(line_of(EIGHT_UP), notes=())

    with pytest.raises(ValueError, match="line: a line without notes cannot be followed"):
        follower_of(line)


def test_a_note_that_was_settled_as_missed_is_not_played_after_all_as_a_swapped_neighbour() -> None:
    line = line_of(((2, 9), (2, 6), (3, 8), (3, 6), (4, 8), (4, 6), (4, 8), (3, 6)), quarters_per_minute=87)
    heard = ((368, 62, 3), (554, 61, 3), (722, 56, 4), (906, 58, 4), (1123, 58, 4), (1278, 61, 3))
    onsets = [heard_at(number, at, course, pitch) for number, (at, pitch, course) in enumerate(heard)]

    said = said_of(line, onsets, Pace.FREE, wait_ms=0)

    settled = [v.index for v in said if isinstance(v, Match | WrongNote | Missed) and v.settled]
    assert len(set(settled)) == 8
    assert len(settled) == 8 or any(isinstance(verdict, Jump) for verdict in said)


def test_a_note_settled_as_the_first_of_two_swapped_ones_is_taken_again_only_by_a_jump() -> None:
    places = ((3, 8), (3, 5), (3, 8), (3, 5), (4, 8), (4, 6), (4, 8), (4, 6))
    line = line_of(places, step=Fraction(1, 6), quarters_per_minute=20)
    heard = ((400, 63, 3), (428, 60, 3), (452, 45, 5), (1054, 63, 3), (2052, 58, 4), (2502, 56, 4), (2992, 58, 4))
    onsets = [heard_at(number, at, course, pitch) for number, (at, pitch, course) in enumerate(heard)]

    said = said_of(line, onsets, Pace.CLICK, wait_ms=0)

    settled = [v.index for v in said if isinstance(v, Match | WrongNote) and v.settled]
    jumps = [verdict for verdict in said if isinstance(verdict, Jump)]
    assert settled == [2, 1, 2, 4, 5, 6]
    assert jumps == [Jump(3, from_index=2, to_index=2)]
