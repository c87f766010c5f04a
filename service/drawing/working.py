"""One page of working of a calculated line, laid out to be checked by hand, with room for what the building official decides."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from service.domain.joint.comparison import Against, Value
from service.domain.joint.counting import say_nailing
from service.domain.joint.page import judged_for
from service.domain.joint.ranking import say_option, say_why
from service.domain.joint.requirement import Requirement
from service.domain.joint.substitute import Substitute
from service.domain.joint.working import Printed, factors_of, printed, printed_bending, strongest_option, weakest_option
from service.drawing.page import GOVERNS, SMALL, TEXT, TITLE
from service.drawing.paper import Column, Paper, name_nail
from service.drawing.scene import Box, Line, Words
from service.said import say_length
from service.tables.book import Book
from service.ticks import PER_IN

ASKED = [Column("The joint", 0.24), Column("", 0.76)]
VALUES = [
    Column("What one nail is worth", 0.25),
    Column("Nail to be used", 0.16),
    Column("Strongest listed", 0.17),
    Column("Weakest listed", 0.17),
    Column("NDS", 0.14),
    Column("Confidence", 0.11),
]
DIVISIONS = [Column("From ratio to number", 0.24), Column("Division", 0.48), Column("Number", 0.28)]
FACTORS = [
    Column("Factor", 0.2),
    Column("On", 0.2),
    Column("Value", 0.1),
    Column("NDS", 0.1),
    Column("Confidence", 0.12),
    Column("Because", 0.28),
]
NOT_OFFERED = "-"
OFFICIAL = 144.0
"""Height of the official's part; points."""
Cells = tuple[str, ...]


class Working(NamedTuple):
    """A calculated line by its number in the schedule; `of` says for what: code, site, walls."""

    line: int
    joint: str
    requirement: Requirement
    of: tuple[str, ...]


def draw_working(paper: Paper, working: Working, book: Book) -> None:
    """Write the working of a line on the page, and the official's part at its bottom: a page that may be signed by itself."""
    requirement = working.requirement
    found, nailing = requirement.substitute, requirement.nailing
    if found is None or nailing is None:
        raise TypeError("only a calculated number has a working")
    asked = f"{name_nail(requirement.question.nail)}: {say_nailing(nailing)}"
    paper.paragraph(f"Working of line {working.line}", TITLE, "strong")
    paper.paragraph(working.joint, TEXT, "strong")
    paper.paragraph("Calculated by strength: not a number of the table, and not accepted as sent.", TEXT, "strong")
    for text in working.of:
        paper.paragraph(text, SMALL)
    paper.table("", ASKED, _asked(requirement, found, asked))
    paper.table("", VALUES, _values(requirement, found, book))
    paper.table("", DIVISIONS, _divisions(found))
    paper.table("", FACTORS, _factors(requirement, found))
    paper.y += 3 * paper.unit
    for text in _remarks(found):
        paper.paragraph(text, SMALL)
    _official(paper, f"Line {working.line}, {asked}")


def _asked(requirement: Requirement, found: Substitute, asked: str) -> Iterator[Cells]:
    yield "Asked for", asked
    yield "Why", say_why(requirement)
    yield "Row compared with", requirement.provenance.on_paper
    yield "Nailed", "; ".join(judged_for(requirement))
    yield "Framing", f"{found.species.name}, specific gravity {found.species.specific_gravity:g} ({_words(found.species.confidence)})"
    yield "Design standard", f"NDS {found.nds.year}, yield equations of 12.3.1, ten-year load, dry"


def _values(requirement: Requirement, found: Substitute, book: Book) -> Iterator[Cells]:
    options = found.strongest, found.weakest
    nails = found.own, found.strongest.value, found.weakest.value
    nds, panel = found.nds, requirement.connection.panel

    def row(name: str, say: Callable[[Value], str], where: Printed | None = None) -> Cells:
        clause, known = where or Printed("", "")
        return name, *(say(v) for v in nails), clause, _words(known)

    yield "Nail", name_nail(found.own.nail), *(say_option(o.choice.option) for o in options), "", ""
    yield "Listed number", "", *(say_nailing(o.choice.nailing) for o in options), "", ""
    yield "Stands in", "", *(_where(o) for o in options), "", ""
    toe = "toe_nail" if requirement.connection.method == "toe_nail" else "penetration"
    yield row("Depth in the holding piece", lambda v: say_length(round(v.penetration), form="4"), printed(toe, nds))
    yield row("The same in diameters", lambda v: _short(v.penetration / v.nail.diameter), printed("penetration", nds))
    if any(v.lateral.short_method for v in nails):
        yield row("Short of 10 diameters, by", lambda v: _words(v.lateral.short_method or NOT_OFFERED), printed("penetration", nds))
    yield row("Bears in the piece nailed on", lambda v: _inches(v.lateral.side_length_in), printed(toe, nds) if toe == "toe_nail" else None)
    yield row("Bears in the holding piece", lambda v: _inches(v.lateral.main_length_in), printed("penetration", nds))
    side = Printed(book.panel_side.source, book.panel_side.confidence) if panel else printed("bearing", nds)
    yield row("Bearing, piece nailed on", lambda v: f"{_short(v.lateral.side_bearing_psi)} psi", side)
    yield row("Bearing, holding piece", lambda v: f"{_short(v.lateral.main_bearing_psi)} psi", printed("bearing", nds))
    steel = printed_bending(tuple(v.lateral.bending_yield_psi for v in nails), nds)
    yield row("Bending yield", lambda v: f"{_short(v.lateral.bending_yield_psi)} psi", steel)
    yield row("Reduction term Rd", lambda v: _short(v.lateral.reduction), printed("reduction", nds))
    yield row("Governing mode", lambda v: v.lateral.mode, Printed("12.3.1", ""))
    yield row("Lateral value", lambda v: _pounds(v.lateral.value_lb), Printed("12.3.1", found.own.lateral.confidence))
    if found.factor != 1:
        yield row(f"The same x {found.factor:g}", lambda v: _pounds(v.lateral_lb))
    if found.own.counts_axially:
        yield row(
            "Withdrawal, with its factor" if requirement.connection.method == "toe_nail" else "Withdrawal",
            lambda v: _pounds(v.withdrawal_lb),
            printed("withdrawal", nds),
        )
        if panel:
            yield row("Head pull-through", lambda v: _pounds(v.head_lb), printed("pull_through", nds))
            yield row("Pull: the lesser of the two", lambda v: _pounds(v.axial_lb))
    yield "Lateral, over the listed nail", "", *(f"{o.lateral_ratio:.4f}" for o in options), "", ""
    if found.own.counts_axially:
        yield "Pull, over the listed nail", "", *(NOT_OFFERED if o.axial_ratio is None else f"{o.axial_ratio:.4f}" for o in options), "", ""


def _where(option: Against) -> str:
    c = option.choice
    return f"{f'item {c.item}' if c.item else f'Table {c.table}' if c.table else c.section}, {_words(c.option.confidence)}"


def _divisions(found: Substitute) -> Iterator[Cells]:
    yield "Reaches the strongest listed", strongest_option(found).basis, say_nailing(found.strongest_nailing)
    yield "Reaches the weakest listed", weakest_option(found).basis, say_nailing(found.weakest_nailing)


def _factors(requirement: Requirement, found: Substitute) -> Iterator[Cells]:
    for f in factors_of(requirement.connection.method, found):
        yield _words(f.factor), _words(", ".join(f.applies_to)), f"{f.value:g}", f.clause, _words(f.confidence), f.because


def _remarks(found: Substitute) -> Iterator[str]:
    yield (
        "Compared: one nail beside the other, dry and at the ten-year load; moisture, temperature and load duration act on both alike and cancel. "
        "Counts are rounded up, spacings down. A number is never under the row's least count nor over its widest spacing."
    )
    if found.left_out:
        yield f"Listed and left out, as the standard cannot value them here: {'; '.join(found.left_out)}."
    yield f"Confidence of the whole, the weakest of all that went in: {_words(found.confidence)}. {GOVERNS}"


def _official(paper: Paper, what: str) -> None:
    """Draw the part that the building official fills in, at the bottom of the page."""
    u, size = paper.unit, SMALL * paper.unit
    left, width, top = paper.left, paper.inner, paper.bottom - OFFICIAL * paper.unit
    if paper.y > top:
        paper.turn()
    paper.shapes.append(Box("blank", left, top, width, OFFICIAL * u))
    inside, far = left + 8 * u, left + width - 8 * u
    half = (inside + far) / 2

    def words(x: float, down: float, text: str, role: str = "words") -> None:
        paper.shapes.append(Words(role, x, top + down * u, paper.say(text), size))

    def line(label: str, x: float, to: float, down: float, indent: float = 60) -> None:
        words(x, down, label)
        paper.shapes.append(Line("blank_line", ((x + indent * u, top + (down + 1.5) * u), (to, top + (down + 1.5) * u))))

    words(inside, 13, "For the building official. Blank as sent: only what is filled in here by hand decides.", "strong")
    words(inside, 25, what)
    for x, label in ((inside, "accepted"), (inside + 110 * u, "refused")):
        paper.shapes.append(Box("blank", x, top + 35 * u, 11 * u, 11 * u))
        words(x + 16 * u, 44, label, "strong")
    line("Name", inside, half - 8 * u, 66)
    line("Title, office", half, far, 66)
    line("Date", inside, half - 8 * u, 85)
    line("Signature", half, far, 85)
    for label, down in (("Remarks", 105), ("", 120), ("", 135)):
        line(label, inside, far, down)
    paper.y = top + OFFICIAL * u


def _words(text: str) -> str:
    return text.replace("_", " ")


def _short(value: float) -> str:
    return f"{round(value, 4):.9g}"


def _inches(length_in: float) -> str:
    return say_length(round(length_in * PER_IN), form="4")


def _pounds(value: float | None) -> str:
    return NOT_OFFERED if value is None else f"{value:.2f} lb"
