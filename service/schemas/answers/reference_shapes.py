"""The shapes of the catalogues."""

from marshmallow import fields

from service.schemas.answers.shapes import CONFIDENCES, NailShape, Open, flag, number, say, texts, whole


class NailEntry(NailShape):
    """A catalogue nail."""

    head_confidence = say(null=True)
    source = say(null=True)
    note = say(null=True)


class CodeEdition(Open):
    """What is held of a code edition."""

    id = say()
    code = say()
    edition = say()
    title = say()
    jurisdiction = say()
    coverage = say("How far it was read.")
    complete = flag()
    seismic_design_categories = texts()
    option_count = whole()
    option_count_by_confidence = fields.Dict()
    confidence_note = say()
    sources = fields.List(fields.Dict())


class Connection(Open):
    """A kind of joint."""

    id = say()
    group = say(one_of=["roof", "wall", "floor", "sheathing"])
    method = say()
    description = say()
    code_editions = texts()
    rows = fields.List(fields.Dict(), metadata={"description": "Rows of the asked edition, with their options."})


class Species(Open):
    """A species group."""

    id = say()
    name = say()
    specific_gravity = number()
    dowel_bearing_psi = number()
    confidence = say(one_of=CONFIDENCES)
    source = say()


class CautionEntry(Open):
    """A caution code of the catalogue."""

    code = say()
    severity = say()
    text = say()
    action = say()
    trigger = say()
    standing = flag("Speaks once in every answer.")
    served = flag("False while its trigger belongs to an address not served yet.")
    confidence = say()
    source = say(null=True)


class ProblemEntry(Open):
    """A problem code of the catalogue."""

    code = say()
    slug = say()
    status = whole()
    title = say()
    about = say()


class LimitEntry(Open):
    """A limit in force."""

    name = say()
    value = whole()
    setting = say(null=True)
