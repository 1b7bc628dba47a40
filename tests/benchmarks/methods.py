"""The methods that are compared: the project's follower, and a plain alignment after the fact."""

from time import thread_time

from tests.benchmarks.measures import Reading
from tests.benchmarks.takes import Take
from trainer.following.follower import Follower
from trainer.following.ledger import Ledger
from trainer.following.tolerance import Tolerance
from trainer.following.verdict import Awaited, Extra, HeardVerdict, Match, Missed, Verdict, WrongNote


def followed(take: Take) -> Reading:
    """Live, by the follower: what was settled."""
    follower = Follower(take.exercise, take.pace, take.exercise.tempo, 0, Tolerance())
    ledger = Ledger()
    reading = Reading([], [], {})
    first: dict[int, HeardVerdict] = {}
    revised: set[int] = set()
    settled_at: dict[int, int] = {}

    def fold(verdicts: tuple[Verdict, ...], received: int) -> None:
        for verdict in verdicts:
            ledger.fold(verdict)
            if isinstance(verdict, Match | WrongNote | Extra):
                earlier = first.get(verdict.heard)
                if earlier is None:
                    reading.shown += 1
                    first[verdict.heard] = verdict
                elif not _same(earlier, verdict):
                    revised.add(verdict.heard)
                if verdict.settled:
                    settled_at.setdefault(verdict.heard, received)
            elif isinstance(verdict, Missed) and not verdict.settled:
                reading.shown += 1
            elif isinstance(verdict, Awaited):
                reading.revised += 1

    for onset in take.onsets:
        began = thread_time()
        verdicts = follower.receive(onset)
        reading.costs_us.append((thread_time() - began) * 1e6)
        fold(verdicts, onset.heard)
    last_ns = take.onsets[-1].known_ns if take.onsets else 0
    fold(follower.finish(last_ns + 2_000_000_000), len(take.onsets))
    reading.revised += len(revised)
    for onset in take.onsets:
        index, word = _said(ledger.of_heard(onset.heard))
        reading.indices.append(index)
        reading.words.append(word)
        reading.lags.append(settled_at[onset.heard] - onset.heard)
    for i in range(len(take.exercise.notes)):
        reading.written[i] = "missed" if isinstance(ledger.of_written(i), Missed | None) else "played"
    return reading


def aligned(take: Take) -> Reading:
    """After the fact, by Needleman and Wunsch's alignment of pitch and string."""
    notes, onsets = take.exercise.notes, take.onsets
    began = thread_time()
    gap = -0.6
    best = [[0.0] * (len(notes) + 1) for _ in range(len(onsets) + 1)]
    for j in range(1, len(notes) + 1):
        best[0][j] = gap * j
    for i, onset in enumerate(onsets, 1):
        row, above = best[i], best[i - 1]
        row[0] = gap * i
        for j, note in enumerate(notes, 1):
            row[j] = max(
                above[j - 1] + _likeness(note.pitch - onset.pitch, same_string=note.course == onset.course),
                above[j] + gap,
                row[j - 1] + gap,
            )
    indices: list[int | None] = [None] * len(onsets)
    i, j = len(onsets), len(notes)
    while i and j:
        likeness = _likeness(
            notes[j - 1].pitch - onsets[i - 1].pitch, same_string=notes[j - 1].course == onsets[i - 1].course
        )
        if best[i][j] == best[i - 1][j - 1] + likeness:
            i, j = i - 1, j - 1
            indices[i] = j
        elif best[i][j] == best[i - 1][j] + gap:
            i -= 1
        else:
            j -= 1
    cost = (thread_time() - began) * 1e6 / max(1, len(onsets))
    words: list[str] = []
    for onset, index in zip(onsets, indices, strict=True):
        if index is None:
            words.append("extra")
        elif notes[index].pitch != onset.pitch:
            words.append("wrong-pitch")
        else:
            words.append("matched" if notes[index].course == onset.course else "wrong-string")
    taken = set(indices)
    written = {k: "played" if k in taken else "missed" for k in range(len(notes))}
    return Reading(indices, words, written, costs_us=[cost] * len(onsets))


def _likeness(steps: int, *, same_string: bool) -> float:
    if steps == 0:
        return 1.0 if same_string else 0.6
    return -0.5 if abs(steps) <= 2 else -0.9


def _same(one: HeardVerdict, other: HeardVerdict) -> bool:
    """Whether nothing that is drawn changes."""
    return type(one) is type(other) and getattr(one, "index", None) == getattr(other, "index", None)


def _said(verdict: HeardVerdict | None) -> tuple[int | None, str]:
    match verdict:
        case Match(index=index):
            return index, "matched"
        case WrongNote(index=index, slip=slip):
            return index, slip.value
        case _:
            return None, "extra"
