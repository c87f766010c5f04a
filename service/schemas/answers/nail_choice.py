"""The shape of which nails on hand to load."""

from service.domain.joint.ranking import GROUNDS
from service.domain.takeoff.nail_choice import Alone
from service.schemas.answers.declare import Shape, flag, many, number, one, say, spread, whole, word
from service.schemas.answers.joint import JointKindShape
from service.schemas.answers.metric import short
from service.schemas.answers.parts import NailShape
from service.schemas.answers.vocabulary import OUTCOME


class AssignmentShape(Shape):
    """A nail for the joints of one connection, on one ground."""

    _kind = spread(JointKindShape, "connection", kept=True)
    nail_id = say("Id of the nail.", of="nail.nail_id")
    nail_label = say("As people say it; through treated wood a bright one is taken galvanized.", of="nail.label")
    outcome = word(OUTCOME)
    outcome_label = say("The ground in a few words.", of=lambda a: GROUNDS[a.outcome])
    nail_count = whole("Nails of these joints.")


class RefusalShape(Shape):
    """Joints that a nail does not serve."""

    _kind = spread(JointKindShape, "connection", kept=True)
    reason = say("Why, in one sentence.")


def _say_alone(alone: Alone) -> str:
    official = f", {alone.calculated_count} of them by strength, if the building official accepts" if alone.calculated_count else ""
    kinds = "no kind" if not alone.serves_count else "1 kind" if alone.serves_count == 1 else f"{alone.serves_count} kinds"
    return f"serves {kinds} of joints{official}"


class AloneShape(Shape):
    """One nail by itself over all kinds of joints."""

    nail = one(NailShape)
    label = say("What it serves, in words.", of=_say_alone)
    serves_count = whole("Kinds of joints that it serves.")
    calculated_count = whole("Those among them that the building official has to accept.")
    nail_count = whole("Nails of the joints that it serves.")
    refused = many(RefusalShape, "Joints that it does not serve, and why.")


class NailChoiceShape(Shape):
    """Which of the nails on hand to load: the smallest set that serves every joint, then fewest by strength, fewest nails, least money.

    For panels a listed nail goes before one that only is at least as large.
    """

    reason = say("The choice in one sentence.")
    nails = many(NailShape, "The nails to load.")
    assignments = many(AssignmentShape, "Which nail for which joints; steel tie plates take their own nail.")
    nail_count = whole("Nails of all these joints.")
    kind_count = whole("Kinds of joints: those that are judged alike are one.")
    calculated_count = whole("Kinds of joints whose number the building official has to accept.")
    cost = number(
        "Price of the nails that are driven, not of whole packages; null where one has no price, and without nails.",
        of=lambda c: None if c.cost is None else short(float(c.cost)),
        null=True,
    )
    serves_every_joint = flag("False where no nail on hand serves some of the joints, or some were refused.", of="serves_all")
    unserved = many(JointKindShape, "Joints that no nail on hand serves.", of=lambda c: list(dict.fromkeys(c.unserved)))
    alone = many(AloneShape, "Each nail on hand by itself, in their order.")
