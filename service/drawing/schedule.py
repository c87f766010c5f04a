"""The nailing schedule of a project on paper: site and cautions, every joint with its number, and the working of each calculated line."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from service.domain.cautions.advice import CloserZone
from service.domain.cautions.caution import Spoken
from service.domain.joint.counting import say_nailing
from service.domain.joint.page import judged_for
from service.domain.joint.ranking import Judgement, say_outcome, say_why
from service.domain.joint.requirement import Requirement
from service.domain.site import SITE_FIELDS, Site
from service.drawing.page import SMALL, TEXT, TITLE
from service.drawing.paper import NONE, Column, Paper, Row, name_nail
from service.drawing.scene import Scene
from service.drawing.working import Working, draw_working
from service.said import say_fraction
from service.tables.book import Book
from service.tables.rules import Rules
from service.tables.schedule import Nailing

NO_APPROVAL = "As sent this is no approval: a calculated number counts only when the building official has accepted it."
"""At the foot of each page."""
OF_LINES = "/result/lines/"
FEW_LINES = 3
"""So many lines are named by their joint beside a caution, more by number alone."""
FEW_WALLS, MANY_WALLS = 3, 40
"""So many walls are named on a page of working, and under a row of the schedule before it goes on in another."""
SCHEDULE = [
    Column("Line", 0.05),
    Column("Joint", 0.27),
    Column("Nail", 0.18),
    Column("Number", 0.17),
    Column("Row", 0.16),
    Column("Ground", 0.17),
]


class Project(NamedTuple):
    """What the document is of: as its sender names it, by which code and where; `assumed` are the defaults that were used."""

    name: str | None
    edition_id: str
    site: Site
    species: str
    assumed: tuple[tuple[str, Any], ...]


class ScheduleLine(NamedTuple):
    """A joint with the nail that will be used; `braced` where that makes a difference, `walls` where walls were sent, `place` where of them."""

    judgement: Judgement
    closer_zone: CloserZone | None
    braced: bool | None
    walls: tuple[str, ...] | None
    place: str = ""

    @property
    def requirement(self) -> Requirement:
        """The judgement itself."""
        return self.judgement.requirement

    @property
    def number(self) -> Nailing | None:
        """What is nailed: what is required, or closer."""
        return self.judgement.used or self.requirement.nailing

    @property
    def joint(self) -> str:
        """The joint in words, where of a wall it is, and whether bracing panels stand there."""
        where = {None: "", True: ", at a braced wall panel", False: ", not at a braced wall panel"}[self.braced]
        place = f", {self.place}" if self.place else ""
        return f"{self.requirement.connection.description}{place}{where}"

    @property
    def below(self) -> str:
        """What has no room in a column: what it is judged for, why there is no number, closer nails, walls."""
        r, said = self.requirement, list[str]()
        judged = "; ".join(judged_for(r))
        if judged:
            said.append(f"For: {judged}.")
        if r.nailing is None:
            said.append(f"No number: {say_why(r)}.")
        if self.number != r.nailing and r.nailing:
            said.append(f"Nailed closer as asked; required: {say_nailing(r.nailing)}.")
        if self.closer_zone:
            said.append(
                f"Every {say_fraction(self.closer_zone.spacing)} within {say_fraction(self.closer_zone.width)} of the edges of the roof."
            )
        if self.walls:
            said.append(_say_walls(self.walls[:MANY_WALLS]))
        return " ".join(said)


def draw_nailing_schedule(
    project: Project, lines: Sequence[ScheduleLine], cautions: Sequence[Spoken], book: Book, metric: bool = False
) -> tuple[Scene, ...]:
    """Return the pages: the schedule on as many as it takes, then one for the working of each calculated line.

    Parameters
    ----------
    metric : bool
        Say lengths and speeds in metric units.
    """
    name = f"Project as named by the sender: {project.name}" if (project.name or "").strip() else "Project: not named by the sender"
    paper = Paper("Nailing schedule", (name, NO_APPROVAL), metric)
    code = _say_code(project, book)
    calculated = [(k, line) for k, line in enumerate(lines, 1) if line.requirement.substitute]
    paper.paragraph("Nailing schedule", TITLE, "strong")
    paper.paragraph(name, TEXT, "strong")
    for text in _heading(project, book):
        paper.paragraph(text, SMALL)
    paper.y += 3 * paper.unit
    paper.paragraph(_say_calculated(len(calculated), len(lines)), TEXT, "strong")
    paper.cautions([_with_lines(c, lines) for c in cautions])
    paper.table("Schedule", SCHEDULE, [row for k, line in enumerate(lines, 1) for row in _rows(k, line)])
    paper.next_steps(cautions)
    paper.end()
    for k, line in calculated:
        paper.turn()
        draw_working(paper, Working(k, line.joint, line.requirement, (code, *_some(line.walls or ()))), book)
    return paper.pages()


def _with_lines(caution: Spoken, lines: Sequence[ScheduleLine]) -> Spoken:
    """Return a caution with the lines that it is of, where it is not of all: an answer points at them, and paper has to name them."""
    of = sorted({int(place.split("/")[3]) for place in caution.applies_to if place.startswith(OF_LINES)})
    if caution.row.standing or not of or len(of) == len(lines):
        return caution
    if len(of) > FEW_LINES:
        named = f"lines {', '.join(str(i + 1) for i in of)}"
    else:
        named = "; ".join(f"line {i + 1}, {lines[i].joint}" for i in of)
    return replace(caution, applies_because=f"{caution.applies_because}; {named}")


def _heading(project: Project, book: Book) -> Iterator[str]:
    """Say code, site and framing, with what was assumed of them."""
    species = book.species[project.species]
    yield _say_code(project, book)
    named = {name for name, _ in project.assumed}
    taken = " (assumed)" if "species" in named else ""
    yield f"Framing: {species.name}, specific gravity {species.specific_gravity:g}{taken}. Tables of the service: {book.data_version}."
    others = [
        f"{name.replace('_', ' ')} {_say(value)}"
        for name, value in project.assumed
        if name not in {*SITE_FIELDS, "species"} and "." not in name
    ]
    of_walls = sum("." in name for name in named)
    if of_walls:
        others.append(f"{of_walls} values of single walls and nails, which the answer as JSON lists")
    if others:
        yield f"Also taken where nothing was sent: {'; '.join(others)}."


def _say(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def _say_code(project: Project, book: Book) -> str:
    edition = book.editions[project.edition_id]
    return f"Code: {edition.code} {edition.year}. Site: {', '.join(_say_site(project.site, book.rules))}."


def _some(walls: tuple[str, ...]) -> tuple[str, ...]:
    """Name the walls of a line where a page has room for a few."""
    more = (f"and {len(walls) - FEW_WALLS} more, in the schedule",) if len(walls) > FEW_WALLS else ()
    return (_say_walls((*walls[:FEW_WALLS], *more)),) if walls else ()


def _say_site(site: Site, rules: Rules) -> Iterator[str]:
    def taken(field: str) -> str:
        return " (assumed)" if field in site.assumed else ""

    basis = " (basis assumed)" if "wind_speed_basis" in site.assumed else ""
    yield f"wind {site.say_wind(rules)}{taken('wind_speed_mph') or basis}"
    yield f"exposure {site.exposure}{taken('exposure')}"
    yield f"seismic design category {site.seismic_design_category}{taken('seismic_design_category')}"
    snow = site.ground_snow_load_psf
    yield "ground snow load not sent" if snow is None else f"ground snow load {snow:g} psf"
    yield f"{site.building_type}{taken('building_type')}"


def _say_calculated(calculated: int, lines: int) -> str:
    if not calculated:
        return f"None of the {lines} lines is calculated by strength."
    return (
        f"{calculated} of {lines} lines {'is' if calculated == 1 else 'are'} calculated by strength. The working of each is a page of its own "
        "at the end, where the building official accepts or refuses it."
    )


def _rows(k: int, line: ScheduleLine) -> Iterator[Row]:
    r = line.requirement
    known = f"; {r.provenance.confidence.replace('_', ' ')}" if r.nailing else ""
    number = say_nailing(line.number) if line.number else NONE
    if r.outcome == "calculated":
        number += ", if accepted"
    row = r.provenance.on_paper or "none: trade custom"
    yield Row((str(k), line.joint, name_nail(r.question.nail), number, row, f"{say_outcome(r)}{known}"), line.below)
    walls = line.walls or ()
    for first in range(MANY_WALLS, len(walls), MANY_WALLS):
        yield Row((str(k), "goes on", "", "", "", ""), _say_walls(walls[first : first + MANY_WALLS]))


def _say_walls(walls: tuple[str, ...]) -> str:
    return f"Walls: {', '.join(walls)}."
