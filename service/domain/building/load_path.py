"""The path of loads from the roof through a wall to what it stands on, link by link, as far as nails and the question tell."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.domain.building.anchorage import Anchorage
from service.domain.building.pull import NotKnown, at_the_tie, pull_of
from service.domain.building.uplift import CONNECTOR, ENGINEERING, NOT_CHECKED, OK, Uplift
from service.domain.joint.stop import Provenance
from service.domain.wall.plan import Plan, PlanLine
from service.said import say_length
from service.tables.book import Book

WALLS_ABOVE = {"roof_only": 0, "one_story_and_roof": 1, "two_stories_and_roof": 2}
"""Full walls between this wall and the roof that it carries."""
LINKS = {
    "roof_tie": "rafter or truss to the top plate",
    "wall_above": "the wall above to this one",
    "stud_to_plate": "studs to their plates",
    "sheathing": "panels to the framing",
    "plate_to_floor": "bottom plate to the floor",
    "plate_to_foundation": "bottom plate to the foundation",
}
"""The links from the roof down, as a framer would say them."""
GRAVEST = (ENGINEERING, CONNECTOR, NOT_CHECKED, OK)
STUD_ENDS = ("stud_end", "stud_toe")


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that decides how a link stands, and where that is printed."""

    status: str
    because: str
    provenance: Provenance | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """One link: the gravest of its findings; uplift at each tie [lb] and along the wall [lb/ft] where it is known."""

    name: str
    status: str
    reason: str
    provenance: Provenance | None
    uplift_lb: int | None = None
    uplift_plf: int | None = None


@dataclass(frozen=True, slots=True)
class LoadPath:
    """The links of a wall; `pull` is None where it carries no roof."""

    links: tuple[Link, ...]
    pull: Uplift | NotKnown | None


def load_path(plan: Plan, anchors: Anchorage | None, book: Book) -> LoadPath:
    """Return how the links of a wall stand; none for a partition that does not bear.

    References
    ----------
    IRC R602.3.5 (uplift through walls), R802.11 (roof ties).
    """
    wall, setting = plan.order.wall, plan.order.setting
    if not (wall.bearing or wall.exterior):
        return LoadPath((), None)
    above = WALLS_ABOVE.get(wall.supports)
    pull = None if above is None else pull_of(setting.site, setting.conditions, plan.edition, book.rules, above)
    through = _through_wall(pull, plan)
    plf = pull.net_plf if isinstance(pull, Uplift) else None
    links = [_roof_link(pull, through, above)] if pull is not None and above is not None else []
    links.append(_link("stud_to_plate", [*_nailed(plan, STUD_ENDS), through], plf))
    if wall.exterior or plan.panels:
        links.append(_link("sheathing", [_panels(plan)]))
    if anchors is None:
        links.append(_link("plate_to_floor", [*_nailed(plan, ("floor",)), *_no_room(plan), through], plf))
    else:
        links.append(_link("plate_to_foundation", [_bolted(anchors), through], plf))
    return LoadPath(tuple(links), pull)


def _link(name: str, found: Iterable[Finding], plf: int | None = None, lb: int | None = None) -> Link:
    findings = list(found)
    status = next(s for s in GRAVEST if any(f.status == s for f in findings))
    deciding = [f for f in findings if f.status == status]
    reason = "; ".join(dict.fromkeys(f.because for f in deciding))
    return Link(name, status, reason, next((f.provenance for f in deciding if f.provenance), None), lb, plf)


def _roof_link(pull: Uplift | NotKnown, through: Finding, walls_above: int) -> Link:
    """Return the link at the top of the wall: the roof itself, or the wall that carries it."""
    if isinstance(pull, NotKnown):
        return _link("wall_above" if walls_above else "roof_tie", [Finding(NOT_CHECKED, pull.because)])
    if walls_above:
        return _link("wall_above", [through], pull.net_plf)
    return _link("roof_tie", [Finding(at_the_tie(pull), pull.reason.rstrip("."), pull.provenance)], pull.plf, pull.tie_lb)


def _through_wall(pull: Uplift | NotKnown | None, plan: Plan) -> Finding:
    """Say whether nailing carries the uplift through the wall."""
    if pull is None:
        return Finding(OK, "it carries no roof that could pull it up")
    if isinstance(pull, NotKnown):
        return Finding(NOT_CHECKED, f"what the roof pulls is not known: {pull.because}")
    ties = plan.edition.roof_ties
    most = ties.rules.braced_panel_to if ties else None
    if pull.stop:
        return Finding(ENGINEERING, pull.stop.because, pull.provenance)
    if most is None:
        return Finding(NOT_CHECKED, f"what uplift nailed walls carry is not held for {plan.edition.code} {plan.edition.year}")
    if pull.braced_panels == OK:
        return Finding(OK, f"net uplift is {pull.net_plf} lb/ft, and the code lets the nailing of the schedule carry it", pull.provenance)
    said = f"net uplift is {pull.net_plf} lb/ft, over the {most:g} that nailing carries: connectors, or sheathing designed for uplift and shear"
    return Finding(CONNECTOR, said, pull.provenance)


def _nailed(plan: Plan, places: tuple[str, ...]) -> list[Finding]:
    """Say whether the joints at a place of the wall have their nails."""
    return [_of_line(line) for line in plan.lines if line.group.connection.in_wall in places]


def _no_room(plan: Plan) -> list[Finding]:
    """Name the pieces of bottom plate that uprights cover, so that no nail into the floor finds room."""
    covered = [p.x for p in plan.framing.full_stubs]
    said = f"the pieces of bottom plate at {say_length(*covered)} have no room for nails into the floor: hold them down otherwise"
    return [Finding(CONNECTOR, said)] if covered else []


def _of_line(line: PlanLine) -> Finding:
    r = line.requirement
    name = r.connection.connection_id
    if r.outcome == "engineering_required":
        return Finding(ENGINEERING, f"{name} has no number: {r.no_number_because}", r.provenance)
    if r.nailing is None:
        return Finding(NOT_CHECKED, f"{name} has no number: {r.no_number_because}", r.provenance)
    accepted = ", if the building official accepts the nail" if r.outcome == "calculated" else ""
    return Finding(OK, f"{name} is nailed as the schedule asks{accepted}", r.provenance)


def _panels(plan: Plan) -> Finding:
    """Say how the panels stand against wind; whether they are long enough to brace is a question of the whole line."""
    wall, panels = plan.order.wall, plan.panels
    if panels is None:
        return Finding(NOT_CHECKED, "no panels were sent: what braces this wall, and what holds off the wind, is not known")
    r = panels.requirement
    if panels.used is None:
        status = ENGINEERING if r.outcome == "engineering_required" else NOT_CHECKED
        return Finding(status, f"the panels have no number: {r.no_number_because}", r.provenance)
    if wall.braced or "wall.braced" in plan.order.setting.conditions.assumed:
        return Finding(
            NOT_CHECKED, "nailed as the table of its panels asks; whether they brace the line tells /v1/bracing-checks", r.provenance
        )
    return Finding(OK, "nailed as the table of its panels asks; none of them is counted as bracing", r.provenance)


def _bolted(anchors: Anchorage) -> Finding:
    status = {"prescriptive": OK, "no_data": NOT_CHECKED}.get(anchors.outcome, ENGINEERING)
    return Finding(status, anchors.reason.rstrip("."), anchors.provenance)
