"""Routes: the order in which the hand visits the positions.

A route is written as a list, `4 5 1 2 3 4`, or as a rule, `climb by one from 4`, `up two down one from 4 for 6`.

In a list each shift goes to the nearest form of the next position, upwards when two are equally near; `up` or `down`
before a number asks for the nearest form in that direction, and `high` at the front for the octave-up form to begin
with. A list begins on the lowest form from which the whole of it lies on the neck.

A rule repeats its moves from the low form of the position after `from`, or from the `lowest` or `highest` place on the
neck; `whole neck` is a climb by one from the lowest. `for 6` ends it after six positions; else it runs until it would
begin again where it began, so that it loops. Where the next move would leave the neck, the word at the end decides:
`turning` (the default: the moves are mirrored, and a climbing rule turns again where it began), `wrapping` (the same
position an octave or more away) or `stopping`.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from trainer.score.errors import Unplayable
from trainer.score.words import Words, number_of, number_word
from trainer.theory.naming import UnknownWord

MOST_VISITS = 256


class AtEnd(StrEnum):
    """What a route does where the neck ends."""

    TURN = "turning"
    WRAP = "wrapping"
    STOP = "stopping"


@dataclass(frozen=True, slots=True)
class Visit:
    """A position in a list, and from which side it is reached."""

    number: int
    direction: int = 0
    """1 = the nearest form above, -1 = below, 0 = the nearest."""


@dataclass(frozen=True, slots=True)
class ListedRoute:
    """Positions one after the other."""

    visits: tuple[Visit, ...]
    starts_high: bool = False
    at_end: AtEnd = AtEnd.STOP


@dataclass(frozen=True, slots=True)
class RuledRoute:
    """Moves that are repeated; a move of 1 is to the next higher position."""

    moves: tuple[int, ...]
    start: int | None
    """A position's number; None: the lowest place on the neck, or the highest if it starts high."""
    length: int | None = None
    """How many positions it visits; None: until it would begin again."""
    starts_high: bool = False
    at_end: AtEnd = AtEnd.TURN


Route = ListedRoute | RuledRoute


@dataclass(frozen=True, slots=True)
class Stop:
    """One stay of the hand."""

    rung: int
    has_wrapped: bool = False
    """Whether the hand came here by going on an octave away, because the neck had ended."""


@dataclass(frozen=True, slots=True)
class Ladder:
    """The rungs that a line may use, as the route sees them."""

    rungs: tuple[int, ...]
    """Rungs on which everything that the line plays lies on the neck, lowest first."""
    count: int
    """Positions in an octave."""
    why_not: Callable[[int], str]
    """Says why a rung is not among them."""

    def forms_of(self, number: int) -> list[int]:
        """The rungs of a position, lowest first."""
        if not 1 <= number <= self.count:
            raise Unplayable(f"there is no position {number}: the scale has positions 1 to {self.count}", "route")
        return [rung for rung in self.rungs if rung % self.count + 1 == number]

    def starts_of(self, number: int, *, starts_high: bool) -> list[int]:
        """The rungs that a route may begin on."""
        forms = self.forms_of(number)
        starts = forms[1:] if starts_high else forms
        if forms and not starts:
            raise Unplayable(
                f"position {number} has no octave-up form here: {self.why_not(forms[-1] + self.count)}", "route"
            )
        if not starts:
            raise Unplayable(f"position {number} does not lie whole on this neck anywhere", "route")
        return starts


def walk(route: Route, ladder: Ladder) -> tuple[Stop, ...]:
    """The rungs that a route visits; `Unplayable` where it leaves the neck and may not turn or wrap."""
    match route:
        case ListedRoute():
            return _walk_list(route, ladder)
        case RuledRoute():
            return _walk_rule(route, ladder)


def _walk_list(route: ListedRoute, ladder: Ladder) -> tuple[Stop, ...]:
    first, *others = route.visits
    for visit in others:
        ladder.forms_of(visit.number)
    furthest, refusal = -1, Unplayable("the route is empty", "route")
    for start in ladder.starts_of(first.number, starts_high=route.starts_high):
        stops = [Stop(start)]
        try:
            for visit in others:
                stops.append(_shift_to(visit, stops[-1].rung, route.at_end, ladder))
        except Unplayable as error:
            if len(stops) > furthest:
                furthest, refusal = len(stops), error
        else:
            return tuple(stops)
    raise refusal


def _shift_to(visit: Visit, rung: int, at_end: AtEnd, ladder: Ladder) -> Stop:
    up = (visit.number - 1 - rung) % ladder.count
    down = (rung - visit.number + 1) % ladder.count
    if visit.direction > 0 or (visit.direction == 0 and up <= down):
        target = rung + (up if up or not visit.direction else ladder.count)
    else:
        target = rung - (down if down or not visit.direction else ladder.count)
    if target in ladder.rungs:
        return Stop(target)
    if at_end is AtEnd.WRAP and (forms := ladder.forms_of(visit.number)):
        return Stop(min(forms, key=lambda form: abs(form - target)), has_wrapped=True)
    raise Unplayable(
        f"position {visit.number} after position {rung % ladder.count + 1} is off the neck: {ladder.why_not(target)}",
        "route",
    )


def _walk_rule(route: RuledRoute, ladder: Ladder) -> tuple[Stop, ...]:
    if route.start is not None:
        start = ladder.starts_of(route.start, starts_high=route.starts_high)[0]
    elif ladder.rungs:
        start = ladder.rungs[-1 if route.starts_high else 0]
    else:
        raise Unplayable("no position lies whole on this neck", "route")
    if route.at_end is AtEnd.TURN and sum(route.moves) > 0:
        ladder = replace(ladder, rungs=tuple(rung for rung in ladder.rungs if rung >= start))
    stops: list[Stop] = []
    seen: set[tuple[int, int, int]] = set()
    stop, phase, sign = Stop(start), 0, 1
    while len(stops) < (route.length or MOST_VISITS):
        target = stop.rung + sign * route.moves[phase]
        is_at_end = target not in ladder.rungs
        if is_at_end and route.at_end is AtEnd.TURN:
            phase, sign = 0, -sign
            target = stop.rung + sign * route.moves[0]
            if target not in ladder.rungs:
                raise Unplayable(f"the neck is too short for this route: {ladder.why_not(target)}", "route")
        if route.length is None and (stop.rung, phase, sign) in seen:
            break
        seen.add((stop.rung, phase, sign))
        stops.append(stop)
        if is_at_end and route.at_end is AtEnd.STOP:
            break
        stop = _wrapped(target, ladder) if is_at_end and route.at_end is AtEnd.WRAP else Stop(target)
        phase = (phase + 1) % len(route.moves)
    return tuple(stops)


def _wrapped(target: int, ladder: Ladder) -> Stop:
    forms = ladder.forms_of(target % ladder.count + 1)
    if not forms:
        raise Unplayable(
            f"position {target % ladder.count + 1} is nowhere on this neck: {ladder.why_not(target)}", "route"
        )
    return Stop(max(forms, key=lambda form: abs(form - target)), has_wrapped=True)


_DIRECTIONS = {"up": 1, "down": -1}
_WORDS = ("climb", "whole neck", "up", "down", "high", "low", "from", "for", "through", "positions", "by", *AtEnd)
_EXPECTED = "a position number or a move such as `up two`"


def route_of(text: str) -> Route:
    """The route that a text describes; `UnknownWord` at the first word that means nothing."""
    words = Words(text)
    words.skip("the")
    if words.skip("whole", "neck"):
        return _rule_from(words, [1], start=None)
    for filler in ("through", "positions", "position"):
        words.skip(filler)
    starts_high = words.skip("high")
    if not starts_high:
        words.skip("low")
    parts = text.lower().split()
    if words.next == "climb" or ("from" in parts and words.next in _DIRECTIONS):
        return _rule_of(words)
    return _list_of(words, starts_high=starts_high)


def _list_of(words: Words, *, starts_high: bool) -> ListedRoute:
    visits: list[Visit] = []
    at_end = AtEnd.STOP
    while words:
        if visits and words.next in tuple(AtEnd):
            at_end = AtEnd(words.take("").lower())
            _nothing_more(words)
            break
        direction = 0
        if words.next in _DIRECTIONS:
            direction = _DIRECTIONS[words.take("").lower()]
        elif number_of(words.next) is None:
            raise UnknownWord(words.next, _EXPECTED, _WORDS)
        visits.append(Visit(words.number("a position number"), direction))
    if not visits:
        raise UnknownWord("", _EXPECTED)
    return ListedRoute(tuple(visits), starts_high, at_end)


def _rule_of(words: Words) -> RuledRoute:
    moves: list[int] = []
    if words.skip("climb"):
        words.skip("by")
        moves.append(1 if words.next in {"from", ""} else words.number("how many positions to climb"))
    while words.next in _DIRECTIONS:
        direction = _DIRECTIONS[words.take("").lower()]
        moves.append(direction * words.number("how many positions"))
    return _rule_from(words, moves)


def _rule_from(words: Words, moves: list[int], start: int | None = 0) -> RuledRoute:
    """The rest of a rule; `start` 0 has still to be said."""
    length, starts_high, at_end = None, False, AtEnd.TURN
    while words:
        if words.skip("from"):
            start, starts_high = _start_of(words)
        elif words.skip("for"):
            length = words.number("how many positions to visit")
            words.skip("positions")
        elif words.next in tuple(AtEnd):
            at_end = AtEnd(words.take("").lower())
        else:
            raise UnknownWord(words.next, "part of a route", ("from", "for", "up", "down", "high", *AtEnd))
    _check_rule(moves, start, length)
    return RuledRoute(tuple(moves), start, length, starts_high, at_end)


def _start_of(words: Words) -> tuple[int | None, bool]:
    """The position that a rule begins from, None for an end of the neck, and whether it is a high one."""
    for end, is_high in (("lowest", False), ("highest", True)):
        if words.skip(end):
            words.skip("position")
            return None, is_high
    is_high = words.skip("high")
    if not is_high:
        words.skip("low")
    words.skip("position")
    return words.number("the position to begin from"), is_high


def _check_rule(moves: list[int], start: int | None, length: int | None) -> None:
    if 0 in moves:
        raise UnknownWord("0", "a move: at least one position")
    if start == 0:
        raise UnknownWord("", "the position to begin from, such as `from 4`")
    if length is not None and not 1 <= length <= MOST_VISITS:
        raise UnknownWord(str(length), f"1 to {MOST_VISITS} positions")


def route_text(route: Route) -> str:
    """The words for a route: `route_of` reads them back.

    >>> route_text(route_of("climb by one from low position 4"))
    'climb by one from 4'
    """
    match route:
        case ListedRoute():
            signs = {1: "up ", -1: "down ", 0: ""}
            visits = " ".join(f"{signs[visit.direction]}{visit.number}" for visit in route.visits)
            end = "" if route.at_end is AtEnd.STOP else f" {route.at_end}"
            return f"{'high ' if route.starts_high else ''}{visits}{end}"
        case RuledRoute(moves=(climb,)) if climb > 0:
            moves = f"climb by {_count_word(climb)}"
        case RuledRoute():
            moves = " ".join(f"{'up' if move > 0 else 'down'} {_count_word(abs(move))}" for move in route.moves)
    if route.start is None:
        start = "highest" if route.starts_high else "lowest"
    else:
        start = f"{'high ' if route.starts_high else ''}{route.start}"
    length = "" if route.length is None else f" for {route.length}"
    end = "" if route.at_end is AtEnd.TURN else f" {route.at_end}"
    return f"{moves} from {start}{length}{end}"


def _count_word(number: int) -> str:
    return "one" if number == 1 else number_word(number)


def _nothing_more(words: Words) -> None:
    if words:
        raise UnknownWord(words.next, "anything after the end of the route", ())
