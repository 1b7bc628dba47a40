"""Text that is being written, in rows: where each letter stands, and which letter a place means.

Conventions: a column counts letters of the whole text from 0; the column behind the last letter is a place, too.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from trainer.tablature.glyphs import Size, TextMetrics


@dataclass(frozen=True, slots=True)
class Row:
    """The letters from column `begin` up to `end`, the end not included."""

    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class TextField:
    """A text in rows no wider than its room; a row ends behind a space where it can."""

    text: str
    size: Size
    room_px: float
    metrics: TextMetrics

    @property
    def rows(self) -> tuple[Row, ...]:
        """At least one, which may be empty."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[Row]:
        begin = 0
        while True:
            end = self._fitting(begin)
            if end >= len(self.text):
                yield Row(begin, len(self.text))
                return
            space = self.text.rfind(" ", begin, end)
            end = space + 1 if space >= begin else end
            yield Row(begin, end)
            begin = end

    def _fitting(self, begin: int) -> int:
        """The end of the longest row from a column on; at least one letter long."""
        low, high = begin + 1, len(self.text)
        while low < high:
            middle = (low + high + 1) // 2
            if self.metrics.width_px(self.text[begin:middle].rstrip(), self.size) <= self.room_px:
                low = middle
            else:
                high = middle - 1
        return low

    def place_of(self, column: int) -> tuple[int, float]:
        """The row of a column, and how far from the row's left end it stands."""
        rows = self.rows
        number = next((n for n, row in enumerate(rows) if row.begin <= column < row.end), len(rows) - 1)
        begin = rows[number].begin
        return number, self.metrics.width_px(self.text[begin:column], self.size)

    def column_at(self, row: int, x_px: float) -> int:
        """The column nearest to a place in a row; rows past the last are the last."""
        rows = self.rows
        found = rows[max(0, min(row, len(rows) - 1))]
        columns = range(found.begin, found.end + (1 if found.end == len(self.text) else 0))
        if not columns:
            return found.begin
        return min(columns, key=lambda column: abs(self.place_of(column)[1] - x_px))

    def stretches(self, begin: int, end: int) -> Iterator[tuple[int, float, float]]:
        """The pieces of rows that hold the columns `begin` up to `end`: row, left and right; past the text a letter."""
        width_px = self.metrics.width_px("n", self.size)
        if begin >= len(self.text):
            last_row, left_px = self.place_of(len(self.text))
            yield last_row, left_px, left_px + width_px
            return
        for number, row in enumerate(self.rows):
            first, last = max(begin, row.begin), min(end, row.end)
            if first < last:
                left_px = self.metrics.width_px(self.text[row.begin : first], self.size)
                piece = self.text[row.begin : last].rstrip() if last == row.end else self.text[row.begin : last]
                yield number, left_px, max(left_px + width_px / 2, self.metrics.width_px(piece, self.size))
