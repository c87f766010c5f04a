"""Answers as rows for a spreadsheet: one header line, the names of the JSON, CRLF, no text that a sheet would run."""

import csv
import io
from typing import Any

SHOWN_JOINT = (
    "connection_id", "method", "outcome", "nail_id", "nail_length_in", "shank_diameter_in", "coating", "nail_count_per_joint", "spacing_in", "row_count",
    "nail_count_per_group", "edge_spacing_in", "field_spacing_in", "nail_count", "basis", "code", "edition", "section", "table", "item", "confidence", "max_severity", "caution_codes",
)  # fmt: skip
WEAKEST = tuple(f"weakest_option_{name}" for name in ("nail_count", "spacing_in", "edge_spacing_in", "field_spacing_in"))
ZONE = ("closer_zone_spacing_in", "closer_zone_width_in")
JOINT_COLUMNS = ("id", "item_status", "error_code", *SHOWN_JOINT, *ZONE, *WEAKEST)
LINE_COLUMNS = (
    "id",
    "item_status",
    "error_code",
    "joint_count",
    "run_count",
    "run_length_in",
    "listed_nail_count",
    *SHOWN_JOINT,
    *ZONE,
    *WEAKEST,
)
REASONED = ("description", "nail_label", *("reason" if c == "basis" else c for c in SHOWN_JOINT), *ZONE, *WEAKEST)
JUDGED_COLUMNS = ("id", "item_status", "error_code", "listed_nail_id", "listed_nail_count", *REASONED)
USE_COLUMNS = ("group", "braced_wall_panel", "use", *(c for c in REASONED if c != "nail_count"))
STRENGTH_COLUMNS = (
    "id", "item_status", "error_code", "outcome", "nail_id", "nail_length_in", "shank_diameter_in", "coating", "penetration_in", "penetration_diameters",
    "main_specific_gravity", "side_specific_gravity", "side_bearing_length_in", "main_bearing_length_in", "withdrawal_length_in", "short_penetration_method", "reduction_term", "bending_yield_psi", "main_bearing_psi", "side_bearing_psi", "governing_mode", "lateral_lb", "adjusted_lateral_lb",
    "withdrawal_shank", "withdrawal_lb_per_in", "withdrawal_lb", "adjusted_withdrawal_lb", "head_pull_through_lb", "adjusted_head_pull_through_lb",
    "combined_lb", "basis", "code", "edition", "section", "confidence", "max_severity", "caution_codes",
)  # fmt: skip
MEMBER_COLUMNS = ("id", "item_status", "error_code", "role", "nominal", "length_in", "member_count", "x_in", "z_in")
NAIL_COLUMNS = ("id", "item_status", "error_code", "nail_id", "nail_length_in", "shank_diameter_in", "coating", "nail_count")
WALL_TABLES = {"connections": LINE_COLUMNS, "members": MEMBER_COLUMNS, "nails": NAIL_COLUMNS}
RISKY = ("=", "+", "-", "@", "\t", "\r")


def joint_sheet(body: dict[str, Any], table: str) -> bytes:
    """Write requirements, single or batch, one row each."""
    return _write(
        JOINT_COLUMNS, [row for entry in _entries(body) for row in _item(entry, lambda result, cautions: [_joint(result, cautions)])]
    )


def substitution_sheet(body: dict[str, Any], table: str) -> bytes:
    """Write one row for each nail in each joint, best first."""
    return _write(JUDGED_COLUMNS, [row for entry in _entries(body) for row in _item(entry, _judgements)])


def uses_sheet(body: dict[str, Any], table: str) -> bytes:
    """Write one row for each joint that takes the nail."""
    return _write(USE_COLUMNS, [_joint(item, body["cautions"]) for item in body["items"]])


def strength_sheet(body: dict[str, Any], table: str) -> bytes:
    """Write strengths, single or batch, one row each."""
    return _write(
        STRENGTH_COLUMNS, [row for entry in _entries(body) for row in _item(entry, lambda result, cautions: [_joint(result, cautions)])]
    )


def wall_sheet(body: dict[str, Any], table: str) -> bytes:
    """Write one table of wall plans, single or batch."""
    build = {"connections": _lines, "members": _members, "nails": _nails}[table]
    return _write(WALL_TABLES[table], [row for entry in _entries(body) for row in _item(entry, build)])


def _entries(body: dict[str, Any]) -> list[dict[str, Any]]:
    if "results" in body:
        entries: list[dict[str, Any]] = body["results"]
        return entries
    return [{"id": body["result"].get("id"), "status": 200, "result": body["result"], "cautions": body["cautions"]}]


def _item(entry: dict[str, Any], build: Any) -> list[dict[str, Any]]:
    head = {"id": entry["id"], "item_status": entry["status"]}
    if "problem" in entry:
        return [{**head, "error_code": entry["problem"]["errors"][0]["code"]}]
    return [{**head, **row} for row in build(entry["result"], entry["cautions"])]


def _joint(result: dict[str, Any], cautions: list[dict[str, Any]]) -> dict[str, Any]:
    severities = {c["code"]: c["severity"] for c in cautions}
    worst = next((severities[code] for code in result["caution_codes"] if code in severities), None)
    return {
        **result,
        **{k: v for k, v in result["provenance"].items() if k != "note"},
        **{f"closer_zone_{k}": v for k, v in result.get("closer_zone", {}).items()},
        "nail_id": result["nail"]["id"],
        "nail_length_in": result["nail"]["length_in"],
        "shank_diameter_in": result["nail"]["shank_diameter_in"],
        "coating": result["nail"]["coating"],
        "nail_label": result["nail"]["label"],
        "max_severity": worst,
        "caution_codes": " ".join(result["caution_codes"]),
    }


def _judgements(result: dict[str, Any], cautions: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {**{k: connection[k] for k in ("connection_id", "description", "method")}, **_joint(judgement, cautions)}
        for connection in result["connections"]
        for judgement in connection["judgements"]
    ]


def _lines(result: dict[str, Any], cautions: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [_joint(line, cautions) for line in result["connections"]]


def _members(result: dict[str, Any], cautions: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{**m, "x_in": " ".join(map(str, m["x_in"])), "z_in": " ".join(map(str, m["z_in"]))} for m in result["members"]]


def _nails(result: dict[str, Any], cautions: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "nail_id": n["nail"]["id"],
            "nail_length_in": n["nail"]["length_in"],
            "shank_diameter_in": n["nail"]["shank_diameter_in"],
            "coating": n["nail"]["coating"],
            "nail_count": n["nail_count"],
        }
        for n in result["nails"]
    ]


def _write(columns: tuple[str, ...], rows: list[dict[str, Any]]) -> bytes:
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\r\n")
    sheet.writerow(columns)
    sheet.writerows([_cell(row.get(c)) for c in columns] for row in rows)
    return out.getvalue().encode()


def _cell(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, str) and value.startswith(RISKY):
        return "'" + value
    return value
