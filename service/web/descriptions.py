"""What the contract says of an operation beside its own words: its twin, its forms, its limits, how long it may be kept."""

from service.settings import Settings
from service.web.reading import LONGEST_QUERY
from service.web.registry import COMPUTED, OPERATIONS, REFERENCE, Operation

FORMS = {"csv": "a sheet", "svg": "a drawing", "pdf": "pages to print"}
KEPT = {REFERENCE: "The answer may be kept for an hour.", COMPUTED: "The answer may be kept for five minutes."}


def described(o: Operation, settings: Settings) -> str:
    """Return the description of an operation, in sentences for a person."""
    own = o.description.removeprefix(o.summary).removeprefix(".").strip()
    said = [f"{o.summary}.", own, _twin(o), _forms(o), KEPT.get(o.cache, ""), _limits(o, settings)]
    return " ".join(part for part in said if part)


def _twin(o: Operation) -> str:
    twin = next((t for t in OPERATIONS if t.path == o.path and t.method != o.method), None)
    if twin is None:
        return ""
    alike = twin.ask is o.ask
    if o.method == "GET":
        return f"The POST of this address takes {'the same fields' if alike else 'more'}, as JSON."
    return (
        f"The GET of this address takes {'the same fields' if alike else 'what is plain'} in its query, for address bars and spreadsheets."
    )


def _forms(o: Operation) -> str:
    offered = ", ".join(f"`format={form}` for {FORMS[form]}" for form in o.forms if form in FORMS)
    tables = f"; `table` of the sheet is one of {', '.join(o.tables)}" if o.tables else ""
    return f"Other forms: {offered}{tables}." if offered else ""


def _limits(o: Operation, settings: Settings) -> str:
    if o.method == "GET":
        return f"The query may have {LONGEST_QUERY} bytes." if o.ask else ""
    most = f"up to {settings.max_items} items, " if o.path.endswith("/batch") else ""
    return f"Takes {most}a body of up to {settings.max_body_bytes} bytes; all limits stand at /v1/limits."
