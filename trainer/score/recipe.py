"""A recipe: what an exercise file says, before it is turned into notes.

The same words stand in a TOML file and in a line of text (see `one_line`); each field's text is read by the module that
its subject belongs to. The JSON Schema of this model is `shared/exercise.schema.json`.
"""

from collections.abc import Callable
from enum import StrEnum
from fractions import Fraction
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, PlainValidator, WithJsonSchema
from pydantic_core import ErrorDetails

from trainer.score.articulation import (
    Accents,
    Articulation,
    ShiftKind,
    accents_of,
    articulation_of,
    shift_kind_of,
)
from trainer.score.cell_words import cells_of
from trainer.score.cells import Cell
from trainer.score.hand import HANDS, HandLimits, limits_of
from trainer.score.meter import Meter
from trainer.score.rhythm import Rhythm, duration_of, duration_text, rhythm_of
from trainer.score.route import Route, route_of
from trainer.score.tempo import Tempo
from trainer.score.words import number_of, whole_number
from trainer.theory.naming import UnknownWord, named
from trainer.theory.scale import Key, key_named
from trainer.theory.technique import Stroke
from trainer.theory.tuning import TUNINGS, Tuning, tuning_named


class Order(StrEnum):
    """Which way a line is played."""

    FORWARD = "forward"
    BACKWARD = "backward"


def courses_of(text: str) -> tuple[int, ...]:
    """The strings that a text names, highest-pitched first; `UnknownWord` when it names none.

    `1-2`, `1 2 3`, `3-2-1`, `1`, `top three`; `all` is an empty row: as many as the tuning has.
    """
    if text.strip().lower() == "all":
        return ()
    if text.lower().startswith("top "):
        return tuple(range(1, whole_number(text.split()[1], "how many strings") + 1))
    words = text.replace("-", " - ").replace(",", " ").split()
    numbers: list[int] = []
    for word in words:
        if word == "-":
            continue
        number = number_of(word)
        if not number:
            raise UnknownWord(word, "a string number, 1 = the highest-pitched")
        numbers.append(number)
    if not numbers:
        raise UnknownWord("", "string numbers, such as 1-2")
    if len(words) == 3 and words[1] == "-":
        numbers = list(range(min(numbers), max(numbers) + 1))
    if len(set(numbers)) < len(numbers):
        raise UnknownWord(text.strip(), "a set of strings: one of them stands twice")
    return tuple(sorted(numbers))


def meter_of(text: str) -> Meter:
    """The meter that a text such as `4/4` names; `UnknownWord` for any other."""
    beats, _, unit = text.replace(" ", "").partition("/")
    if beats not in map(str, range(1, 33)) or unit not in {"1", "2", "4", "8", "16"}:
        raise UnknownWord(text.strip(), "a meter such as 4/4, 7/8")
    return Meter(int(beats), int(unit))


def courses_text(courses: tuple[int, ...]) -> str:
    """The words for strings: `courses_of` reads them back."""
    if not courses:
        return "all"
    if len(courses) > 1 and courses == tuple(range(courses[0], courses[-1] + 1)):
        return f"{courses[0]}-{courses[-1]}"
    return " ".join(map(str, courses))


def start_of(text: str) -> Fraction:
    """Quarters of silence before the line begins: `on the beat`, or `after` a note value, such as `after an eighth`."""
    plain = " ".join(text.lower().split())
    if plain == "on the beat":
        return Fraction(0)
    if not plain.startswith("after "):
        raise UnknownWord(text.strip(), "where the line begins: `on the beat`, or `after` a note value")
    duration = duration_of(plain.removeprefix("after "))
    try:
        duration_text(duration)
    except ValueError as error:
        raise UnknownWord(text.strip(), f"a start that can be written: {error}") from error
    return duration


def start_text(start_quarters: Fraction) -> str:
    """The words for a start: `start_of` reads them back."""
    if not start_quarters:
        return "on the beat"
    # Two sixteenths are an eighth, so any time that can be said can be said in one value or in values tied.
    return f"after {duration_text(start_quarters)}"


def order_of(text: str) -> Order:
    """`forward` or `backward`."""
    return named(text, {kind.value: kind for kind in Order}, "an order")


def stroke_of(text: str) -> Stroke:
    """`down` or `up`."""
    if text.strip().lower() not in tuple(Stroke):
        raise UnknownWord(text, "a stroke", tuple(Stroke))
    return Stroke(text.strip().lower())


def _read_by(parse: Callable[[str], object], joiner: str = " ") -> PlainValidator:
    """Reads a field that is written as text; a list of words or numbers is joined to text first."""

    def read(value: object) -> object:
        if isinstance(value, list) and all(isinstance(part, str | int) for part in value):
            return parse(joiner.join(str(part) for part in value))
        if isinstance(value, str):
            return parse(value)
        if isinstance(value, bool | float | list | dict) or value is None:
            raise UnknownWord(str(value), "text")
        return parse(str(value)) if isinstance(value, int) else value

    return PlainValidator(read)


def _text(description: str, *examples: object, lists: bool = False) -> WithJsonSchema:
    schema: dict[str, object] = {"type": "string", "description": description, "examples": list(examples)}
    if lists:
        schema |= {"type": ["string", "array"], "items": {"type": ["string", "integer"]}}
    return WithJsonSchema(schema)


def _plain(text: str) -> str:
    return " ".join(text.split())


def _tag(text: str) -> str:
    if "," in text or not text.strip():
        raise UnknownWord(text, "a tag: some words without a comma")
    return _plain(text)


Plain = Annotated[str, AfterValidator(_plain)]
"""Text in which line breaks do not matter."""
Tag = Annotated[str, AfterValidator(_tag)]
Name = Annotated[str, Field(pattern=r"^[a-z0-9-]*$", max_length=80)]


class Recipe(BaseModel):
    """What an exercise file says."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, title="Boxwalk exercise")

    title: Plain = Field(default="", description="What the exercise is called.")
    about: Plain = Field(default="", description="What it trains and how to practise it.")
    tags: tuple[Tag, ...] = Field(default=(), description="Words to filter by.")
    family: Name = Field(default="", description="The exercise that this one is a variation of; its twins name it too.")
    key: Annotated[
        Key,
        _read_by(key_named),
        _text("A root and a scale; the root as it sounds in the tuning.", "B minor pentatonic", "Ab dorian"),
    ]
    tuning: Annotated[Tuning, _read_by(tuning_named), _text("A tuning of shared/tunings.json.", *TUNINGS)] = TUNINGS[
        "standard"
    ]
    strings: Annotated[
        tuple[int, ...],
        _read_by(courses_of),
        _text(
            "The strings that the line uses, 1 = the highest-pitched; all unless given.",
            "all",
            "1-2",
            [1, 2],
            lists=True,
        ),
    ] = ()
    notes_a_string: int | None = Field(
        default=None, ge=1, le=4, description="Notes on each string of a position; the scale's own number unless given."
    )
    route: Annotated[
        Route,
        _read_by(route_of),
        _text(
            "The positions in order, or a rule.",
            "4 5 1 2 3 4",
            [4, 5, 1, 2, 3, 4],
            "climb by one from 4 turning",
            "up two down one from 4 for 6",
            lists=True,
        ),
    ]
    strings_at_a_time: int | None = Field(
        default=None,
        ge=1,
        le=6,
        description="For diagonal lines: each position is played on so many of the strings, the next position on the "
        "next higher ones, to the highest and back; on all of them unless given.",
    )
    cell: Annotated[
        tuple[Cell, ...],
        _read_by(cells_of, joiner=" then "),
        _text(
            "What is played in each position; several are played in turn.",
            "fours down",
            "up then down",
            ["two fours down", "a five down"],
            "steps 1 3 2 4",
            "thirds up and down",
            "seventh arpeggio 2 5 1 up",
            "mixed 3 4 5 by chance 7 up",
            lists=True,
        ),
    ]
    order: Annotated[
        Order, _read_by(order_of), _text("Backward: from the last note to the first.", *(kind.value for kind in Order))
    ] = Order.FORWARD
    rhythm: Annotated[
        Rhythm,
        _read_by(rhythm_of),
        _text(
            "How long the notes last.",
            "eighths",
            "sixteenths",
            "5 a beat",
            "4 then 3 a beat",
            "dotted eighth + sixteenth",
        ),
    ] = rhythm_of("eighths")
    start: Annotated[
        Fraction,
        _read_by(start_of),
        _text("Where in the first bar the line begins.", "on the beat", "after an eighth", "after two sixteenths"),
    ] = Fraction(0)
    accents: Annotated[
        Accents,
        _read_by(accents_of),
        _text("Which notes are accented.", "none", "groups", "beats", "every 3", "1 4", lists=True),
    ] = Accents()
    articulation: Annotated[
        Articulation,
        _read_by(articulation_of),
        _text("Which notes are picked.", *(kind.value for kind in Articulation)),
    ] = Articulation.PICKED
    shifts: Annotated[
        ShiftKind,
        _read_by(shift_kind_of),
        _text("How the hand comes into the next position.", *(kind.value for kind in ShiftKind)),
    ] = ShiftKind.PICKED
    first_stroke: Annotated[
        Stroke, _read_by(stroke_of), _text("The first stroke; the others alternate.", "down", "up")
    ] = Stroke.DOWN
    tempo: int | float = Field(default=80, ge=10, le=400, description="Quarters a minute to begin with.")
    meter: Annotated[Meter, _read_by(meter_of), _text("The time signature.", "4/4", "7/8")] = Meter()
    last_fret: int = Field(default=22, ge=12, le=36, description="The last fret of the neck.")
    hand: Annotated[
        HandLimits | None,
        _read_by(limits_of),
        _text("Whose hand it must lie under: what reaches further is refused.", "any", *HANDS),
    ] = None

    @property
    def pace(self) -> Tempo:
        """The tempo, exactly as it is written in decimals."""
        return Tempo(Fraction(str(self.tempo)))


def problem_of(details: ErrorDetails) -> str:
    """One mistake in a recipe in plain words: the field, what was found, what was expected, the nearest valid word."""
    field = str(details["loc"][0]) if details["loc"] else "the file"
    match details["type"]:
        case "missing":
            schema = Recipe.model_json_schema()["properties"][field]
            return f"{field} is missing: {_inside_a_sentence(schema['description'])}, such as {schema['examples'][0]!r}"
        case "extra_forbidden":
            return str(UnknownWord(field, "a field of an exercise", Recipe.model_fields))
        case "value_error":
            return f"{field}: {details['ctx']['error']}"
        case _:
            return f"{field}: {details['input']!r} is not valid: {_inside_a_sentence(details['msg'])}"


def _inside_a_sentence(text: str) -> str:
    """A description or message as it goes on after a colon; pydantic's remarks on parsing are left out."""
    plain = text.partition(", unable to parse")[0]
    return (plain[0].lower() + plain[1:]).rstrip(".")


def recipe_schema() -> dict[str, Any]:
    """The JSON Schema of an exercise file, as it is kept in `shared/exercise.schema.json`.

    The first example of a field that is written as text is its default.
    """
    schema = Recipe.model_json_schema()
    for field in schema["properties"].values():
        del field["title"]
        if "default" in field and "examples" in field:
            field["default"] = field["examples"][0]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema"} | schema
