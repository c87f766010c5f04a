"""The shapes of the answers about roof ties and anchor bolts, and the answers they write."""

from dataclasses import dataclass, replace
from typing import Any

from service.domain.building.anchorage import Anchorage, BoltedPiece, anchor
from service.domain.building.load_path import LINKS
from service.domain.building.uplift import PATH_LABELS, Uplift, uplift_of
from service.domain.cautions.caution import Caution, of_result, of_stop
from service.domain.cautions.ties import SHORT_PIECE, anchorage_cautions, uplift_cautions
from service.said import say_fraction, say_length
from service.schemas.answers.declare import Shape, flag, many, number, numbers, one, say, texts, whole, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.parts import ProvenanceShape
from service.schemas.answers.vocabulary import LINK, OUTCOME, PATH_STATUS, WASHER
from service.schemas.answers.working import AppliedFactorShape
from service.schemas.asks.ties import AnchorageAsk, UpliftAsk
from service.tables.book import Book
from service.ticks import inches

NO_NUMBER = "null where there is no number"
LABELS = {
    "prescriptive": "by the code's own rule",
    "engineering_required": "no number: it takes a design",
    "no_data": "no number: not held here",
}


@dataclass(frozen=True, slots=True, eq=False)
class UpliftAnswer:
    """An uplift and the codes that speak beside it."""

    found: Uplift
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class AnchorageAnswer:
    """Anchored plates and the codes that speak beside them."""

    found: Anchorage
    codes: tuple[str, ...]


class UpliftResult(Shape):
    """What pulls a rafter or truss off its wall, and what carries it: allowable stress forces, whole pounds rounded up."""

    outcome = word(OUTCOME, "prescriptive, engineering_required or no_data.", of="found.outcome")
    outcome_label = say("The outcome in a few words.", of=lambda a: LABELS[a.found.outcome])
    uplift_lb = whole(f"At each rafter or truss [lb]; {NO_NUMBER}.", of="found.tie_lb", null=True)
    uplift_plf = whole(f"Along the wall [lb/ft]; {NO_NUMBER}.", of="found.plf", null=True)
    net_uplift_plf = whole(f"Along the wall, below the full walls above [lb/ft]; {NO_NUMBER}.", of="found.net_plf", null=True)
    nails_alone_allowed = flag(
        "Whether the nails of the fastening schedule may carry the tie at the roof alone; false where there is no number.",
        of="found.nails_alone",
    )
    braced_panel_status = word(
        PATH_STATUS,
        "Whether the nailing of braced wall panels under this roof carries the net uplift; not_checked where the edition's rule is not held.",
        of="found.braced_panels",
    )
    provide = texts("What must be provided, sentence by sentence.", of="found.provide")
    conditions = texts("What the number holds for; empty where there is none.", of="found.conditions")
    factors = many(AppliedFactorShape, "Every factor applied to what the table reads.", of="found.factors")
    reason = say("The answer in one sentence.", of="found.reason")
    basis = say("The arithmetic in words.", of="found.basis")
    provenance = one(ProvenanceShape, of="found.provenance")
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


def _bolts(p: BoltedPiece) -> str:
    places = say_length(*(x - p.piece[0] for x in p.laid.positions), form="f") if p.laid else ""
    return f"{p.count} bolts at {places} from the start of the piece"


class BoltedPieceShape(Shape):
    """One piece of plate and its bolts."""

    label = say("The piece in words.", of=lambda p: f"{say_fraction(p.length)} long, from {say_fraction(p.piece[0])}")
    start_in = number("Where the piece starts along its wall [in]; 0 for a piece asked alone.", of=lambda p: inches(p.piece[0]))
    length_in = number("Length of the piece [in].", of="length", form=inches)
    outcome = word(OUTCOME, "prescriptive, engineering_required or no_data.")
    outcome_label = say("The outcome in a few words.", of=lambda p: LABELS[p.outcome])
    bolt_count = whole(f"Bolts of the piece; {NO_NUMBER}.", of="count", null=True)
    positions_in = numbers(
        "From the start of the piece [in]; empty where there is no number.",
        of=lambda p: [] if p.laid is None else [x - p.piece[0] for x in p.laid.positions],
        form=lambda positions: [inches(x) for x in positions],
    )
    positions_label = say(
        "Its bolts and their places in words.",
        of=lambda p: LABELS[p.outcome] if p.laid is None else _bolts(p),
    )
    maximum_spacing_in = number(
        f"The widest spacing that the code allows here [in]; {NO_NUMBER}.", of="most_spacing", form=inches, null=True
    )
    widest_spacing_in = number(
        "The widest spacing of its bolts [in]; null where it has fewer than two.", of="widest", form=inches, null=True
    )
    reason = say("The answer in one sentence.")
    basis = say("The arithmetic in words.")


class WasherShape(Shape):
    """What lies under the nuts."""

    kind = word(WASHER, of=lambda w: "plate_washer" if w.plate else "cut_washer")
    side_in = number("Each side of a plate washer [in].", of=lambda w: w.side, form=inches, absent="for cut washers")
    thickness_in = number("Thickness of a plate washer [in].", of=lambda w: w.thickness, form=inches, absent="for cut washers")
    applies_because = say("The input that decides.", of="because")
    provenance = one(ProvenanceShape)


def _of_uplift(name: str) -> Any:
    return lambda joint: joint.uplift and getattr(joint.uplift, name)


def _rule(name: str) -> Any:
    return lambda a: None if a.found.rules is None else getattr(a.found.rules, name)


class AnchorageResult(Shape):
    """Anchor bolts of plates on concrete, piece by piece."""

    outcome = word(OUTCOME, "The gravest of the pieces: prescriptive, engineering_required or no_data.", of="found.outcome")
    outcome_label = say("The outcome in a few words.", of=lambda a: LABELS[a.found.outcome])
    bolt_count = whole("Bolts of all pieces; null where a piece has no number.", of="found.count", null=True)
    bolt_diameter_in = number(
        "Least diameter of the bolts [in]; null where it is not held.", of=_rule("least_diameter"), form=inches, null=True
    )
    embedment_in = number(
        "Least embedment into the concrete [in]; null where it is not held.", of=_rule("least_embedment"), form=inches, null=True
    )
    minimum_end_distance_in = number(
        "No bolt of that diameter nearer to the end of a piece [in]; null where it is not held.",
        of=_rule("end_least"),
        form=inches,
        null=True,
    )
    maximum_end_distance_in = number(
        "First and last bolt no farther from the ends of a piece [in]; null where it is not held.",
        of=_rule("end_most"),
        form=inches,
        null=True,
    )
    washer = one(WasherShape, f"Under each nut; {NO_NUMBER}.", of="found.washer", null=True)
    placement = texts("How bolts, nuts and washers are set, sentence by sentence.", of="found.placement")
    plates = many(BoltedPieceShape, "The pieces in the order asked.", of="found.pieces")
    reason = say("The answer in one sentence.", of="found.reason")
    basis = say("The arithmetic in words.", of="found.basis")
    provenance = one(ProvenanceShape, of="found.provenance")
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


class RoofJointShape(Shape):
    """What pulls at the joint of a rafter or truss with its wall: allowable stress forces."""

    status = word(PATH_STATUS)
    uplift_lb = whole("What lifts each rafter or truss, rounded up [lb]; null where it is not known.", of=_of_uplift("tie_lb"), null=True)
    uplift_plf = whole("The same along the wall [lb/ft]; null where it is not known.", of=_of_uplift("plf"), null=True)
    nails_hold_lb = whole(
        "What the nails of this joint hold in withdrawal against wind, rounded down [lb]; null without a number. The code asks for a "
        "connector by uplift_lb alone.",
        null=True,
    )
    reason = say("The answer in one sentence or two.")
    provenance = one(ProvenanceShape, "Of the uplift; null where it is not known.", of=_of_uplift("provenance"), null=True)


class LinkShape(Shape):
    """One link of the path from the roof to what the wall stands on."""

    link = word(LINK, of="name")
    label = say("The link in words.", of=lambda link: LINKS[link.name])
    status = word(PATH_STATUS)
    status_label = say("How it stands, in a few words.", of=lambda link: PATH_LABELS[link.status])
    uplift_lb = whole("What lifts each rafter or truss [lb]; null at other links, and where it is not known.", null=True)
    uplift_plf = whole("What pulls up along the wall here [lb/ft]; null where it is not known, and at the panels.", null=True)
    reason = say("Why it stands so, in one sentence.")
    provenance = one(ProvenanceShape, "Of what decides; null where nothing in print does.", null=True)


def uplift_answer(ask: UpliftAsk, book: Book) -> Answered:
    """Answer a question about a roof tie, standing notes included."""
    found = uplift_of(ask.roof, ask.site, book.editions[ask.edition_id], book.rules)
    nulls = {found.stop.code: ("/result/uplift_lb", "/result/uplift_plf", "/result/net_uplift_plf")} if found.stop else {}
    cautions = of_result(uplift_cautions(found, book), nulls, book)
    return Answered(UpliftAnswer(found, tuple(c.code for c in cautions)), cautions, ask.assumptions)


def anchorage_answer(ask: AnchorageAsk, book: Book) -> Answered:
    """Answer a question about anchor bolts, standing notes included."""
    found = anchor(ask.pieces, ask.anchored, book.editions[ask.edition_id], book.rules)
    cautions = of_result(bolt_cautions(found, "/result", book), {}, book)
    return Answered(AnchorageAnswer(found, tuple(c.code for c in cautions)), cautions, ask.assumptions)


def bolt_cautions(found: Anchorage, at: str, book: Book) -> list[Caution]:
    """Return the cautions of anchored plates that stand at a place of the answer: a stop points at the count that is null."""
    short = tuple(f"{at}/plates/{i}" for i, p in enumerate(found.pieces) if p.stop)
    stops = [c for i, p in enumerate(found.pieces) for c in of_stop(p.stop, (f"{at}/plates/{i}/bolt_count",))]
    spoken = anchorage_cautions(found, book)
    return stops + [replace(c, applies_to=short if c.code == SHORT_PIECE else (at,)) for c in spoken]
