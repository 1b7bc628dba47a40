"""What can be picked for a line, row by row: each row has a name, what the line says now, and what it could say.

A row changes one field of the recipe; several rows may share a field, as the root and the scale share the key. What a
line says and no row offers, such as a pattern that was typed, stands in its row as it is.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.score.articulation import Articulation, ShiftKind
from trainer.score.cell_words import SIZES, cells_of, cells_text
from trainer.score.cells import Arpeggio, Cell, Mixed, Pedal, Run, Skips
from trainer.score.cells import Sequence as SequenceCell
from trainer.score.hand import HANDS
from trainer.score.recipe import Order, Recipe, courses_text
from trainer.score.recipe_text import Said, all_field_texts
from trainer.score.route import AtEnd, ListedRoute, Route, RuledRoute, Visit, route_text
from trainer.score.words import number_word
from trainer.screens.words import key_words, number_words, tuning_words
from trainer.theory.scale import SCALES
from trainer.theory.tuning import TUNINGS

ROOTS = ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
METERS = ("2/4", "3/4", "4/4", "5/4", "6/8", "7/8", "9/8", "12/8")
RHYTHMS = (
    *("quarters", "eighths", "triplets", "sixteenths", "5 a beat", "sextuplets", "7 a beat", "thirty-seconds"),
    *("dotted eighth + sixteenth", "eighth + two sixteenths", "two sixteenths + eighth", "4 then 3 a beat"),
)
STARTS = ("on the beat", "after sixteenth", "after eighth", "after triplet", "after quarter")
ACCENTS = ("none", "groups", "beats", *(f"every {count}" for count in range(2, 8)))
FRETS = (*range(19, 25), 27)
SLOWEST, FASTEST, TEMPO_STEP = 10, 400, 4
MOST_VISITS_PICKED = 16

_WAYS = ((1,), (2,), (-1,), (2, -1), (3, -2), (1, -2))
"""Rules to go through the positions by."""
_RUNS = ((1,), (-1,), (1, -1), (-1, 1))
_FIGURES = (
    *SIZES,
    *("thirds", "fourths", "fifths", "sixths", "sevenths", "triads", "seventh chords"),
    *("string skips", "pedal", "arpeggio 1", "seventh arpeggio 1", "mixed 4 4 5", "mixed 3 4 5 by chance 1"),
    "figure 1 3 2 4",
)
_ORDERS = ("orders of 1 2 3", "orders of 1 2 3 4", "orders of 1 2 3 4 in turn")


@dataclass(frozen=True, slots=True)
class Pick:
    """Something that a row offers."""

    words: str
    """How the screen calls it."""
    value: Said
    """What the field then says."""


@dataclass(frozen=True, slots=True)
class Picker:
    """One row."""

    name: str
    field: str
    picks: tuple[Pick, ...]
    now: int | None
    """Which pick the line says; None: something else."""
    says: str
    """What it says, in words."""
    is_quiet: bool = False
    """Whether it says nothing worth seeing, as a change that is not made."""

    def stepped(self, step: int) -> Pick | None:
        """The next pick either way, round and round; None when the row offers nothing."""
        if not self.picks:
            return None
        if self.now is None:
            return self.picks[0 if step > 0 else -1]
        return self.picks[(self.now + step) % len(self.picks)]


GROUPS = (5, 5, 3, 5, 5)
"""How many rows belong together, from the top."""


def pickers_of(recipe: Recipe) -> tuple[Picker, ...]:
    """Every row for a line that says `recipe`."""
    texts = all_field_texts(recipe)
    return (
        *_scale_rows(recipe, texts),
        *_way_rows(recipe, texts),
        *_pattern_rows(recipe, texts),
        _plain("rhythm", "rhythm", RHYTHMS, texts),
        _plain("begins", "start", STARTS, texts),
        _plain("accents on", "accents", ACCENTS, texts),
        _plain("meter", "meter", METERS, texts),
        tempo_picker(recipe),
        *_hand_rows(texts),
    )


def _row(name: str, field: str, picks: Sequence[Pick], value: Said, words: str = "") -> Picker:
    values = [pick.value for pick in picks]
    now = values.index(value) if value in values else None
    return Picker(name, field, tuple(picks), now, picks[now].words if now is not None else words or str(value))


def _plain(name: str, field: str, values: Sequence[str], texts: dict[str, Said]) -> Picker:
    return _row(name, field, [Pick(value, value) for value in values], texts[field])


def _scale_rows(recipe: Recipe, texts: dict[str, Said]) -> tuple[Picker, ...]:
    root, scale = str(recipe.key.root), recipe.key.scale
    tuning = [Pick(tuning_words(name), name) for name in TUNINGS]
    numbers = [Pick("as the scale has it", 0), *(Pick(number_word(n) if n > 1 else "one", n) for n in range(1, 5))]
    return (
        _row(
            "key", "key", [Pick(key_words(one), f"{one} {scale.name}") for one in ROOTS], texts["key"], key_words(root)
        ),
        _row("scale", "key", [Pick(name, f"{root} {name}") for name in SCALES], texts["key"]),
        _row("tuning", "tuning", tuning, texts["tuning"]),
        _row("strings", "strings", strings_picks(len(recipe.tuning.open_pitches)), texts["strings"]),
        _row("notes a string", "notes_a_string", numbers, texts["notes_a_string"]),
    )


def strings_picks(count: int) -> list[Pick]:
    """All strings, and neighbouring ones: the most first."""
    sets = [tuple(range(low, low + size)) for size in range(count - 1, 0, -1) for low in range(1, count - size + 2)]
    if count > 6:
        sets = [courses for courses in sets if len(courses) < 5]
    return [
        Pick("all", "all"),
        *(Pick(courses_text(courses).replace("-", "–"), courses_text(courses)) for courses in sets),
    ]


def _way_rows(recipe: Recipe, texts: dict[str, Said]) -> tuple[Picker, ...]:
    """Through the positions: which way, where it begins, how many, what happens where the neck ends."""
    route = recipe.route
    count = len(recipe.key.scale.degrees)
    ways = [_way_pick(way) for way in _ways(route, count)]
    strings = len(recipe.strings or recipe.tuning.courses)
    at_a_time = [Pick("all of them", 0)]
    at_a_time += [
        Pick(f"{number_word(n)} at a time" if n > 1 else "one at a time", n) for n in range(1, min(7, strings))
    ]
    said = texts["route"]
    return (
        _row("positions", "route", ways, said, f"in this order: {said}"),
        _row("from position", "route", _from_picks(route, count), said),
        _row("how many", "route", _length_picks(route), said, str(len(_visits(route)))),
        _row("at the end", "route", _end_picks(route), said),
        _row("strings played", "strings_at_a_time", at_a_time, texts["strings_at_a_time"]),
    )


def _visits(route: Route) -> tuple[Visit, ...]:
    return route.visits if isinstance(route, ListedRoute) else ()


def _begins_at(route: Route) -> int | None:
    return route.visits[0].number if isinstance(route, ListedRoute) else route.start


def _ways(route: Route, count: int) -> list[Route]:
    """One position, all of them, by each rule, and the whole neck: from where the line begins now."""
    start = _begins_at(route)
    first = start or 1
    length, end = (route.length, route.at_end) if isinstance(route, RuledRoute) else (None, AtEnd.TURN)
    number, high = first, route.starts_high and start is not None
    in_a_row = tuple(Visit((first - 1 + n) % count + 1) for n in range(count))
    return [
        ListedRoute((Visit(number),), high),
        ListedRoute(in_a_row),
        *(
            RuledRoute(moves, start if sum(moves) > 0 or start is None else first, length, _is_high(route, moves), end)
            for moves in _WAYS
        ),
    ]


def _is_high(route: Route, moves: tuple[int, ...]) -> bool:
    """A falling way begins high, a climbing one low, unless the line says so already."""
    is_falling = sum(moves) < 0
    if isinstance(route, RuledRoute) and (sum(route.moves) < 0) == is_falling:
        return route.starts_high
    return is_falling


def _way_pick(route: Route) -> Pick:
    return Pick(_way_words(route), route_text(route))


def _way_words(route: Route) -> str:
    if isinstance(route, ListedRoute):
        return "one" if len(route.visits) == 1 else "each once, upwards"
    if len(route.moves) == 1:
        by = abs(route.moves[0])
        return f"{'climb' if route.moves[0] > 0 else 'fall'} by {number_word(by) if by > 1 else 'one'}"
    return ", ".join(
        f"{'up' if move > 0 else 'down'} {number_word(abs(move)) if abs(move) > 1 else 'one'}" for move in route.moves
    )


def _from_picks(route: Route, count: int) -> list[Pick]:
    numbers = range(1, count + 1)
    if isinstance(route, ListedRoute):
        lists = [
            _beginning_at(route, number, count, is_high=is_high) for is_high in (False, True) for number in numbers
        ]
        return [Pick(_from_words(one.visits[0].number, is_high=one.starts_high), route_text(one)) for one in lists]
    places: list[tuple[int | None, bool]] = [(None, False), (None, True)]
    places += [(number, is_high) for is_high in (False, True) for number in numbers]
    return [
        Pick(_from_words(start, is_high=is_high), route_text(replace(route, start=start, starts_high=is_high)))
        for start, is_high in places
    ]


def _from_words(start: int | None, *, is_high: bool) -> str:
    if start is None:
        return "the highest" if is_high else "the lowest"
    return f"high {start}" if is_high else str(start)


def _beginning_at(route: ListedRoute, number: int, count: int, *, is_high: bool) -> ListedRoute:
    """The same way from another position: all of its numbers moved on by the same, round the scale."""
    shift = number - route.visits[0].number
    visits = tuple(replace(visit, number=(visit.number - 1 + shift) % count + 1) for visit in route.visits)
    return replace(route, visits=visits, starts_high=is_high)


def _length_picks(route: Route) -> list[Pick]:
    if isinstance(route, ListedRoute):
        return []
    lengths = [None, *range(2, MOST_VISITS_PICKED + 1)]
    return [
        Pick("until it comes round" if length is None else str(length), route_text(replace(route, length=length)))
        for length in lengths
    ]


def _end_picks(route: Route) -> list[Pick]:
    ends = (AtEnd.STOP, AtEnd.WRAP) if isinstance(route, ListedRoute) else tuple(AtEnd)
    words = {AtEnd.TURN: "turn back", AtEnd.WRAP: "go on an octave away", AtEnd.STOP: "stop"}
    return [Pick(words[end], route_text(replace(route, at_end=end))) for end in ends]


def _pattern_rows(recipe: Recipe, texts: dict[str, Said]) -> tuple[Picker, ...]:
    directions = next((found for cell in recipe.cell if (found := _directions(cell))), (1,))
    way = _way(directions)
    straight = Pick("straight", cells_text(cells_of(way)))
    figures = [Pick(figure, cells_text(cells_of(f"{figure} {way}"))) for figure in _FIGURES]
    mixed = Pick("fours, then fives", cells_text(cells_of(f"fours {way} then fives {way}")))
    orders = [Pick(text, text) for text in _ORDERS]
    said = texts["cell"]
    ways = [Pick(_way(one), cells_text(_turned(cell, one) for cell in recipe.cell)) for one in _RUNS]
    if not any(_directions(cell) for cell in recipe.cell):
        ways = []
    forward = [Pick(order.value, order.value) for order in Order]
    return (
        _row("pattern", "cell", [straight, *figures, mixed, *orders], said),
        _row("direction", "cell", ways, said, way if ways else "as the pattern has it"),
        _row("whole line", "order", forward, texts["order"]),
    )


def _directions(cell: Cell) -> tuple[int, ...]:
    return cell.directions if isinstance(cell, Run | SequenceCell | Mixed | Skips | Pedal | Arpeggio) else ()


def _turned(cell: Cell, directions: tuple[int, ...]) -> Cell:
    if isinstance(cell, Run | SequenceCell | Mixed | Skips | Pedal | Arpeggio):
        return replace(cell, directions=directions)
    return cell


def _way(directions: Sequence[int]) -> str:
    return " and ".join("up" if direction > 0 else "down" for direction in directions)


def tempo_picker(recipe: Recipe) -> Picker:
    """The tempo, four quarters a minute from one pick to the next, from where it is."""
    now = Fraction(str(recipe.tempo))
    below = [now - TEMPO_STEP * n for n in range(12, 0, -1)]
    tempos = [one for one in (*below, now, *(now + TEMPO_STEP * n for n in range(1, 13))) if SLOWEST <= one <= FASTEST]
    picks = [Pick(number_words(one), int(one) if one.denominator == 1 else float(one)) for one in tempos]
    return Picker("tempo", "tempo", tuple(picks), tempos.index(now), f"♩ = {number_words(now)}")


def _hand_rows(texts: dict[str, Said]) -> tuple[Picker, ...]:
    strokes = [Pick("down", "down"), Pick("up", "up")]
    frets = [Pick(str(count), count) for count in FRETS]
    hands = [Pick("any", "any"), *(Pick(name, name) for name in HANDS)]
    return (
        _plain("picking", "articulation", tuple(Articulation), texts),
        _plain("shifts", "shifts", tuple(ShiftKind), texts),
        _row("first stroke", "first_stroke", strokes, texts["first_stroke"]),
        _row("frets", "last_fret", frets, texts["last_fret"]),
        _row("for whose hand", "hand", hands, texts["hand"]),
    )
