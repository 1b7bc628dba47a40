"""What a pickup adds is not charged to the player; what the player did is."""

from dataclasses import replace
from fractions import Fraction

from tests.following.builders import (
    EIGHT_UP,
    MS,
    folded,
    follower_of,
    heard_at,
    heard_words,
    line_of,
    played,
    renumbered,
    said_of,
)
from trainer.following.verdict import (
    Extra,
    Match,
    Missed,
)
from trainer.playing.messages import NotePassed
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique


def test_the_octave_of_a_note_within_60_ms_is_not_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 2))
    octave = heard_at(0, 530, 3, played(line)[2].pitch + 12)

    ledger = folded(said_of(line, renumbered([*played(line), octave])))

    assert heard_words(ledger) == "m0 m1 m2 u m3 m4 m5 m6 m7"


def test_an_attack_an_octave_up_that_is_corrected_within_60_ms_is_not_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 2))
    onsets = played(line)
    octave = replace(onsets[2], pitch=onsets[2].pitch + 12)
    corrected = replace(onsets[2], onset_ns=onsets[2].onset_ns + 45 * MS, known_ns=onsets[2].known_ns + 45 * MS)

    ledger = folded(said_of(line, renumbered([*onsets[:2], octave, corrected, *onsets[3:]])))

    assert heard_words(ledger) == "m0 m1 u m2 m3 m4 m5 m6 m7"


def test_a_wrong_octave_that_is_held_is_a_wrong_pitch() -> None:
    line = line_of(EIGHT_UP)
    onsets = played(line)
    onsets[2] = replace(onsets[2], pitch=onsets[2].pitch + 12)

    ledger = folded(said_of(line, onsets))

    assert heard_words(ledger) == "m0 m1 p2 m3 m4 m5 m6 m7"


def test_a_note_triggered_twice_within_70_ms_is_not_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 2))
    again = heard_at(0, 570, 3, played(line)[2].pitch)

    ledger = folded(said_of(line, renumbered([*played(line), again])))

    assert heard_words(ledger) == "m0 m1 m2 u m3 m4 m5 m6 m7"


def test_a_quiet_open_string_is_not_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 2))
    ringing = replace(heard_at(0, 600, 5, 45), velocity=20)

    ledger = folded(said_of(line, renumbered([*played(line), ringing])))

    assert heard_words(ledger) == "m0 m1 m2 u m3 m4 m5 m6 m7"


def test_a_passed_note_is_not_charged_and_frees_the_written_note_that_it_took() -> None:
    line = line_of(((4, 7), (4, 9), (4, 11), (4, 7)), step=Fraction(1, 2))
    follower = follower_of(line)
    follower.receive(heard_at(0, 0, 4, 57))
    follower.receive(heard_at(1, 230, 4, 59))

    said = follower.passed(NotePassed(1, "slide", 245 * MS))
    later = follower.receive(heard_at(2, 250, 4, 59))

    assert said == (Extra(1, 230 * MS, charged=False, settled=False),)
    assert later == (Match(2, 1, 250 * MS, 0, settled=False),)


def test_a_note_that_turns_out_late_to_have_passed_reopens_what_was_settled() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1, 8))
    follower = follower_of(line)
    onsets = played(line)
    for onset in onsets[:7]:
        follower.receive(onset)

    said = follower.passed(NotePassed(1, "slide", onsets[6].known_ns))

    assert Extra(1, onsets[1].onset_ns, charged=False, settled=True) in said
    assert any(isinstance(verdict, Missed) and verdict.index == 1 for verdict in said)


def test_where_a_grace_slide_begins_is_not_charged() -> None:
    line = line_of(EIGHT_UP, step=Fraction(1))
    sliding = replace(line.notes[3], slide_from=Location(3, 4), technique=Technique.SLIDE)
    line = replace(line, notes=(*line.notes[:3], sliding, *line.notes[4:]))
    approach = heard_at(0, 1430, 3, 59)

    ledger = folded(said_of(line, renumbered([*played(line), approach])))

    assert heard_words(ledger) == "m0 m1 m2 u m3 m4 m5 m6 m7"
