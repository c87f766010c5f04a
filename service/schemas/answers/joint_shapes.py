"""The shapes of answers about joints and nails."""

from marshmallow import fields

from service.schemas.answers.shapes import (
    CONFIDENCES,
    OUTCOMES,
    NailShape,
    NumberShape,
    Open,
    ProvenanceShape,
    flag,
    number,
    say,
    texts,
    whole,
)


class ListedOption(NumberShape):
    """One printed option of the row."""

    fastener = say()
    nail_id = say(null=True)
    pennyweight = say(null=True)
    shank = say(null=True)
    length_in = number(null=True)
    shank_diameter_in = number(null=True)
    head_diameter_in = number(null=True)
    detail = say(null=True)
    table = say(null=True)
    item = say(null=True)
    applies = flag("Its conditions are met here.")
    refused_because = say(null=True)
    confidence = say(one_of=CONFIDENCES)
    sources = texts()
    note = say(null=True)


class PlacementShape(Open):
    """Where the nails go."""

    rule = say()
    edge_distance_in = number()
    end_distance_in = number()
    guide_end_distance_in = number("Guidance against splitting, not a minimum.")
    guide_spacing_along_grain_in = number("Guidance against splitting, not a minimum.")
    guide_spacing_across_grain_in = number("Guidance against splitting, not a minimum.")
    start_distance_in = number("Where a toe-nail starts up the piece [in].")
    angle_deg = number("Angle of a toe-nail off the piece.")
    staggered = flag()
    note = say()


class CloserZone(Open):
    """Closer spacing at roof edges and gable ends."""

    spacing_in = number()
    width_in = number()
    footnote = say()
    note = say()


class NailValue(NumberShape):
    """What one nail is worth in the joint, at the ten-year load and dry."""

    nail = say()
    penetration_in = number("Into the holding piece, tip included [in].")
    penetration_diameters = number()
    short_penetration_method = say("How 6 to 10 diameters were taken into account; null past 10.", null=True)
    governing_mode = say("Yield mode that governs.")
    side_bearing_length_in = number("Shank that bears in the piece nailed on [in].")
    main_bearing_length_in = number("Shank that bears in the holding piece [in].")
    reduction_term = number("Rd of the governing mode.")
    bending_yield_psi = number()
    main_bearing_psi = number()
    side_bearing_psi = number()
    lateral_lb = number("Lateral value, with the end grain or toe-nail factor [lb].")
    withdrawal_lb = number("Where pull counts: toe-nails and panels [lb].", null=True)
    head_pull_through_lb = number("Panels, where the head is known [lb].", null=True)
    axial_lb = number("The lesser of the two [lb].", null=True)
    basis = say("The division that gives the number.")
    lateral_ratio = number("Nail on hand over this nail.")
    axial_ratio = number("Nail on hand over this nail.", null=True)


class Working(Open):
    """The comparison behind a calculated number."""

    nds_edition = say()
    specific_gravity = number("Of the framing.")
    lateral_factor = number("End grain or toe-nail factor, in every lateral value here.")
    face_in = number("Face that has to take the nails [in].")
    nail = fields.Nested(NailValue)
    strongest_option = fields.Nested(
        NailValue,
        metadata={
            "description": "The option, a listed nail times its count or at its spacing, that takes most to reach: the headline does."
        },
    )
    weakest_option = fields.Nested(
        NailValue, metadata={"description": "The option that takes least to reach: the weakest_option numbers do."}
    )
    left_out = texts()
    note = say()
    confidence = say("The weakest of all values that went in.", one_of=CONFIDENCES)


class Calculated(NumberShape):
    """Fields that only a calculated number has."""

    weakest_option_nail_count = whole("Nails in each joint, or in each group, that reach the weakest listed option.")
    weakest_option_spacing_in = number("Spacing that reaches the weakest listed option [in].")
    weakest_option_edge_spacing_in = number("Edge spacing that reaches the weakest listed option [in].")
    weakest_option_field_spacing_in = number("Field spacing that reaches the weakest listed option [in].")
    working = fields.Nested(Working)


class RequirementResult(Calculated):
    """The judgement of one joint."""

    connection_id = say()
    description = say()
    method = say(one_of=["face_nail", "end_nail", "toe_nail"])
    outcome = say(one_of=OUTCOMES)
    nail = fields.Nested(NailShape)
    nail_count = whole("Total, when joint_count or run_length was sent.", null=True)
    basis = say("The arithmetic in words.")
    closer_zone = fields.Nested(CloserZone)
    provenance = fields.Nested(ProvenanceShape)
    listed_options = fields.List(fields.Nested(ListedOption))
    placement = fields.Nested(PlacementShape)
    caution_codes = texts()


class Judgement(Calculated):
    """One nail judged for one joint."""

    nail = fields.Nested(NailShape)
    outcome = say(one_of=OUTCOMES)
    nail_count = whole("Total, when joint_count or run_length_ft was sent and the joint is counted by it.", null=True)
    listed_nail_id = say("The first nail the row lists here.", null=True)
    listed_nail_count = whole("Total of that nail.", null=True)
    reason = say("The judgement and its ground in words.")
    closer_zone = fields.Nested(CloserZone)
    provenance = fields.Nested(ProvenanceShape)
    caution_codes = texts()


class JudgedConnection(Open):
    """One joint with every nail on hand, best first."""

    connection_id = say()
    description = say()
    method = say()
    judgements = fields.List(fields.Nested(Judgement))


class SubstitutionResult(Open):
    """Joints times nails."""

    connections = fields.List(fields.Nested(JudgedConnection))


class NailUse(Calculated):
    """A joint, and what the nail is worth in it."""

    nail = fields.Nested(NailShape)
    connection_id = say()
    group = say()
    description = say()
    method = say()
    braced_wall_panel = flag("The row of braced wall panels.")
    use = say("What the panel is for; null where rows do not differ.", null=True)
    outcome = say(one_of=OUTCOMES)
    reason = say()
    closer_zone = fields.Nested(CloserZone)
    provenance = fields.Nested(ProvenanceShape)
    caution_codes = texts()


class FactorShape(Open):
    """A factor that was applied."""

    name = say()
    applies_to = say(one_of=["lateral", "withdrawal", "head"])
    value = number()
    applies_because = say()
    provenance = fields.Nested(ProvenanceShape)


class NailStrengthResult(Open):
    """The values of one nail: reference values of one, adjusted and combined ones of the group."""

    outcome = say(one_of=["calculated", "engineering_required"])
    nail = fields.Nested(NailShape)
    penetration_in = number("Into the holding piece, tip included; the far piece for two shear planes [in].")
    penetration_diameters = number()
    short_penetration_method = say("Method used for 6 to 10 diameters; null otherwise.", null=True)
    main_specific_gravity = number()
    side_specific_gravity = number(null=True)
    side_bearing_length_in = number("Shank that bears in the piece nailed on [in].", null=True)
    main_bearing_length_in = number("Shank that bears in the holding piece; the tip counts from 10 diameters on [in].", null=True)
    withdrawal_length_in = number("Shank that holds against withdrawal [in].", null=True)
    reduction_term = number("Rd of the governing mode: a mode's yield load is divided by it.", null=True)
    bending_yield_psi = number(null=True)
    main_bearing_psi = number(null=True)
    side_bearing_psi = number(null=True)
    yield_modes_lb = fields.Dict(
        keys=fields.String(),
        values=fields.Float(),
        allow_none=True,
        metadata={"description": "Im Is II IIIm IIIs IV; Im Is IIIs IV for two shear planes [lb]."},
    )
    governing_mode = say(null=True)
    lateral_lb = number("Reference lateral value of one nail [lb].", null=True)
    adjusted_lateral_lb = number("Of the group, all factors applied [lb].", null=True)
    withdrawal_shank = say("Which equation: plain, stainless, roof_sheathing_ring, post_frame_ring.", null=True)
    withdrawal_lb_per_in = number("Reference withdrawal value per inch [lb/in].", null=True)
    withdrawal_lb = number("Reference withdrawal value of one nail [lb].", null=True)
    adjusted_withdrawal_lb = number("Of the group, all factors applied [lb].", null=True)
    head_pull_through_lb = number("Reference head pull-through value; null when the head is unknown [lb].", null=True)
    adjusted_head_pull_through_lb = number("Of the group, all factors applied [lb].", null=True)
    combined_lb = number("Resistance to a load at load_angle_deg; null without it [lb].", null=True)
    factors = fields.List(fields.Nested(FactorShape))
    notes = texts()
    basis = say()
    provenance = fields.Nested(ProvenanceShape)
    caution_codes = texts()
