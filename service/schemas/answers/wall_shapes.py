"""The shape of the answer about a wall."""

from marshmallow import fields

from service.schemas.answers.joint_shapes import Calculated, PlacementShape
from service.schemas.answers.shapes import OUTCOMES, NailShape, Open, ProvenanceShape, flag, lengths, number, say, texts, whole


class MemberShape(Open):
    """Sticks cut alike."""

    role = say(
        one_of=[
            "end_stud",
            "stud",
            "king_stud",
            "jack_stud",
            "head_cripple",
            "sill_cripple",
            "corner_stud",
            "backing_stud",
            "header",
            "sill",
            "bottom_plate",
            "top_plate",
            "double_top_plate",
            "block",
        ]
    )
    nominal = say()
    length_in = number("Cut length [in].")
    member_count = whole()
    x_in = lengths("Left sides from the start of the wall [in].")
    z_in = lengths("Bottoms above the underside of the bottom plate [in].")


class ConnectionLine(Calculated):
    """All joints of one kind with one nail."""

    connection_id = say()
    description = say()
    method = say()
    run_count = whole()
    run_length_in = number("Sum of the runs [in].")
    joint_count = whole()
    nail = fields.Nested(NailShape)
    nail_count = whole(null=True)
    outcome = say(one_of=OUTCOMES)
    listed_nail_id = say("The first nail the row lists here.", null=True)
    listed_nail_count = whole("What the first nail the row lists would take.", null=True)
    provenance = fields.Nested(ProvenanceShape)
    basis = say()
    placement = fields.Nested(PlacementShape, allow_none=True)
    caution_codes = texts()


class NailTotal(Open):
    """Nails of one kind."""

    nail = fields.Nested(NailShape)
    nail_count = whole()


class SplicePlate(Open):
    """Steel plates of a single top plate; their nails come on top of the totals."""

    where = say(one_of=["corner", "intersection", "butt_joint"])
    plate = say(null=True)
    plate_count = whole()
    nail_id = say(null=True)
    nail_count_per_side = whole(null=True)
    nail_count = whole(null=True)
    provenance = fields.Nested(ProvenanceShape)


class Totals(Open):
    """Sums of one wall."""

    framing_nail_count = whole()
    sheathing_nail_count = whole()
    lumber_length_ft = number()
    board_ft = number()
    panel_count = whole()
    panel_count_by_area = whole()
    wall_weight_lb = number("For lifting; from memory figures.")
    lifter_count = whole("People at 50 lb each.")
    totals_complete = flag("False when a joint has no number.")


class NailPosition(Open):
    """One nail: x along the wall, y from the outside face, z up [in]."""

    x_in = number()
    y_in = number()
    z_in = number()
    connection_id = say()
    member_index = whole("Framing nails: counts through the sticks of `members` in order.")
    panel_index = whole("Panel nails: index in `panels`.")


class CutOut(Open):
    """A rectangle in the elevation [in]."""

    x_in = number()
    z_in = number()
    width_in = number()
    height_in = number()


class PanelShape(CutOut):
    """One panel as cut."""

    cut_outs = fields.List(fields.Nested(CutOut))
    nail_count = whole(null=True)


class WallPlanResult(Open):
    """The plan of one wall."""

    id = say(null=True)
    members = fields.List(fields.Nested(MemberShape))
    connections = fields.List(fields.Nested(ConnectionLine))
    panels = fields.List(fields.Nested(PanelShape), metadata={"description": "Panels as cut, in order of z, then x."})
    nails = fields.List(fields.Nested(NailTotal))
    splice_plates = fields.List(fields.Nested(SplicePlate))
    totals = fields.Nested(Totals)
    notes = texts()
    nail_positions = fields.List(fields.Nested(NailPosition))
