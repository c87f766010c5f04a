"""How plates are anchored to concrete: how many bolts each piece takes, where, and with which washers."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.domain.building.bolts import Laid, Stretch, bolt_count, end_distance, lay_bolts, lay_one
from service.domain.building.line import MOST_STORIES
from service.domain.joint.scope import site_limits_passed
from service.domain.joint.stop import Provenance, Stop, joined, past
from service.domain.site import Site
from service.domain.wall.plan import Plan
from service.said import say_fraction, say_length
from service.tables.book import Book
from service.tables.confidence import weakest
from service.tables.editions import Edition
from service.tables.rules import Rules
from service.tables.ties import AnchorRules

NO_NUMBER = ("no_data", "engineering_required")


@dataclass(frozen=True, slots=True)
class Anchored:
    """What is anchored, and how it is done.

    Attributes
    ----------
    story_count : int
        Stories of the building.
    braced : bool
        Whether bracing panels stand on the line.
    joins_offset_panels : bool
        Whether the short pieces are short walls that join offset braced wall panels.
    slab_type, anchor_type : str or None
        Kind of slab; how the anchor gets into it.
    stories_unsaid : bool
        Whether the stories were not sent, and so read as the most.
    """

    site: Site
    story_count: int
    braced: bool
    joins_offset_panels: bool = False
    slab_type: str | None = None
    anchor_type: str | None = None
    stories_unsaid: bool = False


@dataclass(frozen=True, slots=True)
class BoltedPiece:
    """One piece of plate: its bolts along the wall and the spacing that they may have, None where there is no number; ticks."""

    piece: Stretch
    laid: Laid | None
    most_spacing: int | None
    basis: str
    reason: str
    stop: Stop | None = None

    @property
    def length(self) -> int:
        """Length of the piece."""
        return self.piece[1] - self.piece[0]

    @property
    def outcome(self) -> str:
        """On what ground the number stands."""
        return "prescriptive" if self.stop is None else "no_data" if self.stop.code == "value_not_held" else "engineering_required"

    @property
    def count(self) -> int | None:
        """Bolts of the piece."""
        return None if self.laid is None else len(self.laid.positions)

    @property
    def widest(self) -> int | None:
        """The widest spacing of its bolts; None where it has fewer than two."""
        if self.laid is None or len(self.laid.positions) < 2:
            return None
        return max(b - a for a, b in zip(self.laid.positions, self.laid.positions[1:], strict=False))


@dataclass(frozen=True, slots=True)
class Washer:
    """What lies under the nuts: plate washers, their side and thickness in ticks, or cut ones; and why."""

    plate: bool
    side: int | None
    thickness: int | None
    because: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Anchorage:
    """The bolts of some pieces of plate; `rules` is None where the edition's clauses are not held, and with them all else."""

    asked: Anchored
    pieces: tuple[BoltedPiece, ...]
    most_spacing: int | None
    washer: Washer | None
    rules: AnchorRules | None
    provenance: Provenance

    @property
    def outcome(self) -> str:
        """The gravest outcome of the pieces."""
        found = {p.outcome for p in self.pieces}
        return next((o for o in NO_NUMBER if o in found), "prescriptive")

    @property
    def count(self) -> int | None:
        """All bolts; None where a piece has no number."""
        counts = [p.count for p in self.pieces]
        return None if None in counts else sum(c for c in counts if c is not None)

    @property
    def basis(self) -> str:
        """The sum of the pieces in words."""
        return " + ".join("no number" if p.count is None else str(p.count) for p in self.pieces)

    @property
    def reason(self) -> str:
        """The answer in one sentence."""
        without = [p.reason for p in self.pieces if p.stop]
        if without:
            return without[0] if len(without) == len(self.pieces) else f"{len(without)} of {len(self.pieces)} pieces: {without[0]}"
        pieces = f"{len(self.pieces)} pieces" if len(self.pieces) > 1 else "one piece"
        said = f"{self.count} anchor bolts in {pieces} of plate, at most {say_length(self.most_spacing or 0)} apart"
        tall = self.asked.stories_unsaid and self.rules is not None and _tall(self.asked, self.rules)
        return f"{said}; read as a building of {self.asked.story_count} stories, since story_count was not sent." if tall else f"{said}."

    @property
    def placement(self) -> tuple[str, ...]:
        """How bolts, nuts and washers are set."""
        r = self.rules
        if r is None or self.washer is None:
            return ()
        set_in = f"In the middle 1/{r.middle_of} of the plate's width, {say_length(r.cover)} or more of concrete or grout beside it, {say_length(r.least_embedment)} deep."
        thick = f"Bolts of {say_fraction(r.least_diameter)} or thicker; a thicker bolt stands {r.end_least_diameters:g} of its own diameters from the ends of a piece."
        return (set_in, thick, _say_washer(self.washer, r), "Approved anchors or straps may stand in where they hold as much.")


def _say_washer(washer: Washer, r: AnchorRules) -> str:
    if not washer.plate:
        return "A nut and a cut washer on each bolt."
    side = say_length(r.washer_side)
    return (
        f"A nut and a plate washer of {side} x {side} x {say_length(r.washer_thickness)} on each bolt of the whole braced wall line; its hole may be a diagonal slot "
        f"{say_fraction(r.washer_slot_over)} wider than the bolt and {say_fraction(r.washer_slot_length)} long, with a cut washer on top."
    )


def anchor(
    pieces: Sequence[Stretch],
    asked: Anchored,
    edition: Edition,
    rules: Rules,
    studs: Sequence[Stretch] = (),
    doors: Sequence[Stretch] = (),
) -> Anchorage:
    """Return the anchor bolts of pieces of plate on concrete.

    Parameters
    ----------
    pieces : sequence of Stretch
        Each from its start to its end along the wall; ticks.
    studs, doors : sequence of Stretch
        What stands on the plate, with the room beside it kept free for nut and washer; where there is no plate to hold.

    References
    ----------
    IRC R403.1.6, R403.1.6.1, R602.11.1.
    """
    held = edition.anchor_bolts
    if held is None:
        stop = Stop("value_not_held", f"what {edition.code} {edition.year} asks of anchor bolts is not held")
        where = Provenance(edition.code, edition.year, "", None, None, stop.because, "derived")
        return Anchorage(asked, tuple(_without(p, stop) for p in pieces), None, None, None, where)
    tall = _tall(asked, held)
    most = held.tall_spacing if tall else held.most_spacing
    scope = site_limits_passed(asked.site, edition, rules)
    taken = [*((a - held.clear_of_stud, b + held.clear_of_stud) for a, b in studs), *doors]
    if scope:
        stop = joined(scope)
        where = stop.cited or _provenance(tall, (), edition, held)
        return Anchorage(asked, tuple(_without(p, stop) for p in pieces), None, None, held, where)
    found = tuple(_bolted(p, asked, most, edition, held, taken) for p in pieces)
    return Anchorage(asked, found, most, _washer(asked, edition, held), held, _provenance(tall, found, edition, held))


def anchor_wall(plan: Plan, book: Book) -> Anchorage | None:
    """Return the anchor bolts of a wall whose plate stands on concrete, clear of its uprights; None for other walls.

    What was not said is read as what asks for most: a building of three stories, a wall that braces.
    """
    wall, setting = plan.order.wall, plan.order.setting
    if wall.bottom_plate_on != "concrete":
        return None
    given = setting.conditions
    asked = Anchored(
        setting.site,
        MOST_STORIES if "story_count" in given.assumed else setting.site.story_count,
        wall.braced or "wall.braced" in given.assumed,
        slab_type=given.slab_type,
        anchor_type=given.anchor_type,
        stories_unsaid="story_count" in given.assumed,
    )
    pieces = [(p.x, p.right) for p in plan.framing.bottom_plates]
    return anchor(pieces, asked, plan.edition, book.rules, [(m.x, m.right) for m in plan.framing.on_plate])


def _tall(asked: Anchored, held: AnchorRules) -> bool:
    """Whether the building is so tall for its seismic category that bolts stand closer."""
    return asked.story_count > held.tall_over and _shaken(asked.site, held.tall_categories, held.tall_townhouse_categories)


def _shaken(site: Site, categories: tuple[str, ...], townhouse: tuple[str, ...]) -> bool:
    category = site.seismic_design_category
    return category in categories or (site.building_type == "townhouse" and category in townhouse)


def _without(piece: Stretch, stop: Stop) -> BoltedPiece:
    return BoltedPiece(piece, None, None, stop.because, f"No number: {stop.because}.", stop)


def _bolted(piece: Stretch, asked: Anchored, most: int, edition: Edition, held: AnchorRules, taken: Sequence[Stretch]) -> BoltedPiece:
    length = piece[1] - piece[0]
    if asked.joins_offset_panels and length <= held.one_bolt_to:
        return _short_wall(piece, most, held, taken)
    if length < held.least_piece:
        where, short = held.rows["least_piece"], say_length(held.least_piece - length)
        said = f"a plate piece of {say_length(length)} is under the {say_length(held.least_piece)} that two bolts take, by {short}"
        return _without(piece, past("plate_piece", said, edition.code, edition.year, where.section, where.table, where.confidence))
    laid, inset = lay_bolts(piece, most, held, taken), end_distance(length, held)
    fewest = bolt_count(length, most, held)
    basis = f"max({held.least_per_piece}, ceil(({say_length(length)} - 2 x {say_length(inset)}) / {say_length(most)}) + 1) = {fewest}"
    more = f", and {len(laid.positions) - fewest} more for want of a free place" if len(laid.positions) > fewest else ""
    return BoltedPiece(piece, laid, most, basis + more, _reason(piece, laid, fewest))


def _reason(piece: Stretch, laid: Laid, fewest: int) -> str:
    at = laid.positions
    widest = max(b - a for a, b in zip(at, at[1:], strict=False))
    said = f"{len(at)} bolts: the first {say_length(at[0] - piece[0])} and the last {say_length(piece[1] - at[-1])} from the ends of the piece, at most {say_length(widest)} apart"
    if laid.in_the_way:
        return f"{said}; no place within the limits is clear for the one at {say_length(*laid.in_the_way)}: a stud or a door is in the way."
    said += "; moved clear of studs and doors" if laid.moved else ""
    return f"{said}, with one more than the length alone asks." if len(at) > fewest else f"{said}."


def _short_wall(piece: Stretch, most: int, held: AnchorRules, taken: Sequence[Stretch]) -> BoltedPiece:
    length = piece[1] - piece[0]
    nailed = "nailed at both ends to the braced wall panels it joins, as corners are"
    if length <= held.no_bolt_to:
        basis = f"a short wall of {say_length(length)}, up to {say_length(held.no_bolt_to)}, needs none"
        return BoltedPiece(piece, Laid((), ()), most, basis, f"No bolt: {basis}; {nailed}.")
    laid = lay_one(piece, held, taken)
    basis = f"a short wall of {say_length(length)}, up to {say_length(held.one_bolt_to)}, needs one in its middle third"
    way = "; a stud or a door is in its way" if laid.in_the_way else ""
    return BoltedPiece(piece, laid, most, basis, f"1 bolt: {basis}; {nailed}{way}.")


def _washer(asked: Anchored, edition: Edition, held: AnchorRules) -> Washer:
    site, where = asked.site, held.rows["washer_categories"]
    plate = asked.braced and _shaken(site, held.washer_categories, held.washer_townhouse_categories)
    line = "a braced wall line" if asked.braced else "no braced wall line"
    because = f"{line}, seismic design category {site.seismic_design_category}, {site.building_type}"
    known = weakest(where.confidence, held.rows["washer_thickness"].confidence) if plate else where.confidence
    side, thickness = (held.washer_side, held.washer_thickness) if plate else (None, None)
    cited = Provenance(edition.code, edition.year, where.section, where.table or None, None, None, known)
    return Washer(plate, side, thickness, because, cited)


def _provenance(tall: bool, pieces: Sequence[BoltedPiece], edition: Edition, held: AnchorRules) -> Provenance:
    """Cite what decides counts; within the limits of ends and spacing the positions are this service's."""
    decided = ["tall_spacing" if tall else "most_spacing", "least_per_piece", "end_most", "end_least_diameters"]
    decided += ["one_bolt_to"] if any(p.count is not None and p.count < held.least_per_piece for p in pieces) else []
    where = held.rows[decided[0]]
    known = weakest(*(held.rows[key].confidence for key in decided))
    note = "positions are one arrangement within the limits of the code"
    return Provenance(edition.code, edition.year, where.section, where.table or None, None, note, known)
