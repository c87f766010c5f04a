"""The working of a calculated number: what the nail on hand is worth beside the listed ones, division by division."""

from service.domain.joint.substitute import Substitute
from service.domain.joint.working import COMPARED, strongest_option, weakest_option
from service.schemas.answers.declare import Shape, Variants, number, one, say, spread, texts, whole, word
from service.schemas.answers.metric import short
from service.schemas.answers.parts import Number, ProvenanceShape, numbered
from service.schemas.answers.vocabulary import COMPARED_WITH, CONFIDENCE, SHORT_METHOD, YIELD_MODE
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint
from service.ticks import PER_IN, inches

FINE = 4


def fine(value: float) -> float | None:
    """Return a number to four places."""
    return short(value, FINE)


class AppliedFactorShape(Shape):
    """A factor that was applied."""

    name = say("Name of the factor.")
    value = number("The factor.", form=fine)
    applies_because = say("The input that makes it apply.", of="because")
    provenance = one(ProvenanceShape)


class NailValueShape(Shape):
    """What one nail is worth in the joint, at the ten-year load and dry."""

    nail = say("As people say it.", of="nail.label")
    penetration_in = number("Into the holding piece, tip included [in].", of=lambda v: v.penetration / PER_IN, form=fine)
    penetration_diameters = number("The same in shank diameters.", of=lambda v: v.penetration / v.nail.diameter, form=fine)
    short_penetration_method = word(SHORT_METHOD, "For 6 to 10 diameters; null past 10.", of="lateral.short_method", null=True)
    governing_mode = word(YIELD_MODE, of="lateral.mode")
    side_bearing_length_in = number("Shank that bears in the piece nailed on [in].", of="lateral.side_length_in", form=fine)
    main_bearing_length_in = number("Shank that bears in the holding piece [in].", of="lateral.main_length_in", form=fine)
    reduction_term = number("Rd of the governing mode.", of="lateral.reduction", form=fine)
    bending_yield_psi = number("Bending yield strength [psi].", of="lateral.bending_yield_psi", form=short)
    main_bearing_psi = number("Dowel bearing strength of the holding piece [psi].", of="lateral.main_bearing_psi", form=short)
    side_bearing_psi = number("Dowel bearing strength of the piece nailed on [psi].", of="lateral.side_bearing_psi", form=short)
    lateral_lb = number("Lateral value, with the end grain or toe-nail factor [lb].", form=short)
    withdrawal_lb = number(
        "Where pull counts: toe-nails and panels; null elsewhere [lb].",
        of=lambda v: v.withdrawal_lb if v.counts_axially else None,
        form=short,
        null=True,
    )
    head_pull_through_lb = number("Panels, where the head is known; null elsewhere [lb].", of="head_lb", form=short, null=True)
    axial_lb = number("The lesser of the two; null where pull does not count [lb].", form=short, null=True)


class OptionValueShape(Shape):
    """A listed option: its nail's value, its number, and the nail on hand over it."""

    _value = spread(NailValueShape, "against.value")
    _number = numbered(lambda o: Number(o.against.choice.nailing, None))
    lateral_ratio = number("Nail on hand over this nail.", of="against.lateral_ratio", form=fine)
    axial_ratio = number("Nail on hand over this nail; null where pull does not count.", of="against.axial_ratio", form=fine, null=True)
    basis = say("The division that gives the number.")


class WorkingShape(Shape):
    """The comparison behind a calculated number."""

    nds_edition = say("Edition of the design standard.", of="nds.edition_id")
    specific_gravity = number("Of the framing.", of="species.specific_gravity")
    lateral_factor = number("End grain or toe-nail factor, in every lateral value here.", of="factor")
    face_in = number("Face that has to take the nails [in].", of="face", form=inches)
    nail = one(NailValueShape, "The nail on hand.", of="own")
    strongest_option = one(
        OptionValueShape,
        "The option, a listed nail times its count or at its spacing, that takes most to reach: the headline does, unless compared_with says otherwise.",
        of=strongest_option,
    )
    weakest_option = one(
        OptionValueShape,
        "The option that takes least to reach: the weakest_option numbers do.",
        of=weakest_option,
    )
    left_out = texts("Listed options that cannot be valued, and why.")
    note = say("What is compared.", of=lambda s: COMPARED)
    confidence = word(CONFIDENCE, "The weakest of all values that went in.")


class WeakestCount(Shape):
    """Per joint, or in each group."""

    weakest_option_nail_count = whole(
        "Nails in each joint, or in each group, that reach the weakest listed option.", of="weakest_nailing.count"
    )


class WeakestSpacing(Shape):
    """Along a run."""

    weakest_option_spacing_in = number("Spacing that reaches the weakest listed option [in].", of="weakest_nailing.spacing", form=inches)


class WeakestPanel(Shape):
    """Panels."""

    weakest_option_edge_spacing_in = number(
        "Edge spacing that reaches the weakest listed option [in].", of="weakest_nailing.edge", form=inches
    )
    weakest_option_field_spacing_in = number(
        "Field spacing that reaches the weakest listed option [in].", of="weakest_nailing.field", form=inches
    )


def _weakest(found: Substitute) -> type:
    return type(found.weakest_nailing)


class SubstituteShape(Shape):
    """What reaches the weakest option, and the working."""

    _weakest = Variants(
        _weakest,
        {PerJoint: WeakestCount, Grouped: WeakestCount, OnCenter: WeakestSpacing, Panel: WeakestPanel},
        "where the joint is counted another way",
    )
    compared_with = word(
        COMPARED_WITH,
        "The listed option that the number reaches: the strongest; where that has no room the weakest, which the code accepts too, by as many nails as have room.",
    )
    working = one(WorkingShape, "The comparison, value by value.", of=lambda s: s, kept=True)


class CalculatedShape(Shape):
    """Fields that only a calculated number has; written from a judgement and kept, as a judgement is."""

    _calculated = Variants(
        lambda r: r.substitute is not None,
        {True: type("SubstitutedShape", (Shape,), {"_substitute": spread(SubstituteShape, "substitute")}), False: None},
        "unless outcome is calculated",
    )
