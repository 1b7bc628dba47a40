"""`python -m tests.benchmarks.beats [--lines N] [--seed S]`: is the written beat found in what is played freely?

Even notes do not say whether they are sixteenths at 60 or eighths at 120; accents and figures say something, and the
rest is left to the player, who is shown the readings. So two shares are printed for each kind of line: how often the
reading that is taken has the written beat (within 6 %), and how often one of those has it that are shown.

The lines: shipped ones, at their tempo and others; drawn ones whose cells fill beats only by chance, with accents on
the beats, on the cells, or without; two excerpts of GuitarSet, if its package can be fetched.
"""

import argparse
import math
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from random import Random
from statistics import median
from time import process_time

from tests.benchmarks.lines import drawn_line
from tests.external.guitarset import FetchError, fetched, stream
from trainer.capture.listening import PhraseNote, heard_phrase
from trainer.capture.writing import WORTH_SAYING_NATS, Asked, captured
from trainer.devices.converter_style import STYLES
from trainer.devices.faults import Faults
from trainer.devices.simulated_player import simulated_take
from trainer.devices.skill import SKILLS
from trainer.playing.profile import PickupProfile
from trainer.score.exercise import Exercise
from trainer.score.library import exercise_names, load_exercise
from trainer.score.tempo import Tempo
from trainer.theory.tuning import TUNINGS

COUNT_IN_NS = 2_000_000_000
STYLE = STYLES["bend"]
SAME_BEAT = 0.06
GUITARSET_TEMPOS = {"00_BN1-129-Eb_comp": 129, "00_BN1-147-Gb_comp": 147}


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase and the beat that it was played by."""

    kind: str
    notes: Sequence[PhraseNote]
    asked: Asked
    beat_ms: float


@dataclass(frozen=True, slots=True)
class Found:
    """Whether the beat of a phrase was found."""

    is_first: bool
    is_shown: bool
    cost_s: float


def found(phrase: Phrase) -> Found:
    """How the phrase is read."""
    began_s = process_time()
    grid = captured(phrase.notes, phrase.asked).grid
    cost_s = process_time() - began_s
    shown = [reading for reading in grid.readings if reading.worse_nats <= WORTH_SAYING_NATS]
    right = [abs(math.log(reading.beat / phrase.beat_ms)) <= SAME_BEAT for reading in shown]
    return Found(right[0], any(right), cost_s)


def phrase_of(kind: str, exercise: Exercise, tempo: Tempo, skill: str, seed: int) -> Phrase:
    """What is heard when a simulated player plays the line at this tempo."""
    messages = simulated_take(
        exercise, tempo, COUNT_IN_NS, skill=SKILLS[skill], faults=Faults(), style=STYLE, seed=seed
    )
    notes = heard_phrase(messages, STYLE.profile, exercise.tuning)
    # All lines here are in simple meters, whose beat is the written one.
    beat_ms = tempo.ns(exercise.meter.beat_quarters) / 1e6
    return Phrase(kind, notes, Asked(exercise.tuning, exercise.meter), beat_ms)


def shipped_phrases(seed: int, lines: int) -> Iterator[Phrase]:
    """Shipped lines as a practised and a learning player play them, slower than written, as written, and faster."""
    for share in ("4/5", "1", "13/10"):
        for skill in ("practised", "learning"):
            rng = Random(f"{seed} {share} {skill}")
            for name in rng.sample(exercise_names(), lines):
                exercise = load_exercise(name)
                tempo = Tempo(Fraction(round(exercise.tempo.quarters_per_minute * Fraction(share))))
                yield phrase_of(f"shipped, {share} of its tempo, {skill}", exercise, tempo, skill, rng.randrange(2**32))


def drawn_phrases(seed: int, lines: int) -> Iterator[Phrase]:
    """Drawn lines at 2.5 to 8.5 notes a second."""
    for accents in ("none", "beats", "cells"):
        for number in range(lines):
            rng = Random(f"{seed} {accents} {number}")
            exercise = accented(drawn_line(rng, rng.choice((32, 48, 64, 96)), rng.uniform(2.5, 8.5)), accents)
            skill = rng.choice(("practised", "learning"))
            yield phrase_of(f"drawn, accents: {accents}", exercise, exercise.tempo, skill, rng.randrange(2**32))


def accented(exercise: Exercise, accents: str) -> Exercise:
    """The line with accents on its beats, on the first note of each cell, or none."""
    befores = [None, *(note.group for note in exercise.notes)]
    notes = tuple(
        replace(note, accent=(accents == "beats" and note.onset_quarters % 1 == 0) or (accents == "cells" and is_new))
        for note, is_new in (
            (note, note.group != before) for note, before in zip(exercise.notes, befores, strict=False)
        )
    )
    return replace(exercise, notes=notes)


def recorded_phrases() -> Iterator[Phrase]:
    """The excerpts of GuitarSet; none when they cannot be fetched."""
    tuning = TUNINGS["standard"]
    with tempfile.TemporaryDirectory() as folder:
        try:
            excerpts = fetched(Path(folder))
        except FetchError as error:
            sys.stderr.write(f"{error}\n")
            return
    for name, notes in excerpts.items():
        heard = heard_phrase(stream(notes), PickupProfile(), tuning)
        yield Phrase("GuitarSet", heard, Asked(tuning), 60_000 / GUITARSET_TEMPOS[name])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lines", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    tallies: dict[str, list[Found]] = {}
    for phrases in (
        shipped_phrases(options.seed, options.lines),
        drawn_phrases(options.seed, options.lines),
        recorded_phrases(),
    ):
        for phrase in phrases:
            tallies.setdefault(phrase.kind, []).append(found(phrase))
    sys.stdout.write("| lines | how many | taken, % | shown, % | CPU s, median |\n| --- | --- | --- | --- | --- |\n")
    for kind, tally in tallies.items():
        first, shown = (
            100 * sum(each) / len(tally)
            for each in ([found.is_first for found in tally], [found.is_shown for found in tally])
        )
        cost_s = median(found.cost_s for found in tally)
        sys.stdout.write(f"| {kind} | {len(tally)} | {first:.0f} | {shown:.0f} | {cost_s:.2f} |\n")


if __name__ == "__main__":
    main()
