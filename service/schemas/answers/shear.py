"""The shape of the answer about the unit shear of a wall, and the answer it writes."""

from dataclasses import dataclass

from service.domain.building.shear import Capacity, cited, judge_shear
from service.domain.building.shear_rows import PanelCover
from service.domain.cautions.caution import of_result
from service.domain.cautions.shear import shear_cautions
from service.domain.joint.ranking import GROUNDS
from service.domain.joint.stop import Provenance
from service.domain.nails.nail import Nail
from service.said import say_fraction, say_length
from service.schemas.answers.declare import Shape, many, number, one, say, spread, texts, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.metric import short
from service.schemas.answers.parts import NailShape, ProvenanceShape
from service.schemas.answers.vocabulary import OUTCOME, SHEAR_VALUE
from service.schemas.answers.working import AppliedFactorShape
from service.schemas.asks.shear import ShearAsk
from service.tables.book import Book
from service.ticks import PER_FT, feet, inches

NUMBERS = ("nominal_plf", "asd_plf", "lrfd_plf", "asd_lb", "lrfd_lb")
"""What a stop points at: the numbers that are null."""
LABELS = {**GROUNDS, "prescriptive": "printed for this fastener", "exceeds_listed": "printed for a nail that is no thicker"}
NO_NUMBER = "null where there is no number"


@dataclass(frozen=True, slots=True, eq=False)
class ShearAnswer:
    """A judged wall and the codes that speak beside it."""

    capacity: Capacity
    codes: tuple[str, ...]

    @property
    def nail(self) -> Nail | None:
        """The nail of wood panels."""
        cover = self.capacity.wall.cover
        return cover.nail if isinstance(cover, PanelCover) else None

    @property
    def nail_row(self) -> str | None:
        """The nail row that was read."""
        nominal = self.capacity.nominal
        return nominal.match.row.nail_row if nominal and nominal.match else None

    @property
    def nominal_provenance(self) -> Provenance | None:
        """Where the nominal value alone stands."""
        c, n = self.capacity, self.capacity.nominal
        return None if n is None else cited(c.sdpws, n.clause, n.confidence, n.note, n.item)

    def of_wall(self, plf: float | None) -> float | None:
        """Return what the whole length resists [lb]."""
        return None if plf is None else plf * self.capacity.wall.length / PER_FT


class ShearFactorShape(Shape):
    """A factor that was applied; a divisor where it applies to asd."""

    _factor = spread(AppliedFactorShape)
    applies_to = word(SHEAR_VALUE)


class ShearCapacityResult(Shape):
    """The unit shear of one side of a wall. Null where there is no number."""

    outcome = word(OUTCOME, "prescriptive, exceeds_listed, engineering_required or no_data.", of="capacity.outcome")
    outcome_label = say("The outcome in a few words.", of=lambda a: LABELS[a.capacity.outcome])
    nail = one(NailShape, "Null for gypsum.", null=True)
    fastener = say("Fastener of gypsum; null for wood panels.", of=lambda a: getattr(a.capacity.wall.cover, "fastener", None), null=True)
    fastener_label = say(
        "The same as people say it; null for wood panels.", of=lambda a: getattr(a.capacity.wall.cover, "fastener_label", None), null=True
    )
    nail_row = say("The nail row of the table that was read; null for gypsum and where there is no number.", null=True)
    nominal_plf = number(
        f"Nominal unit shear as printed, before any factor [lb per ft]; {NO_NUMBER}.",
        of=lambda a: a.capacity.nominal and a.capacity.nominal.plf,
        form=short,
        null=True,
    )
    asd_plf = number(f"Allowable unit shear, all factors applied [lb per ft]; {NO_NUMBER}.", of="capacity.asd_plf", form=short, null=True)
    lrfd_plf = number(
        f"Unit shear by load and resistance factor design, all factors applied [lb per ft]; {NO_NUMBER}.",
        of="capacity.lrfd_plf",
        form=short,
        null=True,
    )
    asd_lb = number(
        f"Allowable shear of the whole wall_length_ft [lb]; {NO_NUMBER}.",
        of=lambda a: a.of_wall(a.capacity.asd_plf),
        form=short,
        null=True,
    )
    lrfd_lb = number(
        f"Shear of the whole wall_length_ft by load and resistance factor design [lb]; {NO_NUMBER}.",
        of=lambda a: a.of_wall(a.capacity.lrfd_plf),
        form=short,
        null=True,
    )
    factors = many(ShearFactorShape, "Every factor applied.", of="capacity.factors")
    edge_spacing_in = number("Along all panel edges, as asked [in].", of="capacity.wall.edge", form=inches)
    field_spacing_in = number("Inside the panel, the widest that the numbers are for [in].", of="capacity.field_spacing", form=inches)
    least_wall_length_ft = number(
        "Shortest full-height piece that the standard allows at this height [ft].", of="capacity.least_length", form=feet
    )
    reason = say("Why these numbers, or why there is none, in one sentence.", of=lambda a: _reason(a.capacity))
    basis = say("The arithmetic in words.", of=lambda a: _basis(a.capacity))
    provenance = one(ProvenanceShape, "Of the answer: known as well as its weakest part.", of="capacity.provenance")
    nominal_provenance = one(ProvenanceShape, f"Of nominal_plf alone, with the nails it is for; {NO_NUMBER}.", null=True)
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


def shear_answer(ask: ShearAsk, book: Book) -> Answered:
    """Answer a question about a wall, standing notes included."""
    capacity = judge_shear(ask.wall, book)
    nulls = {capacity.stop.code: tuple([f"/result/{name}" for name in NUMBERS])} if capacity.stop else {}
    cautions = of_result(shear_cautions(capacity, book), nulls, book)
    return Answered(ShearAnswer(capacity, tuple([c.code for c in cautions])), cautions, ask.assumptions)


def _reason(c: Capacity) -> str:
    if c.nominal is None or c.asd_plf is None or c.lrfd_plf is None:
        return c.stop.because if c.stop else ""
    wall = c.wall
    return (
        f"{say_fraction(wall.thickness)} {wall.cover.material.replace('_', ' ')} with {_nailed(c)} {say_length(wall.edge)} apart along edges "
        f"holds {short(c.asd_plf, 1)} plf against {wall.load} by allowable stress (ASD), {short(c.lrfd_plf, 1)} plf by resistance factors (LRFD)"
    )


def _nailed(c: Capacity) -> str:
    match c.wall.cover:
        case PanelCover(nail=nail):
            row = c.nominal.match.row.nail_row if c.nominal and c.nominal.match else ""
            return f"{nail.label}, read in the {row} row,"
        case cover:
            return cover.fastener_label


def _basis(c: Capacity) -> str:
    if c.nominal is None or c.asd_plf is None or c.lrfd_plf is None:
        return c.stop.because if c.stop else ""
    shared = "".join(f" x {f.value:.4g} ({f.name.replace('_', ' ')})" for f in c.factors if f.applies_to == "nominal")
    asd = "".join(f" / {f.value:g}" for f in c.factors if f.applies_to == "asd")
    lrfd = "".join(f" x {f.value:g}" for f in c.factors if f.applies_to == "lrfd")
    nominal = f"{c.nominal.plf:g} plf nominal{shared}"
    return f"{nominal}; ASD{asd} = {short(c.asd_plf)} plf; LRFD{lrfd} = {short(c.lrfd_plf)} plf; each x {feet(c.wall.length):g} ft of wall"
