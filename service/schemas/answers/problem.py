"""The shape of a problem document; `web/problems.py` writes it, and tests hold the two together."""

from service.schemas.answers.declare import Shape, flag, many, number, other, say, texts, whole, word
from service.schemas.answers.vocabulary import FAULT

SCALAR = {"type": ["string", "number", "boolean", "null"]}


class CandidateShape(Shape):
    """A nail that an ambiguous name could mean."""

    nail_id = say("Id of the nail.")
    length_in = number("Length [in].")
    shank_diameter_in = number("Shank diameter [in].")


class FaultShape(Shape):
    """One fault: exactly one of pointer, parameter and header says where."""

    pointer = say(
        "JSON Pointer into the body, as a URI fragment; each part cut to 64 characters.", absent="where a parameter or header is at fault"
    )
    parameter = say("Query parameter.", absent="where the body or a header is at fault")
    header = say("Header.", absent="where the body or the query is at fault")
    code = word(FAULT)
    detail = say("What is wrong and what would be taken, in words.")
    limit = number("The limit that was passed.", absent="where there is no single limit")
    minimum = number("The least that is taken.", absent="where the limit has not two ends")
    maximum = number("The most that is taken.", absent="where the limit has not two ends")
    received = other(SCALAR, "What was sent, cut to 64 characters.", absent="where it would say nothing")
    did_you_mean = say(
        "What was meant but for its spelling or by another name: the same quantity, unit and size.", absent="where nothing is near"
    )
    could_be = texts("What it may mean, where it does not choose.", absent="where nothing is near, or one thing alone")
    likely_unit = say("Unit in which the number would be within the limits.", absent="where there is none")
    converted = number("The number in the unit of the field, had it been sent in likely_unit.", absent="where there is no such unit")
    example = other(
        {"type": ["object", "array"], "items": {"type": "object"}},
        "What could be sent.",
        absent="where neither an object nor a list of them is asked for",
    )
    setting = say("Setting that holds the limit.", absent="where the limit is fixed")
    candidates = many(CandidateShape, "Every nail the name could mean.", absent="where the name is not ambiguous")


class ProblemShape(Shape):
    """An RFC 9457 problem document."""

    type = say("Address of the kind of problem.")
    title = say("The kind of problem in words.")
    status = whole("HTTP status.")
    code = say("Code of the kind of problem, listed at GET /v1/problems; switch on this.")
    detail = say("This case in words.")
    instance = say("Path of the request.")
    request_id = say("Id of the request, as in the header.")
    doc_url = say("Where the kind of problem is explained.")
    errors = many(FaultShape, "Every fault found, at most 50.", absent="where no field is at fault")
    errors_truncated = flag("More than 50 faults were found.", absent="where all are shown")
    did_you_mean = say("Id that was meant but for its spelling, or by another name.", absent="where nothing is near")
    could_be = texts("Ids that may be meant, where it does not choose.", absent="where nothing is near, or one thing alone")
    limit = number("The limit that was passed.", absent="where none was")
    received = other(SCALAR, "What was sent.", absent="where no limit was passed")
    setting = say("Setting that holds the limit.", absent="where no limit was passed")
    offered = texts("Media types the address offers.", absent="unless no offered form was accepted")
