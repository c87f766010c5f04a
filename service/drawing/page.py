"""A page on which a picture is drawn from the top down: text, lengths, and what to mind."""

from collections.abc import Mapping
from itertools import pairwise

from service.domain.cautions.caution import Spoken, say_step
from service.drawing.lettering import LEADING, width_of, wrap
from service.drawing.scene import Box, Line, Marks, Point, Scene, Shape, Words
from service.drawing.signs import KEY, MOST_SIGN, NAILS, bar, diamond, disc
from service.said import plain, say_length

UNITS_WIDE = 360
"""A page is so many units wide: a unit is a pixel of a phone."""
MARGIN = 7
"""Room around, in units."""
TEXT, SMALL, TITLE = 8.0, 7.0, 11.0
"""Sizes of text in units."""
BOLD = 1.12
"""How much wider bold text is."""
GRAVE = ("stop", "warning")
GOVERNS = "Counted from the inputs; no design and no approval. The adopted local code and the building official govern."


class Page:
    """A picture while it is drawn; `y` is how far down it got, `drawn` how often each role was. Inches."""

    def __init__(self, width: float, metric: bool, units_wide: float = UNITS_WIDE, margin: float = MARGIN) -> None:
        self.width, self.metric = width, metric
        self.unit = width / units_wide
        self.left, self.inner = margin * self.unit, (units_wide - 2 * margin) * self.unit
        self.y = self.left
        self.shapes: list[Shape] = []
        self.drawn: dict[str, int] = {}

    def say(self, text: str) -> str:
        """Return a sentence in the units asked."""
        return plain(text, self.metric)

    def number(self, length: int) -> str:
        """Return a length without its unit, which the legend names."""
        return self.say(say_length(length, form="F"))

    def need(self, height: float) -> None:
        """Make room for what is drawn next: a picture is as long as it gets, a sheet of paper goes on to the next."""

    def paragraph(self, text: str, size: float, role: str = "words", indent: float = 0.0) -> None:
        """Write a text in as many lines as it takes."""
        size, indent = size * self.unit, indent * self.unit
        room = (self.inner - indent) / (BOLD if role == "strong" else 1)
        for line in wrap(self.say(text), size, room):
            self.need(size * LEADING)
            self.y += size * LEADING
            self.shapes.append(Words(role, self.left + indent, self.y, line, size))

    def count(self, role: str, count: int = 1) -> None:
        """Remember that a role was drawn."""
        self.drawn[role] = self.drawn.get(role, 0) + count

    def line(self, role: str, *points: Point) -> None:
        """Draw a line through points."""
        self.shapes.append(Line(role, points))
        self.count(role)

    def nails(self, role: str, outlines: list[tuple[Point, ...]]) -> None:
        """Draw all nails of a kind; none where there are none."""
        if outlines:
            self.shapes.append(Marks(role, f"{KEY[role]}: {len(outlines)}", tuple(outlines)))
            self.count(role, len(outlines))

    def half(self, role: str) -> float:
        """Return half the size of the head of a kind of nail."""
        return min(NAILS[role] * self.unit, MOST_SIGN)

    def slash(self, x: float, y: float) -> None:
        """Mark the end of a length."""
        half = 1.6 * self.unit
        self.shapes.append(Line("dimension", ((x - half, y + half), (x + half, y - half))))

    def upright(self, x: float, chain: list[tuple[float, str]], beside: bool = False) -> None:
        """Draw lengths one over the other, from the lowest place up, each said over its own stretch where it has room.

        Parameters
        ----------
        beside : bool
            Say the others on the left of the line.
        """
        size, ys = SMALL * self.unit, [y for y, _ in chain]
        self.line("dimension", (x, ys[0]), (x, ys[-1]))
        for y in ys:
            self.slash(x, y)
        for (low, _), (high, said) in pairwise(chain):
            middle = (low + high) / 2
            if width_of(said, size) < low - high:
                self.shapes.append(Words("words", x - 0.3 * size, middle, said, size, "middle", True))
            elif beside:
                self.shapes.append(Words("words", x - 0.5 * size, middle + 0.36 * size, said, size, "end"))

    def chain(self, chain: list[tuple[float, str]]) -> None:
        """Draw lengths one behind the other, from the left; what has no room over its own stretch stands lower."""
        self.y += 2 * self.unit
        xs = [x for x, _ in chain]
        self.line("dimension", (xs[0], self.y), (xs[-1], self.y))
        for x in xs:
            self.slash(x, self.y)
        said = [((a + b) / 2, text) for (a, _), (b, text) in pairwise(chain)]
        self.y = self.row(said, self.y + 0.6 * self.unit) + 2 * self.unit

    def row(self, said: list[tuple[float, str]], y: float) -> float:
        """Write short texts at their places, each in the first line where it does not touch another; return the lowest line."""
        size, ends = SMALL * self.unit, list[float]()
        for x, text in said:
            half = width_of(text, size) / 2 + 0.2 * size
            x = min(max(x, self.left + half), self.width - self.left - half)
            row = next((i for i, end in enumerate(ends) if end <= x - half), len(ends))
            ends[row : row + 1] = [x + half]
            self.shapes.append(Words("words", x, y + (row + 1) * size * 1.1, text, size, "middle"))
        return y + len(ends) * size * 1.1

    def legend(self, key: Mapping[str, str] = KEY, counted: bool = True) -> None:
        """Show each sign that was drawn, with what it means and how many there are."""
        self.rule()
        size, across = SMALL * self.unit, self.inner / 2
        signs = [role for role in key if role in self.drawn]
        half = (len(signs) + 1) // 2
        top, lowest = self.y, self.y
        for k, role in enumerate(signs):
            if k % half == 0:
                self.y = top
            x = self.left + (k // half) * across
            self.y += 1.5 * size
            self.sign(role, x, self.y - 0.35 * size)
            number = f": {self.drawn[role]}" if counted and role.endswith("_nail") else ""
            self.shapes.append(Words("words", x + 12 * self.unit, self.y, key[role] + number, size))
            lowest = max(lowest, self.y)
        self.y = lowest + 2 * self.unit

    def sign(self, role: str, x: float, y: float) -> None:
        """Draw a sample of a sign, ten units wide."""
        u, middle = self.unit, (x + 5 * self.unit, y)
        if role in ("driven_nail", "cut_nail"):
            self.shapes.append(Marks(role, KEY[role], (bar((x + 1 * u, y), (x + 9 * u, y), 1.5 * u),)))
        elif role == "panel_nail":
            self.shapes.append(Marks(role, KEY[role], (diamond(middle, 2 * u),)))
        elif role.endswith("_nail"):
            self.shapes.append(Marks(role, KEY[role], (disc(middle, 1.7 * u),)))
        elif role in ("opening", "panel_edge"):
            self.shapes.append(Line(role, ((x, y), (x + 10 * u, y))))
        elif role == "plate_joint":
            self.shapes.append(Line(role, ((x + 5 * u, y - 2.2 * u), (x + 5 * u, y + 2.2 * u))))
        else:
            self.shapes.append(Box(role, x, y - 2.2 * u, 10 * u, 4.4 * u))
            if role == "block":
                self.shapes.append(Line("block_mark", ((x, y + 2.2 * u), (x + 10 * u, y - 2.2 * u))))

    def mind(self, caution: Spoken, steps: bool = True) -> None:
        """Say what stops or warns: its weight in a box, its words, why here, what to do.

        Parameters
        ----------
        steps : bool
            Say also what may serve past a limit.
        """
        size, u = TEXT * self.unit, self.unit
        self.need(6 * size)
        self.y += 6 * u
        word = caution.severity.upper()
        width = width_of(word, size, True) + 4 * u
        self.shapes.append(Box(f"{caution.severity}_box", self.left, self.y, width, 1.4 * size))
        self.shapes.append(Words(f"{caution.severity}_words", self.left + 2 * u, self.y + 1.08 * size, word, size))
        self.y += 1.2 * size
        self.paragraph(caution.row.text, TEXT, "strong")
        self.paragraph(f"Here: {caution.applies_because}", TEXT)
        self.paragraph(f"Do: {caution.row.action}", TEXT)
        for step in caution.next_steps if steps else ():
            self.paragraph(say_step(step), SMALL)

    def end(self) -> None:
        """Say what governs."""
        self.rule()
        self.paragraph(GOVERNS, SMALL)

    def rule(self) -> None:
        """Draw a line across the page."""
        self.y += 4 * self.unit
        self.shapes.append(Line("rule", ((self.left, self.y), (self.width - self.left, self.y))))
        self.y += 2 * self.unit

    def finished(self, title: str, about: str) -> Scene:
        """Return the picture on its paper."""
        height = self.y + self.left
        paper = Box("paper", 0, 0, self.width, height)
        return Scene(self.width, height, self.unit, self.say(title), self.say(about), (paper, *self.shapes))
