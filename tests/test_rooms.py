"""The rooms of the service and the arrows between them: bulk, web, schemas and drawing, domain, tables."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.tables.book import open_book

ROOT = Path(__file__).parents[1] / "service"
FILES = {str(f.relative_to(ROOT)): ast.parse(f.read_text(encoding="utf-8")) for f in sorted(ROOT.rglob("*.py"))}
DOMAIN = [n for n in FILES if n.startswith("domain/")]
LOWER = {
    "tables": (),
    "domain": ("tables",),
    "drawing": ("domain", "tables"),
    "schemas": ("domain", "tables"),
    "web": ("drawing", "schemas", "domain", "tables"),
    "bulk": ("web", "tables"),
}
OPEN_ROOMS = ("errors", "ticks", "settings", "said")
ROOMS_OF_DOMAIN = ("nails", "strength", "joint", "wall", "building", "inspection", "takeoff", "cautions")
"""Each may know those before it, none behind it; what lies beside them (site, conditions) knows none."""
OPENERS = {"open", "fdopen", "read_text", "read_bytes", "write_text", "write_bytes", "open_text", "open_binary", "mkdir", "unlink"}
MAY_OPEN = ("__main__.py", "web/examples.py", "web/front.py", "web/keys.py", "web/lines.py", "bulk/folder.py", "bulk/run.py")
each_file = pytest.mark.parametrize("name", FILES)


def room(name: str) -> str:
    return name.split("/")[0].removesuffix(".py")


def imported(name: str) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(FILES[name]):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name} has a relative import"
            found |= {f"{node.module}.{a.name}" for a in node.names}
    return found


def rooms_used(name: str) -> set[str]:
    return {parts[1] for i in imported(name) if (parts := i.split("."))[0] == "service" and parts[1] in {*LOWER, *OPEN_ROOMS}}


def called(name: str) -> Iterator[str]:
    for node in ast.walk(FILES[name]):
        if isinstance(node, ast.Call):
            yield node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")


def test_every_room_is_seen() -> None:
    assert {room(n) for n in FILES} == {*LOWER, *OPEN_ROOMS, "app", "__main__", "__init__"}


@pytest.mark.parametrize("name", [n for n in FILES if room(n) in LOWER])
def test_no_arrow_turns_round(name: str) -> None:
    assert rooms_used(name) - {room(name), *OPEN_ROOMS} <= set(LOWER[room(name)])


@pytest.mark.parametrize("name", [f"{n}.py" for n in OPEN_ROOMS])
def test_open_rooms_know_no_other_room(name: str) -> None:
    assert rooms_used(name) - {room(name)} <= ({"ticks"} if name == "said.py" else set())


@each_file
def test_only_web_and_the_start_know_the_settings(name: str) -> None:
    assert "settings" not in rooms_used(name) or room(name) in ("bulk", "web", "app", "__main__", "settings")


@each_file
def test_only_web_and_the_start_know_http_libraries(name: str) -> None:
    assert not {"flask", "werkzeug", "gunicorn"} & {i.split(".")[0] for i in imported(name)} or room(name) in ("web", "app", "__main__")


@each_file
def test_marshmallow_stays_in_schemas_and_web(name: str) -> None:
    assert "marshmallow" not in {i.split(".")[0] for i in imported(name)} or room(name) in ("schemas", "web")


@each_file
def test_only_tables_open_files(name: str) -> None:
    assert not OPENERS & set(called(name)) or room(name) == "tables" or name in MAY_OPEN


@each_file
def test_only_bulk_knows_dask_and_nothing_knows_bulk(name: str) -> None:
    assert not {"dask", "distributed"} & {i.split(".")[0] for i in imported(name)} or room(name) == "bulk"
    assert "bulk" not in rooms_used(name) or room(name) == "bulk"


def is_edition(node: ast.AST) -> bool:
    last = node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""
    return last in ("edition", "edition_id", "code_edition", "year")


def looks_up(node: ast.Compare) -> bool:
    """Whether an edition is only looked for in a column of a table."""
    return isinstance(node.ops[0], ast.In | ast.NotIn) and isinstance(node.comparators[0], ast.Attribute)


@pytest.mark.parametrize("name", DOMAIN)
def test_no_arrow_turns_round_inside_the_domain(name: str) -> None:
    own = name.split("/")[1]
    behind = ROOMS_OF_DOMAIN[ROOMS_OF_DOMAIN.index(own) + 1 :] if own in ROOMS_OF_DOMAIN else ROOMS_OF_DOMAIN
    used = {i.split(".")[2] for i in imported(name) if i.startswith("service.domain.")}
    assert used & set(behind) == set()


def test_every_room_of_the_domain_has_its_place_in_the_order() -> None:
    assert {n.split("/")[1] for n in DOMAIN if n.count("/") > 1} <= set(ROOMS_OF_DOMAIN)


@pytest.mark.parametrize("name", DOMAIN)
def test_the_domain_is_handed_its_book(name: str) -> None:
    assert "open_book" not in {i.rsplit(".", 1)[-1] for i in imported(name)} | set(called(name))


BOOK = open_book()
DECIDED_BY_COLUMNS = {*BOOK.connections, *BOOK.editions, *BOOK.nds, *BOOK.sdpws}


@pytest.mark.parametrize("name", DOMAIN)
def test_no_id_of_a_joint_or_an_edition_steers_the_domain(name: str) -> None:
    """What decides is a column of a table: an id in code would have to be found again for every new joint or edition."""
    literals = {n.value for n in ast.walk(FILES[name]) if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    assert literals & DECIDED_BY_COLUMNS == set()


@pytest.mark.parametrize("name", DOMAIN)
def test_domain_does_not_branch_on_the_edition(name: str) -> None:
    branches = [
        node.lineno
        for node in ast.walk(FILES[name])
        if (
            isinstance(node, ast.Compare)
            and any(is_edition(side) for side in (node.left, *node.comparators))
            and not all(isinstance(o, ast.Is | ast.IsNot) for o in node.ops)
            and not looks_up(node)
        )
        or (isinstance(node, ast.Match) and is_edition(node.subject))
    ]
    assert branches == []
