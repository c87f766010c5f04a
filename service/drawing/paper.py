"""Sheets of paper: text, pictures and tables that go on to the next page, and what stands at the foot of each."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from service.domain.cautions.caution import Spoken, say_step
from service.domain.nails.nail import Nail
from service.drawing.lettering import LEADING, wrap
from service.drawing.page import GRAVE, SMALL, TEXT, Page
from service.drawing.scene import Box, Inset, Line, Scene, Shape, Words

WIDTH, HEIGHT = 210 / 25.4, 297 / 25.4
"""A4 upright (ISO 216). [in]"""
POINTS, EDGE = WIDTH * 72, 36.0
"""Units are points; so far is the text from the edges of the paper."""
LEAST_PICTURE = 0.55
"""A picture goes on the next page where less than this share of its full size has room."""
ROW_GAP = 2.5
"""Points between the rows of a table."""
NUMBER_WIDTH = 80
"""Points kept free at the foot for the number of the page."""


NONE = "no number"


class Column(NamedTuple):
    """A column of a table: its head, and its share of the width."""

    head: str
    share: float


class Row(NamedTuple):
    """A row of a table; `below` runs under its cells, from the second column on."""

    cells: tuple[str, ...]
    below: str = ""


class Paper(Page):
    """Paper that goes on to the next page where it is full; each page has its number and the same words at its foot."""

    def __init__(self, title: str, foot: Sequence[str], metric: bool) -> None:
        super().__init__(WIDTH, metric, POINTS, EDGE)
        self.title = self.say(title)
        size, room = SMALL * self.unit, self.inner - NUMBER_WIDTH * self.unit
        self.foot = [line for text in foot for line in wrap(self.say(text), size, room)]
        self.low = HEIGHT - 0.7 * self.left - (len(self.foot) - 1) * size * LEADING
        self.bottom = self.low - 0.7 * self.left
        self.full: list[list[Shape]] = []

    def need(self, height: float) -> None:
        """Turn the page where so much has no room on it."""
        if self.y + height > self.bottom and self.y > self.left:
            self.turn()

    def turn(self) -> None:
        """Go on on a new page."""
        self.full.append(list(self.shapes))
        self.shapes.clear()
        self.y = self.left

    def cautions(self, cautions: Iterable[Spoken]) -> None:
        """Say what stops or warns in full, then what else is to be minded, in small."""
        mild = []
        for caution in cautions:
            if caution.severity in GRAVE:
                self.mind(caution, steps=False)
            else:
                mild.append(caution)
        for caution in mild:
            self.y += 3 * self.unit
            here = "" if caution.row.standing else f" (Here: {caution.applies_because}.)"
            self.paragraph(f"{caution.severity}: {caution.row.text} {caution.row.action}{here}", SMALL)

    def next_steps(self, cautions: Iterable[Spoken]) -> None:
        """Say what may serve past the limits that cautions name; it is for the office, so it stands last."""
        self.table("Past the limits, for the office", [Column("", 1)], [(say_step(s),) for c in cautions for s in c.next_steps])

    def picture(self, scene: Scene) -> None:
        """Set a picture as large as it can be on what is left of the page, or on the next."""
        self.y += 8 * self.unit
        scale = self.inner / scene.width
        if (self.bottom - self.y) / scene.height < LEAST_PICTURE * min(scale, (self.bottom - self.left) / scene.height):
            self.turn()
        scale = min(scale, (self.bottom - self.y) / scene.height)
        self.shapes.append(Inset(scene, self.left + (self.inner - scale * scene.width) / 2, self.y, scale))
        self.y += scale * scene.height

    def table(self, title: str, columns: Sequence[Column], rows: Iterable[Row | tuple[str, ...]]) -> None:
        """Write a table, its head again on each page it runs on to; nothing where it has no rows."""
        held = [row if isinstance(row, Row) else Row(row) for row in rows]
        if not held:
            return
        self.need(6 * TEXT * self.unit)
        self.y += 6 * self.unit
        if title:
            self.paragraph(title, TEXT, "strong")
        heads = Row(tuple(c.head for c in columns))
        self._row(heads, columns, "strong")
        for row in held:
            if self._height(row, columns) + self.y > self.bottom:
                self.turn()
                self._row(heads, columns, "strong")
            self._row(row, columns, "words")

    def _cells(self, row: Row, columns: Sequence[Column]) -> list[list[str]]:
        size = SMALL * self.unit
        return [list(wrap(self.say(cell), size, (c.share * self.inner - size) / 1.12)) for cell, c in zip(row.cells, columns, strict=True)]

    def _below(self, row: Row, columns: Sequence[Column]) -> list[str]:
        return list(wrap(self.say(row.below), SMALL * self.unit, (1 - columns[0].share) * self.inner)) if row.below else []

    def _height(self, row: Row, columns: Sequence[Column]) -> float:
        lines = max(map(len, self._cells(row, columns))) + len(self._below(row, columns))
        return lines * SMALL * LEADING * self.unit + ROW_GAP * self.unit

    def _row(self, row: Row, columns: Sequence[Column], role: str) -> None:
        if not any(row.cells):
            return
        size, x, top = SMALL * self.unit, self.left, self.y
        cells = self._cells(row, columns)
        for lines, c in zip(cells, columns, strict=True):
            for k, line in enumerate(lines, 1):
                self.shapes.append(Words(role, x, top + k * size * LEADING, line, size))
            x += c.share * self.inner
        for k, line in enumerate(self._below(row, columns), max(map(len, cells)) + 1):
            self.shapes.append(Words(role, self.left + columns[0].share * self.inner, top + k * size * LEADING, line, size))
        self.y = top + self._height(row, columns)
        self.shapes.append(Line("rule", ((self.left, self.y), (self.left + self.inner, self.y))))

    def pages(self) -> tuple[Scene, ...]:
        """Return the pages, each with its number and the words of the foot."""
        self.turn()
        size, out = SMALL * self.unit, []
        for k, shapes in enumerate(self.full, 1):
            words = [Words("words", self.left, self.low + i * size * LEADING, line, size) for i, line in enumerate(self.foot)]
            number = Words("words", self.left + self.inner, self.low, f"page {k} of {len(self.full)}", size, "end")
            paper = Box("paper", 0, 0, WIDTH, HEIGHT)
            out.append(Scene(WIDTH, HEIGHT, self.unit, self.title, self.title, (paper, *shapes, *words, number)))
        return tuple(out)


def name_nail(nail: Nail) -> str:
    """Name a nail with its coating, which its label says where it is not bright."""
    return f"{nail.label}, bright" if nail.coating == "bright" else nail.label
