"""Written lines to measure the follower on: pentatonic cells through positions, which repeat themselves a lot."""

from fractions import Fraction
from random import Random

from trainer.score.exercise import Exercise, ScoreNote
from trainer.score.tempo import Tempo
from trainer.theory.fretboard import Location
from trainer.theory.tuning import Tuning

GUITAR = Tuning("standard", (64, 59, 55, 50, 45, 40))
MINOR_PENTATONIC = (0, 3, 5, 7, 10)

# A cell is a walk over the notes of a string group in one position, numbered from its highest note down.
CELLS = {
    "fours down": (0, 1, 2, 3),
    "fours up": (3, 2, 1, 0),
    "fives": (0, 1, 2, 3, 2),
    "sixes": (0, 1, 2, 3, 2, 1),
    "threes": (0, 1, 2),
    "there and back": (0, 1, 2, 3, 4, 5, 4, 3, 2, 1),
    "down three strings": (0, 1, 2, 3, 4, 5),
    "doubled": (0, 1, 0, 1, 2, 3, 2, 3),
}
ROUTES = (
    (4, 5, 6, 7, 8, 9, 10, 9, 8, 7, 6, 5),
    (4, 6, 5, 7, 6, 8, 7, 9, 8, 6, 7, 5, 6, 4),
    (3, 4, 5, 6, 7, 8, 9),
    (8, 7, 6, 5, 4, 3, 4, 5, 6, 7),
    (4, 4, 5, 5, 6, 6, 7, 7, 8, 8),
    (4, 5, 6, 5),
)


def position_notes(tonic: int, position: int, courses: range) -> list[Location]:
    """The notes of one position on some strings, highest first; positions count up the neck from the nut."""
    found: list[Location] = []
    for course in courses:
        open_pitch = GUITAR.open_pitches[course - 1]
        frets = [fret for fret in range(25) if (open_pitch + fret - tonic) % 12 in MINOR_PENTATONIC]
        found += [Location(course, fret) for fret in sorted(frets[position - 2 : position], reverse=True)]
    return found


def drawn_line(rng: Random, size: int, rate: float) -> Exercise:
    """A line of `size` notes at about `rate` notes a second, of cells drawn at random."""
    tonic = rng.randrange(12)
    strings = rng.choice((2, 3))
    first_course = rng.choice((1, 2, 3))
    courses = range(first_course, first_course + strings)
    names = [name for name, walk in CELLS.items() if max(walk) < 2 * strings]
    cells = [CELLS[name] for name in rng.sample(names, rng.choice((1, 1, 2)))]
    route = rng.choice(ROUTES)
    grid = rng.choice((2, 3, 4, 4, 5, 6))
    places: list[tuple[Location, int]] = []
    group = 0
    while len(places) < size:
        notes = position_notes(tonic, route[group % len(route)], courses)
        places += [(notes[step], group) for step in cells[group % len(cells)]]
        group += 1
    step = Fraction(1, grid)
    notes_written = tuple(
        ScoreNote(index * step, step, location, GUITAR.pitch_at(location), group=group)
        for index, (location, group) in enumerate(places[:size])
    )
    tempo = Tempo(Fraction(min(400, max(20, round(rate * 60 / grid)))))
    length = -(-(size * step) // 4) * 4
    return Exercise("drawn-line", "Drawn line", GUITAR, tempo, notes_written, length_quarters=length)
