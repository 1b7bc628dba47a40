"""What the screens call things, in the words of the trade."""

from fractions import Fraction

from trainer.following.verdict import Pace
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo

STANDARD = "standard"
"""The tuning that need not be named."""
PACE_WORDS = {Pace.CLICK: "with the click", Pace.FREE: "at your own pace"}


def strings_words(courses: tuple[int, ...]) -> str:
    """The strings that a line uses.

    >>> strings_words((1, 2, 3)), strings_words((2,)), strings_words((1, 3))
    ('strings 1–3', 'string 2', 'strings 1 3')
    """
    if len(courses) == 1:
        return f"string {courses[0]}"
    if courses == tuple(range(courses[0], courses[-1] + 1)):
        return f"strings {courses[0]}–{courses[-1]}"
    return f"strings {' '.join(map(str, courses))}"


def key_words(key: str) -> str:
    """A key with the signs of notation.

    >>> key_words("F# minor pentatonic"), key_words("Bb blues"), key_words("B minor")
    ('F♯ minor pentatonic', 'B♭ blues', 'B minor')
    """
    tonic, space, scale = key.partition(" ")
    return tonic[:1] + tonic[1:].replace("#", "♯").replace("b", "♭") + space + scale


def chord_words(name: str) -> str:
    """The name of a chord with the signs of notation.

    >>> chord_words("Bbm"), chord_words("F#m7b5"), chord_words("Dsus4")
    ('B♭m', 'F♯m7♭5', 'Dsus4')
    """
    return name[:1] + name[1:].replace("#", "♯").replace("b", "♭")


def tuning_words(name: str) -> str:
    """The name of a tuning in words.

    >>> tuning_words("drop-d"), tuning_words("seven-string")
    ('drop D', 'seven string')
    """
    return " ".join(word.upper() if len(word) == 1 else word for word in name.split("-"))


def brief_words(exercise: Exercise) -> str:
    """Key and strings of a line, and the tuning unless it is standard."""
    parts = [key_words(exercise.key), strings_words(exercise.courses)]
    if STANDARD not in exercise.tuning.name.lower():
        parts.append(tuning_words(exercise.tuning.name))
    return " · ".join(part for part in parts if part)


def line_words(exercise: Exercise) -> str:
    """The same and the route."""
    if len(exercise.route) > 1:
        return f"{brief_words(exercise)} · route {' '.join(map(str, exercise.route))}"
    return f"{brief_words(exercise)} · position {exercise.route[0]}" if exercise.route else brief_words(exercise)


def tempo_words(tempo: Tempo) -> str:
    """A tempo as it is written over a line."""
    return f"♩ = {number_words(tempo.quarters_per_minute)}"


def number_words(number: Fraction) -> str:
    """A number without needless decimals."""
    return str(number.numerator) if number.denominator == 1 else f"{float(number):.1f}"


def place_words(course: int, fret: int) -> str:
    """A place on the neck."""
    return f"string {course} fret {fret}" if fret else f"string {course} open"


def late_words(late_ms: float) -> str:
    """How late or early something tends to come."""
    rounded = round(abs(late_ms))
    return "on time" if rounded == 0 else f"{rounded} ms {'late' if late_ms > 0 else 'early'}"


def minutes_words(span_ns: int) -> str:
    """A span in whole minutes."""
    minutes = round(span_ns / 60e9)
    return "1 minute" if minutes == 1 else f"{minutes} minutes"
