"""The order in which measures are played: repeats and endings written out.

References: MusicXML 4.0, elements `repeat` (attribute times: how often the repeated section is played) and `ending`
(attribute number: the passes that it is played in).
"""

from collections.abc import Sequence

from trainer.score.limits import MOST_NOTES
from trainer.score.musicxml_file import ScoreFileError
from trainer.score.musicxml_measures import Measure

# Over an hour at any tempo: repeats that write out to more are a slip or an attack.
MOST_MEASURES = 5000


def playing_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """The index of each measure in the order of playing.

    A repeat without a beginning goes back to where the section before it ended, or to the start. `ScoreFileError` when
    more than `MOST_MEASURES` or `MOST_NOTES` come out.
    """
    order: list[int] = []
    section_start, current_pass, at, notes = 0, 1, 0, 0
    while at < len(measures):
        measure = measures[at]
        is_past_endings = at > section_start and not measure.ending and bool(measures[at - 1].ending)
        if at > section_start and (measure.repeat_begins or is_past_endings):
            section_start, current_pass = at, 1
        if not measure.ending or current_pass in measure.ending:
            order.append(at)
            notes += len(measure.notes)
            if len(order) > MOST_MEASURES or notes > MOST_NOTES:
                most = f"{MOST_MEASURES} measures or {MOST_NOTES} notes"
                raise ScoreFileError(f"more than {most}, repeats written out", measure.line)
            if measure.repeat_passes and current_pass < _passes(measures, at):
                current_pass += 1
                at = section_start
                continue
            if measure.repeat_passes and not measure.ending:
                section_start, current_pass = at + 1, 1
        at += 1
    return tuple(order)


def _passes(measures: Sequence[Measure], at: int) -> int:
    """How often the section whose repeat ends at measure `at` is played in all.

    Endings side by side belong to one section, so the highest pass that one of them names counts too.
    """
    passes = measures[at].repeat_passes
    first = last = at
    while first >= 0 and measures[first].ending:
        passes = max(passes, *measures[first].ending)
        first -= 1
    while last < len(measures) and measures[last].ending:
        passes = max(passes, *measures[last].ending)
        last += 1
    return passes
