"""Turns are driven frame by frame from messages of simulated players, as on the screen."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.answering import CallAndAnswer, Player, Turn, line_of
from trainer.capture.listening import PhraseNote
from trainer.capture.writing import Writing
from trainer.devices.faults import faults_from_text
from trainer.devices.simulated_player import simulated_player
from trainer.playing.messages import StampedMessage
from trainer.score.exercise import Exercise
from trainer.score.library import load_exercise
from trainer.score.tempo import Tempo
from trainer.tablature.differing import AS_WRITTEN, differences
from trainer.theory.tuning import Tuning

FRAME_NS = 16_666_667
SECOND_NS = 1_000_000_000
TEMPO = Tempo(Fraction(100))
PHRASE = load_exercise("quarry-steps").excerpt(0, 7)
SILENCE_NS = 2 * SECOND_NS


def playing(line: Exercise, at_s: float, faults: str = "", tempo: Tempo = TEMPO) -> tuple[StampedMessage, ...]:
    """What a pickup sends when a line is played once, beginning then; nothing goes wrong but what is asked for."""
    player = simulated_player(line, tempo, 0, round(at_s * SECOND_NS), faults=faults_from_text(faults))
    return player.poll(round(at_s * SECOND_NS) + 120 * SECOND_NS)


def profile() -> Player:
    return Player(simulated_player(PHRASE, TEMPO, 0, 0).profile)


def through(
    game: CallAndAnswer,
    caller: Sequence[StampedMessage],
    answerer: Sequence[StampedMessage],
    until_s: float,
    from_s: float = 0.0,
) -> list[tuple[float, Turn]]:
    """Let time pass; when each turn began, in tenths of a second."""
    turns: list[tuple[float, Turn]] = []
    for now_ns in range(round(from_s * SECOND_NS), round(until_s * SECOND_NS), FRAME_NS):
        game.feed_caller([one for one in caller if now_ns - FRAME_NS < one.stamp_ns <= now_ns])
        game.feed_answerer([one for one in answerer if now_ns - FRAME_NS < one.stamp_ns <= now_ns])
        game.advance(now_ns - 6_000_000)
        if not turns or turns[-1][1] is not game.turn:
            turns.append((round(now_ns / SECOND_NS, 1), game.turn))
    return turns


def said(game: CallAndAnswer) -> tuple[str, ...]:
    assert game.answer is not None
    session = game.answer.session
    return differences(game.answer.line, session.ledger, session.onsets)


def two_inputs() -> CallAndAnswer:
    return CallAndAnswer(profile(), profile(), PHRASE.tuning, SILENCE_NS)


def test_a_silence_ends_the_call_and_the_answer_and_what_was_called_is_what_was_played() -> None:
    game = two_inputs()
    last_s = float(PHRASE.notes[-1].onset_quarters) * 0.6

    turns = through(game, playing(PHRASE, 1.0), playing(PHRASE, 5.5), 12.0)

    assert [turn for _, turn in turns] == [Turn.CALL, Turn.ANSWER, Turn.CALL]
    assert [at for at, _ in turns[1:]] == pytest.approx([1.0 + last_s + 2.0, 5.5 + last_s + 2.0], abs=0.2)
    assert game.line is not None
    assert [note.location for note in game.line.notes] == [note.location for note in PHRASE.notes]
    assert said(game) == (AS_WRITTEN,)


def test_what_differs_is_said_note_by_note() -> None:
    game = two_inputs()

    through(game, playing(PHRASE, 1.0), playing(PHRASE, 6.0, "miss 2, fret 5, string 7"), 14.0)

    missed, wrong, elsewhere = said(game)
    assert missed == f"Note 3: left out, string {PHRASE.notes[2].course} fret {PHRASE.notes[2].fret}."
    assert wrong.startswith("Note 6: string ")
    assert wrong.endswith(f"in place of string {PHRASE.notes[5].course} fret {PHRASE.notes[5].fret}.")
    assert elsewhere.startswith("Note 8: the same pitch, but string ")


def test_an_answer_at_another_tempo_is_the_same_answer() -> None:
    game = two_inputs()

    through(game, playing(PHRASE, 1.0), playing(PHRASE, 6.0, tempo=Tempo(Fraction(74))), 16.0)

    assert said(game) == (AS_WRITTEN,)


def test_who_begins_before_the_silence_is_over_is_not_cut_off() -> None:
    game = two_inputs()
    ends_s = 1.0 + float(PHRASE.notes[-1].onset_quarters) * 0.6
    next_call = PHRASE.excerpt(0, 3)
    calls = (*playing(PHRASE, 1.0), *playing(next_call, ends_s + 3.0))
    answer = playing(PHRASE, ends_s + 0.6)

    through(game, calls, answer, ends_s + 4.0)
    first = said(game)
    through(game, calls, answer, ends_s + 6.0, ends_s + 4.0)

    assert first == (AS_WRITTEN,)
    assert game.turn is Turn.ANSWER
    assert game.line is not None
    assert [note.location for note in game.line.notes] == [note.location for note in next_call.notes]


def test_a_caller_who_plays_on_before_an_answer_calls_anew() -> None:
    game = two_inputs()
    other = load_exercise("two-gates").excerpt(0, 3)

    turns = through(game, (*playing(PHRASE, 1.0), *playing(other, 8.0)), (), 14.0)

    assert [turn for _, turn in turns] == [Turn.CALL, Turn.ANSWER, Turn.CALL, Turn.ANSWER]
    assert game.line is not None
    assert [note.pitch for note in game.line.notes] == [note.pitch for note in other.notes]
    assert game.answer is None


def test_on_one_input_the_two_play_by_turns() -> None:
    game = CallAndAnswer(profile(), None, PHRASE.tuning, SILENCE_NS)

    turns = through(game, (*playing(PHRASE, 1.0), *playing(PHRASE, 7.0, "miss 1")), (), 14.0)

    assert [turn for _, turn in turns] == [Turn.CALL, Turn.ANSWER, Turn.CALL]
    assert len(said(game)) == 1
    assert said(game)[0].startswith("Note 2: left out")


def test_a_line_that_is_demonstrated_is_answered_once_it_has_sounded() -> None:
    game = two_inputs()
    game.demonstrate(PHRASE, 3 * SECOND_NS)

    turns = through(game, (), playing(PHRASE, 3.4), 10.0)

    assert [turn for _, turn in turns] == [Turn.DEMONSTRATION, Turn.ANSWER, Turn.CALL]
    assert turns[1][0] == pytest.approx(3.0, abs=0.1)
    assert said(game) == (AS_WRITTEN,)


def test_a_turn_can_be_ended_without_waiting_but_not_before_anything_was_called() -> None:
    game = two_inputs()

    game.end_turn(SECOND_NS)
    silent = game.turn
    through(game, playing(PHRASE, 1.0), (), 4.0)
    game.end_turn(4 * SECOND_NS)

    assert (silent, game.turn) == (Turn.CALL, Turn.ANSWER)
    game.end_turn(5 * SECOND_NS)
    assert (game.turn, game.answer) == (Turn.CALL, None)


def test_a_long_note_within_the_call_does_not_end_its_answer() -> None:
    short = PHRASE.excerpt(0, 1)
    line = replace(
        short, notes=(short.notes[0], replace(short.notes[1], onset_quarters=Fraction(3))), length_quarters=Fraction(4)
    )
    game = two_inputs()
    game.demonstrate(line, SECOND_NS)
    game.silence_ns = SECOND_NS

    through(game, (), playing(line, 1.5, tempo=Tempo(Fraction(80))), 9.0)

    assert said(game) == (AS_WRITTEN,)


@pytest.mark.parametrize("is_shared", [False, True])
def test_what_is_played_while_the_call_is_written_down_belongs_to_the_answer(is_shared: bool) -> None:  # noqa: FBT001
    ready: list[bool] = []

    def write(phrase: Sequence[PhraseNote], tuning: Tuning) -> Writing:
        line = line_of(phrase, tuning)
        return lambda: line if ready else None

    game = CallAndAnswer(profile(), None if is_shared else profile(), PHRASE.tuning, SILENCE_NS, write)
    call, answer = playing(PHRASE, 1.0), playing(PHRASE, 4.6)
    caller, answerer = ((*call, *answer), ()) if is_shared else (call, answer)

    through(game, caller, answerer, 5.0)
    waiting = game.turn
    ready.append(True)
    through(game, caller, answerer, 9.0, 5.0)

    assert waiting is Turn.CALL
    assert said(game) == (AS_WRITTEN,)
