"""What takes of a line come to: the same on the pupil's machine and on the teacher's.

A take is judged by the line as it was assigned and by this program's own limits; of its header only what the ear needs
is used: pace, tempo, start, passes and pickup. What an edited header could gain by those is little: a slower tempo is
a slower tempo, and wider limits are not read.

A pass is clean by `coaching.clean`, when it was played with the click and in one go. Passes at the player's own pace
count towards the minutes and the transitions, and have no tempo to be clean at.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.coaching.asking import Pass
from trainer.coaching.clean import cleanness
from trainer.coaching.played import PlayedPass, passes_of
from trainer.coaching.working_tempo import Estimate, estimate_by
from trainer.following.assessment import NS_PER_MS, Assessment, assess
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Extra, Match, Pace, WrongNote
from trainer.homework.errors import HomeworkError
from trainer.homework.line import line_digest, line_in
from trainer.homework.returned import Figures, take_digest
from trainer.playing.take import Take, TakeError, TakeHeader, take_in
from trainer.score.exercise import Exercise
from trainer.score.tempo import Tempo
from trainer.session import Session

MOST_PASSES = 200
MOST_WRITTEN, MOST_MESSAGES = 60_000, 400_000
"""What one take can hold, a hundred minutes of fast playing; more is a slip or an attack."""
LONGEST_NS = 4 * 3600 * 1_000_000_000
RECENT_PASSES = 40
"""Passes that the working tempo and the transitions are taken from, the last ones."""


@dataclass(frozen=True, slots=True)
class MeasuredTake:
    """One take of one of the assigned lines."""

    digest: str
    """Of the take."""
    line: str
    """Digest of the line."""
    date: str
    quarters_per_minute: Fraction
    pace: str
    played_ms: int
    is_simulated: bool
    clean: tuple[bool | None, ...]
    """For each pass that was played to its end; None: it had no tempo, or was not played in one go."""
    passes: tuple[PlayedPass, ...]
    """For the transitions."""


@dataclass(frozen=True, slots=True)
class Unused:
    """A take that does not count."""

    digest: str
    why: str


def measured(lines: Mapping[str, Exercise], data: bytes) -> MeasuredTake | Unused:
    """What a take of one of `lines`, by their digests, comes to."""
    digest = take_digest(data)
    try:
        take = take_in(data)
        if take.header is None:
            return Unused(digest, "does not say what was played")
        name = _line_of(lines, take.header)
        if name is None:
            return Unused(digest, "is of another line, or of another form of this one")
        return _measured(digest, name, lines[name], take, take.header)
    except (TakeError, HomeworkError, ValueError, ArithmeticError, IndexError) as error:
        return Unused(digest, str(error).splitlines()[0][:200] if str(error) else "cannot be judged")


def _line_of(lines: Mapping[str, Exercise], header: TakeHeader) -> str | None:
    """The digest of the line that a take is of, whole or a stretch of it; None when it is none of them."""
    played = line_in(header.exercise)
    digest = line_digest(played)
    if header.first_note is None or header.last_note is None:
        return digest if digest in lines else None
    if header.last_note - header.first_note + 1 != len(played.notes):
        return None
    for name, line in lines.items():
        stretch = _stretch_of(line, header.first_note, header.last_note)
        if stretch is not None and line_digest(stretch) == digest:
            return name
    return None


def _stretch_of(line: Exercise, first: int, last: int) -> Exercise | None:
    passes = last // len(line.notes) + 1
    if passes > MOST_PASSES or passes * len(line.notes) > MOST_WRITTEN:
        return None
    try:
        return line.repeated(passes).excerpt(first, last)
    except ValueError:
        return None


def _measured(digest: str, name: str, line: Exercise, take: Take, header: TakeHeader) -> MeasuredTake:
    is_whole = header.first_note is None or header.last_note is None
    played_line = line if is_whole else _stretch_of(line, header.first_note or 0, header.last_note or 0)
    end_ns = max([take.ends_at_ns, *(message.stamp_ns for message in take.messages[-1:])])
    if played_line is None or header.passes > MOST_PASSES or header.passes * len(line.notes) > MOST_WRITTEN:
        raise HomeworkError(f"asks for more than {MOST_PASSES} passes, or for more notes than a take holds")
    if len(take.messages) > MOST_MESSAGES or not 0 <= end_ns <= LONGEST_NS or header.starts_at_ns > LONGEST_NS:
        raise HomeworkError("is longer than a take can be")
    session = Session(
        played_line.repeated(header.passes),
        pace=Pace(header.pace),
        tempo=Tempo(header.quarters_per_minute),
        starts_at_ns=header.starts_at_ns,
        profile=header.profile,
        tolerance=Tolerance(),
        pass_length=len(played_line.notes),
    )
    for message in take.messages:
        session.feed(message)
    session.stop(end_ns)
    return MeasuredTake(
        digest=digest,
        line=name,
        date=header.date,
        quarters_per_minute=header.quarters_per_minute,
        pace=header.pace,
        played_ms=end_ns // NS_PER_MS,
        is_simulated=header.seed is not None,
        clean=tuple(_cleanness_of_passes(session, played_line)) if is_whole else (),
        passes=_transitions_of(session) if is_whole else (),
    )


def _transitions_of(session: Session) -> tuple[PlayedPass, ...]:
    return passes_of(session.exercise, session.ledger, tempo=session.tempo, pass_length=session.pass_length)


def _cleanness_of_passes(session: Session, line: Exercise) -> Iterable[bool | None]:
    """Of each pass that was played to its end: whether it was clean."""
    length = session.pass_length
    jumped_to = {jump.to_index for jump in session.ledger.jumps}
    for first in range(0, len(session.exercise.notes), length):
        span = range(first, first + length)
        reached = [session.ledger.of_written(index) for index in span]
        if not any(isinstance(attempt, Match | WrongNote) for attempt in reached):
            continue
        found = cleanness(line, _figures_of(session, line, span), session.tempo, session.tolerance)
        if found is not None:
            is_in_one_go = not jumped_to & set(span[1:])
            yield found.is_clean if session.is_timed and is_in_one_go else None


def _figures_of(session: Session, line: Exercise, span: range) -> Assessment:
    """The figures of one pass: those of a run of this pass alone."""
    return assess(line, _ledger_of(session.ledger, span), tempo=session.tempo, tolerance=session.tolerance)


def _ledger_of(ledger: Ledger, span: range) -> Ledger:
    """What was said of one pass, as if there were no other."""
    of_pass = Ledger()
    heard = 0
    for verdict in _verdicts_of(ledger, span):
        match verdict:
            case Match() | WrongNote():
                technique = ledger.technique_of(verdict.index)
                here = verdict.index - span.start
                of_pass.fold(replace(verdict, index=here, heard=heard))
                if technique is not None and ledger.of_written(verdict.index) == verdict:
                    of_pass.fold(replace(technique, index=here, heard=heard))
                heard += 1
            case Extra():
                of_pass.fold(replace(verdict, heard=heard))
                heard += 1
    for index in span:
        missed = ledger.of_written(index)
        if missed is not None and not isinstance(missed, Match | WrongNote):
            of_pass.fold(replace(missed, index=index - span.start, after_heard=heard - 1))
    return of_pass


def _verdicts_of(ledger: Ledger, span: range) -> Iterable[Match | WrongNote | Extra]:
    """The verdicts on what was heard in a pass: from its first note that was played up to the next pass's first."""
    is_here = False
    for verdict in ledger.heard:
        if isinstance(verdict, Match | WrongNote):
            is_here = verdict.index in span
        if is_here and verdict is not None:
            yield verdict


@dataclass(frozen=True, slots=True)
class Fastest:
    """The fastest tempo at which a pass was clean."""

    qpm: Fraction
    clean: int
    passes: int
    """How many passes at that tempo were clean, and how many there were."""


def fastest_clean(takes: Iterable[MeasuredTake]) -> Fastest | None:
    """The fastest tempo with a clean pass; None when none was clean."""
    by_tempo: dict[Fraction, list[bool]] = {}
    for take in takes:
        by_tempo.setdefault(take.quarters_per_minute, []).extend(one is True for one in take.clean)
    clean_at = [qpm for qpm, passes in by_tempo.items() if any(passes)]
    if not clean_at:
        return None
    best = max(clean_at)
    return Fastest(best, sum(by_tempo[best]), len(by_tempo[best]))


def clean_at_least(takes: Iterable[MeasuredTake], qpm: Fraction) -> int:
    """How many passes were clean at that tempo or faster."""
    return sum(one is True for take in takes if take.quarters_per_minute >= qpm for one in take.clean)


def working_tempo(takes: Sequence[MeasuredTake]) -> Estimate | None:
    """The working tempo by the last passes, whose tempi the pupil chose; None when they do not tell."""
    told = [
        Pass(float(take.quarters_per_minute), one)
        for take in sorted(takes, key=lambda take: take.date)
        for one in take.clean
        if one is not None
    ][-RECENT_PASSES:]
    return estimate_by(told)


def figures_of(digest: str, takes: Sequence[MeasuredTake]) -> Figures:
    """What a returned file claims of one line: figures that the other machine finds again exactly."""
    fastest = fastest_clean(takes)
    return Figures(
        digest=digest,
        passes=sum(len(take.clean) for take in takes),
        clean=sum(one is True for take in takes for one in take.clean),
        fastest_clean_qpm=None if fastest is None else fastest.qpm,
        played_ms=sum(take.played_ms for take in takes),
    )
