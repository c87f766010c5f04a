"""The shape of the answer about the strength of one nail, and the answer it writes."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from service.domain.cautions.caution import of_result
from service.domain.cautions.strength import strength_cautions
from service.domain.joint.stop import Provenance
from service.domain.strength.adjusted import Factor, Strength, evaluate
from service.schemas.answers.declare import Shape, many, number, one, other, say, texts, word
from service.schemas.answers.envelope import Answered
from service.schemas.answers.metric import short
from service.schemas.answers.parts import NailShape, ProvenanceShape
from service.schemas.answers.vocabulary import OUTCOME, SHORT_METHOD, VALUE_KIND, WITHDRAWAL_SHANK, YIELD_MODE
from service.schemas.answers.working import fine
from service.schemas.asks.strength import StrengthAsk
from service.tables.book import Book
from service.tables.standard import Nds

NUMBERS_OF = {
    "penetration_short": ("/result/lateral_lb", "/result/withdrawal_lb"),
    "value_not_held": ("/result/adjusted_lateral_lb", "/result/adjusted_withdrawal_lb"),
    "engineering_required_joint": ("/result/lateral_lb",),
    "end_grain_withdrawal": ("/result/withdrawal_lb",),
}
"""What a caution points at, where it is not the whole result."""


@dataclass(frozen=True, slots=True, eq=False)
class StrengthAnswer:
    """The strength of a nail and the codes that speak beside it."""

    strength: Strength
    codes: tuple[str, ...]


class AppliedFactor(NamedTuple):
    """A factor, and the edition whose clause it is of."""

    factor: Factor
    nds: Nds


class FactorShape(Shape):
    """A factor that was applied."""

    name = say("Name of the factor.", of="factor.name")
    applies_to = word(VALUE_KIND, of="factor.applies_to")
    value = number("The factor.", of="factor.value", form=fine)
    applies_because = say("The input that makes it apply.", of="factor.because")
    provenance = one(ProvenanceShape, of=lambda f: _where(f.nds, f.factor.clause, f.factor.confidence))


def _of_lateral(attribute: str) -> Callable[[StrengthAnswer], Any]:
    return lambda a: None if a.strength.lateral is None else getattr(a.strength.lateral, attribute)


def _of_axial(attribute: str) -> Callable[[StrengthAnswer], Any]:
    return lambda a: None if a.strength.axial is None else getattr(a.strength.axial, attribute)


MODES = {"type": "object", "additionalProperties": {"type": "number"}}


class NailStrengthResult(Shape):
    """The values of one nail: reference values of one, adjusted and combined ones of the group. Null where there is no value."""

    outcome = word(OUTCOME, "calculated or engineering_required.", of=lambda a: "engineering_required" if a.strength.stop else "calculated")
    outcome_label = say("The outcome in a few words.", of=lambda a: "no value: it takes a design" if a.strength.stop else "by strength")
    nail = one(NailShape, of="strength.nail", kept=True)
    penetration_in = number(
        "Into the holding piece, tip included; the far piece for two shear planes [in].", of="strength.penetration_in", form=fine
    )
    penetration_diameters = number("The same in shank diameters.", of="strength.penetration_diameters", form=fine)
    short_penetration_method = word(
        SHORT_METHOD, "Method used for 6 to 10 diameters; null otherwise.", of=_of_lateral("short_method"), null=True
    )
    main_specific_gravity = number("Of the holding piece.", of="strength.joint.main_gravity")
    side_specific_gravity = number("Of the piece nailed on; null for steel.", of="strength.joint.side_gravity", null=True)
    side_bearing_length_in = number("Shank that bears in the piece nailed on [in].", of=_of_lateral("side_length_in"), form=fine, null=True)
    main_bearing_length_in = number(
        "Shank that bears in the holding piece; the tip counts from 10 diameters on [in].",
        of=_of_lateral("main_length_in"),
        form=fine,
        null=True,
    )
    withdrawal_length_in = number("Shank that holds against withdrawal [in].", of=_of_axial("length_in"), form=fine, null=True)
    reduction_term = number(
        "Rd of the governing mode: a mode's yield load is divided by it.", of=_of_lateral("reduction"), form=fine, null=True
    )
    bending_yield_psi = number("Bending yield strength [psi].", of=_of_lateral("bending_yield_psi"), form=short, null=True)
    main_bearing_psi = number(
        "Dowel bearing strength of the holding piece [psi].", of=_of_lateral("main_bearing_psi"), form=short, null=True
    )
    side_bearing_psi = number(
        "Dowel bearing strength of the piece nailed on [psi].", of=_of_lateral("side_bearing_psi"), form=short, null=True
    )
    yield_modes_lb = other(
        MODES,
        "Im Is II IIIm IIIs IV; Im Is IIIs IV for two shear planes [lb].",
        of=_of_lateral("modes_lb"),
        form=lambda modes: {m: short(v) for m, v in modes.items()},
        null=True,
    )
    governing_mode = word(YIELD_MODE, of=_of_lateral("mode"), null=True)
    lateral_lb = number("Reference lateral value of one nail [lb].", of=_of_lateral("value_lb"), form=short, null=True)
    adjusted_lateral_lb = number("Of the group, all factors applied [lb].", of="strength.adjusted_lateral_lb", form=short, null=True)
    withdrawal_shank = word(WITHDRAWAL_SHANK, of=_of_axial("kind"), null=True)
    withdrawal_lb_per_in = number("Reference withdrawal value per inch [lb/in].", of=_of_axial("lb_per_in"), form=short, null=True)
    withdrawal_lb = number("Reference withdrawal value of one nail [lb].", of=_of_axial("value_lb"), form=short, null=True)
    adjusted_withdrawal_lb = number("Of the group, all factors applied [lb].", of="strength.adjusted_withdrawal_lb", form=short, null=True)
    head_pull_through_lb = number(
        "Reference head pull-through value; null when the head is unknown [lb].",
        of=lambda a: None if a.strength.head is None else a.strength.head.value_lb,
        form=short,
        null=True,
    )
    adjusted_head_pull_through_lb = number("Of the group, all factors applied [lb].", of="strength.adjusted_head_lb", form=short, null=True)
    combined_lb = number("Resistance to a load at load_angle_deg; null without it [lb].", of="strength.combined_lb", form=short, null=True)
    factors = many(FactorShape, "Every factor applied.", of=lambda a: [AppliedFactor(f, a.strength.nds) for f in a.strength.factors])
    notes = texts("What has no value here, and why.", of="strength.notes")
    basis = say("The arithmetic in words.", of=lambda a: _basis(a.strength))
    provenance = one(
        ProvenanceShape,
        of=lambda a: _where(a.strength.nds, "12.2, 12.3", a.strength.confidence, "computed from the equations of the standard"),
    )
    caution_codes = texts("Codes of the cautions that speak here, worst first.", of="codes")


def strength_answer(ask: StrengthAsk, book: Book) -> Answered:
    """Answer a strength question, standing notes included."""
    strength = evaluate(ask.nail, ask.joint, ask.service, ask.nds, ask.short_method)
    cautions = of_result(strength_cautions(strength), NUMBERS_OF, book)
    return Answered(StrengthAnswer(strength, tuple(c.code for c in cautions)), cautions, ask.assumptions)


def _basis(s: Strength) -> str:
    if s.stop and s.stop[0] == "penetration_short":
        return s.stop[1]
    said = [s.stop[1]] if s.stop and s.lateral is None else []
    if s.lateral:
        least = f"mode {s.lateral.mode} is the least of {len(s.lateral.modes_lb)}, yield load / Rd = {s.lateral.value_lb:.1f} lb"
        said.append(f"lateral: {least}{_times(s, 'lateral', s.adjusted_lateral_lb)}")
    if s.axial:
        held = f"{s.axial.lb_per_in:.2f} lb/in ({s.axial.kind.replace('_', ' ')}) x {s.axial.length_in:.3f} in = {s.axial.value_lb:.1f} lb"
        said.append(f"withdrawal: {held}{_times(s, 'withdrawal', s.adjusted_withdrawal_lb)}")
    if s.head:
        said.append(f"head pull-through (12.2.5): {s.head.value_lb:.1f} lb{_times(s, 'head', s.adjusted_head_lb)}")
    if s.combined_lb is not None:
        angle = f"{s.service.load_angle_deg:g}"
        said.append(f"combined (12.4): W Z / (W cos {angle} + Z sin {angle}) of the adjusted values = {s.combined_lb:.1f} lb")
    return "; ".join(said) or "; ".join(s.notes)


def _times(s: Strength, kind: str, adjusted: float | None) -> str:
    """Write the factors of a value and what they make of it."""
    factors = "".join(f" x {f.value:g}" for f in s.factors if f.applies_to == kind)
    if adjusted is None:
        return ", adjusted value not held"
    return f"{factors} = {adjusted:.1f} lb" if factors else ""


def _where(nds: Nds, clause: str, confidence: str, note: str | None = None) -> Provenance:
    table = clause.removeprefix("Table ") if clause.startswith("Table") else None
    return Provenance("NDS", nds.year, "" if table else clause, table, None, note, confidence, note is not None)
