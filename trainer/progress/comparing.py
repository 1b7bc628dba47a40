"""Today's working tempo beside that of a month ago, as a sentence."""

from collections.abc import Sequence
from datetime import date

from trainer.coaching.clean import notes_a_second
from trainer.progress.measures import TempoPoint
from trainer.progress.pictures import day_words
from trainer.score.exercise import Exercise

MONTH_DAYS = 30
NEAREST_DAYS, FARTHEST_DAYS = 21, 62
"""What was measured so many days ago stands for a month ago. Our own choice."""


def month_before(points: Sequence[TempoPoint], today: date) -> TempoPoint | None:
    """The working tempo nearest to a month ago; None when there is none from three weeks to two months ago."""
    then = [point for point in points if point.is_working and NEAREST_DAYS <= (today - point.day).days <= FARTHEST_DAYS]
    return min(then, key=lambda point: abs((today - point.day).days - MONTH_DAYS), default=None)


def tempo_before_words(exercise: Exercise, points: Sequence[TempoPoint], today: date) -> str:
    """What the working tempo of a line was a month ago, else the last one, else that there is none."""
    earlier = [point for point in points if point.is_working and point.day < today]
    found = month_before(points, today)
    if found is not None:
        return f"A month ago, {_figure_words(exercise, found)}"
    if earlier:
        return f"Last measured {_figure_words(exercise, earlier[-1])} There is none of a month ago."
    return "No working tempo of an earlier day is kept."


def _figure_words(exercise: Exercise, point: TempoPoint) -> str:
    speed = notes_a_second(exercise, point.qpm)
    return (
        f"on {day_words(point.day)}: ♩ = {point.qpm:.0f}, between {point.low_qpm or 0:.0f} and "
        f"{point.high_qpm or 0:.0f} ({speed:.1f} notes a second)."
    )
