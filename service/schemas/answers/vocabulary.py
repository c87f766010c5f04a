"""The enumerations of the contract: one named component each, whatever uses them."""

from service.domain.building.load_path import LINKS
from service.domain.building.uplift import PATH_STATUSES
from service.domain.inspection.verdict import VERDICTS
from service.domain.wall.wall import ENGINEERED
from service.errors import FAULT_CODES
from service.schemas.answers.declare import Words
from service.schemas.asks.common import MOISTURES
from service.schemas.asks.wall import CORNERS, OPENING_KINDS
from service.tables.book import open_book
from service.tables.cautions import SEVERITIES
from service.tables.nails import SHANKS
from service.tables.trade import COATINGS, HEADS

_BOOK = open_book()
OUTCOME = Words(
    "Outcome",
    ("not_applicable", "no_data", "engineering_required", "prescriptive", "exceeds_listed", "calculated"),
    "On what ground a number stands, or why there is none.",
)
CONFIDENCE = Words(
    "Confidence",
    ("verified", "single_source", "derived", "memory", "common_practice", "service_rule"),
    "How well a reading is known; never upgraded. service_rule: a rule of this service.",
)
METHOD = Words("Method", ("face_nail", "end_nail", "toe_nail"), "How the nail is driven.")
SEVERITY = Words("Severity", tuple(reversed(SEVERITIES)), "How grave a caution is; read an unknown one as the worst.")
SHANK = Words("Shank", SHANKS, "Shape of the shank.")
HEAD = Words("Head", HEADS, "Shape of the head.")
COATING = Words("Coating", COATINGS, "Coating or metal.")
MOISTURE = Words("Moisture", MOISTURES, "Moisture of the wood.")
NAIL_TYPE = Words(
    "NailType",
    ("common", "box", "sinker", "power_driven", "power_driven_ring", "power_driven_screw", "roof_sheathing_ring", "post_frame_ring"),
    "Kind of nail.",
)
GROUP = Words("ConnectionGroup", ("roof", "wall", "floor", "sheathing"), "Part of the building.")
MATCH = Words("SearchMatch", ("every_word", "nearest"), "Whether a joint has every word that was looked for, or is one of the nearest.")
USE = Words("PanelUse", ("wall", "roof", "floor"), "What a panel is for.")
YIELD_MODE = Words("YieldMode", ("Im", "Is", "II", "IIIm", "IIIs", "IV"), "How the joint gives at its yield load.")
SHORT_METHOD = Words("ShortPenetrationMethod", ("yield_equations", "ratio"), "How 6 to 10 diameters of penetration are taken into account.")
COMPARED_WITH = Words("ComparedWith", ("strongest_option", "weakest_option"), "Which listed option a calculated number reaches.")
WITHDRAWAL_SHANK = Words(
    "WithdrawalShank", ("plain", "stainless", "roof_sheathing_ring", "post_frame_ring"), "Whose withdrawal equation is used."
)
VALUE_KIND = Words("FactorTarget", ("lateral", "withdrawal", "head"), "Which reference value a factor changes.")
SHEAR_VALUE = Words("ShearFactorTarget", ("nominal", "asd", "lrfd"), "Which value a factor makes: every one, the allowable, the factored.")
UNITS = Words("Units", ("us", "metric"), "Units of an answer; metric adds twins.")
CODE_EDITION = Words("CodeEditionId", tuple(_BOOK.editions), "A code edition.")
CONNECTION_ID = Words("ConnectionId", tuple(_BOOK.connections), "A kind of joint.")
SPECIES_ID = Words("SpeciesId", tuple(_BOOK.species), "A species group of framing lumber.")
NUMBER_KIND = Words("NumberKind", ("per_joint", "on_center", "grouped", "edge_and_field"), "How the nails of a joint are counted.")
CATEGORY = Words("SeismicDesignCategory", ("A", "B", "C", "D", "D0", "D1", "D2", "E", "F"), "Seismic design category of the code family.")
WIND_BASIS = Words("WindSpeedBasis", ("ultimate", "allowable"), "Basis of a wind speed.")
SPAN_RATING = Words("SpanRating", tuple(_BOOK.span_ratings), "Span rating stamped on a panel.")
NOMINAL = Words("NominalSize", (*_BOOK.lumber, ENGINEERED), "Nominal size of lumber; engineered wood has none.")
ROLE = Words(
    "MemberRole",
    (
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
    ),
    "What a stick does in the wall.",
)
PLATE_PLACE = Words("SplicePlatePlace", ("corner", "intersection", "butt_joint"), "Where a steel splice plate stands.")
FASTENER = Words(
    "Fastener",
    tuple(
        dict.fromkeys(
            o.fastener
            for e in _BOOK.editions.values()
            for rows in (*e.rows.values(), tuple(_BOOK.common_practice.values()))
            for r in rows
            for o in r.options
        )
    ),
    "Kind of fastener a row lists.",
)
CORNER = Words("Corner", CORNERS, "Corner that a wall owns, by its extra studs.")
OPENING_KIND = Words("OpeningKind", OPENING_KINDS, "Kind of opening.")
BRACING_METHOD = Words(
    "BracingMethod",
    tuple(dict.fromkeys(m for e in _BOOK.editions.values() if e.bracing for m in e.bracing.methods)),
    "Bracing method, by the abbreviation of the code.",
)
LOAD = Words("Load", ("wind", "seismic"), "What a wall is held against.")
VERDICT = Words("BracingVerdict", ("adequate", "short", "needs_check"), "Whether bracing is enough.")
FOUND_VERDICT = Words(
    "InspectionVerdict",
    tuple(VERDICTS),
    "What was found against what is required: " + "; ".join(f"{verdict}: {said}" for verdict, said in VERDICTS.items()) + ".",
)
PATH_STATUS = Words(
    "LoadPathStatus",
    PATH_STATUSES,
    "How a link of the path from the roof to the foundation stands; not_checked: its rule is not held, or the question does not tell.",
)
LINK = Words("LoadPathLink", tuple(LINKS), "A link of the path from the roof to what the wall stands on.")
WASHER = Words("WasherKind", ("plate_washer", "cut_washer"), "What lies under the nut of an anchor bolt.")
FAULT = Words("FaultCode", FAULT_CODES, "What is wrong with one field.")
ALL = (
    OUTCOME,
    BRACING_METHOD,
    LOAD,
    VERDICT,
    FOUND_VERDICT,
    CONFIDENCE,
    METHOD,
    SEVERITY,
    SHANK,
    HEAD,
    COATING,
    MOISTURE,
    NAIL_TYPE,
    GROUP,
    MATCH,
    USE,
    YIELD_MODE,
    SHORT_METHOD,
    COMPARED_WITH,
    WITHDRAWAL_SHANK,
    VALUE_KIND,
    SHEAR_VALUE,
    NUMBER_KIND,
    UNITS,
    CODE_EDITION,
    CONNECTION_ID,
    SPECIES_ID,
    CATEGORY,
    WIND_BASIS,
    SPAN_RATING,
    NOMINAL,
    ROLE,
    PLATE_PLACE,
    FASTENER,
    CORNER,
    OPENING_KIND,
    PATH_STATUS,
    LINK,
    WASHER,
    FAULT,
)
