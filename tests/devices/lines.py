"""Short written lines for the tests of the simulated player."""

from fractions import Fraction

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.technique import Technique
from trainer.theory.tuning import Tuning

STANDARD = Tuning("standard", (64, 59, 55, 50, 45, 40))
TECHNIQUES = {"p": Technique.PICK, "h": Technique.HAMMER, "o": Technique.PULL, "s": Technique.SLIDE}


def line(text: str, *, qpm: int = 120, notes_a_quarter: int = 2, passes: int = 1) -> Exercise:
    """A line from words like `2/5 2/8h 1/10s`: string/fret and how it is begun (pick, hammer, o = pull off, slide)."""
    notes = []
    for ordinal, word in enumerate(text.split() * passes):
        course, fret = word.rstrip("phos").split("/")
        location = Location(int(course), int(fret))
        technique = TECHNIQUES[word[-1]] if word[-1].isalpha() else Technique.PICK
        step = Fraction(1, notes_a_quarter)
        notes.append(ScoreNote(ordinal * step, step, location, STANDARD.pitch_at(location), technique))
    return Exercise(
        name="ridge-path",
        title="Ridge path",
        tuning=STANDARD,
        tempo=Tempo(Fraction(qpm)),
        notes=tuple(notes),
        length_quarters=Fraction(len(notes), notes_a_quarter),
    )
