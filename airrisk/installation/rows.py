"""The lines of a text with its tables: where blocks, pairs and list items begin and end."""

from __future__ import annotations

import bisect
from functools import cached_property

from airrisk.installation.layout import Entry, Layout, Table


class Rows:
    """The lines of one text, counted from 0.

    Parameters
    ----------
    layout : Layout
        The places of the text.
    """

    def __init__(self, layout: Layout) -> None:
        self.data, self.layout = layout.data, layout

    @cached_property
    def line_starts(self) -> list[int]:
        """Where each line starts."""
        starts, place = [0], self.data.find(b"\n")
        while place >= 0:
            starts.append(place + 1)
            place = self.data.find(b"\n", place + 1)
        return starts

    def row(self, place: int) -> int:
        """The line of a place."""
        return bisect.bisect_right(self.line_starts, place) - 1

    def row_start(self, row: int) -> int:
        """Where a line starts, behind the byte order mark; the end of the text behind the last."""
        if row == 0 and self.data.startswith(b"\xef\xbb\xbf"):
            return 3
        return self.line_starts[row] if row < len(self.line_starts) else len(self.data)

    def lines(self, start: int, end: int) -> tuple[int, int]:
        """From the begin of the first line to behind the end of the last."""
        return self.row_start(self.row(start)), self.row_start(self.row(end) + 1)

    def is_blank(self, row: int) -> bool:
        """Whether a line is there and holds nothing."""
        return row < self.row_count and not self.row_bytes(row).strip()

    def row_bytes(self, row: int) -> bytes:
        """A line with its end."""
        return self.data[self.row_start(row) : self.row_start(row + 1)]

    @cached_property
    def row_count(self) -> int:
        """Lines that hold anything, also an unfinished last one."""
        return len(self.line_starts) - (self.line_starts[-1] == len(self.data))

    def newline(self, row: int) -> str:
        """The line end in use at a line, else the first one of the file."""
        for line in (self.row_bytes(row) if row < self.row_count else b"", self.data):
            place = line.find(b"\n")
            if place >= 0:
                return "\r\n" if line[:place].endswith(b"\r") else "\n"
        return "\n"

    def block_rows(self, table: Table) -> tuple[int, int]:
        """First line of a block with its comments, and the line behind its last one."""
        comments = self.layout.comment_lines
        first = self.row(table.header_start)
        while first - 1 in comments:
            first -= 1
        last = self.row(table.end) + 1
        after = last
        while after in comments:
            after += 1
        # Comment lines that run on to the next header belong to that.
        if after == self.row_count or self.is_blank(after):
            last = after
        return first, last

    def block_span(self, table: Table) -> tuple[int, int]:
        """A block with its comments and the blank lines that it stood off with."""
        first, last = self.block_rows(table)
        if last >= self.row_count:
            while first > 0 and self.is_blank(first - 1):
                first -= 1
        elif first == 0 or self.is_blank(first - 1):
            while self.is_blank(last):
                last += 1
        return self.row_start(first), self.row_start(last)

    def item_span(self, entry: Entry) -> tuple[int, int]:
        """An item of a list or inline table with the comma that goes with it."""
        start, end = entry.start, entry.end
        row = self.row(start)
        own_line = (
            entry.holder == "array"
            and self.row(end) == row
            and not self.data[self.row_start(row) : start].strip()
        )
        after = _skip_space(self.data, end)
        if self.data[after : after + 1] == b",":
            rest = self.data[after + 1 : self.row_start(self.row(after) + 1)].strip()
            if own_line and self.row(after) == row and (not rest or rest.startswith(b"#")):
                return self.row_start(row), self.row_start(row + 1)
            after += 1
            while self.data[after : after + 1] in (b" ", b"\t"):
                after += 1
            return start, after
        before = start
        while before and self.data[before - 1 : before] in (b" ", b"\t", b"\r", b"\n"):
            before -= 1
        if self.data[before - 1 : before] == b",":
            return before - 1, end
        return start, end


def _skip_space(data: bytes, place: int) -> int:
    """Behind spaces, line ends and comments."""
    while place < len(data):
        if data[place : place + 1] == b"#":
            end = data.find(b"\n", place)
            place = len(data) if end < 0 else end
        elif data[place : place + 1].isspace():
            place += 1
        else:
            break
    return place
