"""The methods that are compared: the project's follower, and a plain alignment after the fact."""

from importlib.util import find_spec
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
                    reading.shown_at_once += verdict.heard == received
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
    return _reading_of(take, indices, cost)


def has_parangonar() -> bool:
    """Whether parangonar is installed; only this comparison needs it."""
    return find_spec("parangonar") is not None


def matched_by_parangonar(take: Take) -> Reading:
    """After the fact, by parangonar's DualDTWNoteMatcher (Peter et al. 2023), which knows pitches and onsets only."""
    import numpy as np
    from parangonar import DualDTWNoteMatcher

    score = np.array(
        [
            (float(n.onset_quarters), float(n.duration_quarters), n.pitch, str(index), False)
            for index, n in enumerate(take.exercise.notes)
        ],
        dtype=[("onset_beat", "f4"), ("duration_beat", "f4"), ("pitch", "i4"), ("id", "U256"), ("is_grace", "?")],
    )
    performance = np.array(
        [(o.onset_ns / 1e9, 0.05, o.pitch, o.velocity, str(o.heard)) for o in take.onsets],
        dtype=[("onset_sec", "f4"), ("duration_sec", "f4"), ("pitch", "i4"), ("velocity", "i4"), ("id", "U256")],
    )
    began = thread_time()
    alignment = DualDTWNoteMatcher()(score, performance)
    cost = (thread_time() - began) * 1e6 / max(1, len(take.onsets))
    indices: list[int | None] = [None] * len(take.onsets)
    for pair in alignment:
        if pair["label"] == "match":
            indices[int(pair["performance_id"])] = int(pair["score_id"])
    return _reading_of(take, indices, cost)


def _reading_of(take: Take, indices: list[int | None], cost_us: float) -> Reading:
    """The reading of an alignment that is known all at once."""
    notes, onsets = take.exercise.notes, take.onsets
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
    return Reading(indices, words, written, costs_us=[cost_us] * len(onsets))


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
