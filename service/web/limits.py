"""Every limit in force, from where it is kept: the settings, the readers, the fields of questions."""

from service.schemas.answers.reference import Limit
from service.schemas.asks.bracing import BRACING
from service.schemas.asks.inspection import INSPECTION
from service.schemas.asks.nailing_schedule import NAILING_SCHEDULE
from service.schemas.asks.purchase import PURCHASE
from service.schemas.asks.substitution import SUBSTITUTION
from service.schemas.asks.takeoff import TAKEOFF, TakeoffWallSchema
from service.schemas.asks.ties import ANCHORAGE
from service.schemas.asks.wall import WallSchema
from service.schemas.fields import Strict
from service.settings import Settings
from service.web.kept import LARGEST, MOST
from service.web.problems import MOST_ERRORS, MOST_HINTS
from service.web.reading import LONGEST_QUERY
from service.web.strict_json import DEEPEST

WALL, ONE_OF_MANY = WallSchema(), TakeoffWallSchema()
LISTS: tuple[tuple[str, Strict, str], ...] = (
    ("max_openings", WALL, "openings"),
    ("max_intersections", WALL, "intersections"),
    ("max_takeoff_nails_on_hand", TAKEOFF, "nails_on_hand"),
    ("max_takeoff_packages", PURCHASE, "packages"),
    ("max_takeoff_prices", PURCHASE, "prices"),
    ("max_takeoff_stock_lengths", PURCHASE, "stock_lengths_ft"),
    ("max_substitution_nails", SUBSTITUTION, "nails"),
    ("max_schedule_nails_on_hand", NAILING_SCHEDULE, "nails_on_hand"),
    ("max_schedule_walls", NAILING_SCHEDULE, "walls"),
    ("max_observations", INSPECTION, "observations"),
    ("max_bracing_panels", BRACING, "panels"),
    ("max_bracing_walls", BRACING, "walls"),
    ("max_plate_pieces", ANCHORAGE, "plate_lengths_ft"),
)
"""Lists of questions: what their limit is called, and the field that has it."""


def in_force(s: Settings) -> list[Limit]:
    """Return the limits, those that a setting changes first."""
    set_by_operator = (
        ("max_body_bytes", s.max_body_bytes, "APP_MAX_BODY_BYTES"),
        ("max_items", s.max_items, "APP_MAX_ITEMS"),
        ("max_position_walls", s.max_position_walls, "APP_MAX_POSITION_WALLS"),
        ("max_members", s.max_members, "APP_MAX_MEMBERS"),
        ("max_positions", s.max_positions, "APP_MAX_POSITIONS"),
        ("max_waiting_requests", s.backlog, "APP_BACKLOG"),
        ("max_client_s", s.client_timeout_s, "APP_CLIENT_TIMEOUT_S"),
        ("max_request_s", s.request_timeout_s, "APP_REQUEST_TIMEOUT_S"),
    )
    fixed = (
        ("max_json_depth", DEEPEST),
        ("max_query_bytes", LONGEST_QUERY),
        ("max_text_characters", 256),
        ("max_kept_answers_bytes", MOST),
        ("max_kept_answer_bytes", LARGEST),
        ("max_listed_errors", MOST_ERRORS),
        ("max_suggestions", MOST_HINTS),
        ("max_wall_length_in", _bound(WALL, "length_in", "maximum")),
        ("max_wall_height_in", _bound(WALL, "height_in", "maximum")),
        ("max_equal_walls", _bound(ONE_OF_MANY, "count", "maximum")),
        *((name, _bound(schema, field, "maxItems")) for name, schema, field in LISTS),
    )
    return [*(Limit(*row) for row in set_by_operator), *(Limit(name, value, None) for name, value in fixed)]


def _bound(schema: Strict, field: str, kind: str) -> int:
    return int(schema.fields[field].metadata[kind])
