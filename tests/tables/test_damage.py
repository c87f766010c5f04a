"""Damaged tables: whatever the damage, the start is stopped by one line that names the file."""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.errors import TableError
from service.tables.book import HERE, open_book
from service.tables.manifest import table_files, write_manifest

NAMES = [p.relative_to(HERE).as_posix() for p in table_files(HERE)]
each_table = pytest.mark.parametrize("name", [*NAMES, "manifest.csv"])


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One copy for all tests that put back what they damage."""
    ignored = shutil.ignore_patterns("__pycache__", "*.py")
    return Path(shutil.copytree(HERE, tmp_path_factory.mktemp("book") / "tables", ignore=ignored))


@pytest.fixture
def kept(whole: Path) -> Iterator[Path]:
    before = {p: p.read_bytes() for p in [*table_files(whole), whole / "manifest.csv", whole / "VERSION"]}
    yield whole
    for path, data in before.items():
        path.write_bytes(data)


def complaint(root: Path, checked: bool = True) -> str:
    with pytest.raises(TableError) as caught:
        open_book.__wrapped__(root, checked)
    said = str(caught.value)
    assert "\n" not in said
    return said


@each_table
def test_a_bad_byte_is_named_by_file_and_line(kept: Path, name: str) -> None:
    data = (kept / name).read_bytes()
    at = len(data) // 2
    (kept / name).write_bytes(data[:at] + b"\xff" + data[at:])
    said = complaint(kept, name == "manifest.csv")
    assert f"table {name}, line {data[:at].count(10) + 1}: byte" in said


@each_table
def test_a_last_line_cut_off_is_named_by_file_and_line(kept: Path, name: str) -> None:
    data = (kept / name).read_bytes()
    (kept / name).write_bytes(data[:-3])
    said = complaint(kept, name == "manifest.csv")
    assert f"table {name}, line {data.count(10)}: the last line does not end" in said


@each_table
def test_a_lost_last_line_is_named_by_file(kept: Path, name: str) -> None:
    """A whole line less reads well; what is left is compared with the manifest, unless another table misses the line first."""
    lines = (kept / name).read_bytes().splitlines(keepends=True)
    (kept / name).write_bytes(b"".join(lines[:-1]))
    assert name.rsplit("/", 1)[-1] in complaint(kept)


EVERY_FILE = [
    # what becomes of the bytes, what is said
    pytest.param(lambda data: b"\xef\xbb\xbf" + data, "line 1: begins with a byte order mark", id="byte order mark"),
    pytest.param(lambda data: data.replace(b"\n", b"\r\n"), "line 1: holds a carriage return", id="line ends of another system"),
    pytest.param(lambda data: b"\0" + data, "line 1: holds the unprintable character U+0000", id="a zero byte"),
    pytest.param(lambda data: b"", "is empty", id="emptied"),
    pytest.param(lambda data: b"\xff\xfe" + data.decode().encode("utf-16-le"), "line 1: byte 1 is not UTF-8", id="another encoding"),
    pytest.param(lambda data: data.replace(b"\n", b'\n"', 3), "unexpected end of data", id="an open quote"),
]


@pytest.mark.parametrize("name", ["species.csv", "us/irc_2021/schedule.csv", "us/ibc_2015/edition.csv", "service_rules.csv"])
@pytest.mark.parametrize(("damage", "said"), EVERY_FILE)
def test_a_file_of_another_kind_is_named(kept: Path, name, damage, said) -> None:
    (kept / name).write_bytes(damage((kept / name).read_bytes()))
    told = complaint(kept, checked=False)
    assert name in told and said in told


CELLS = [
    # table, text, in its place, column, what is said
    pytest.param("us/irc_2021/schedule.csv", ",,,,,4,,,", ",,,,,-3,,,", "count", "'-3' is not a plain positive number", id="-3 nails"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,4,,,", ",,,,,0,,,", "count", "0 must be over 0", id="no nails"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,4,,,", ",,,,,2.5,,,", "count", "2.5 is not a whole number", id="half a nail"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,,6,,", ",,,,,,0,,", "spacing_in", "0 must be over 0", id="a spacing of 0"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,,6,,", ",,,,,,-6,,", "spacing_in", "'-6' is not", id="a negative spacing"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,,6,,", ",,,,,,1e9,,", "spacing_in", "'1e9' is not", id="a spacing of 1e9"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,,6,,", ",,,,,,999,,", "spacing_in", "at most 48", id="a spacing of 999 in"),
    pytest.param("us/irc_2021/schedule.csv", ",,,,,,6,,", ",,,,,,,,", "count, spacing_in", "no single nailing", id="no number at all"),
    pytest.param("us/irc_2021/schedule.csv", ",verified,", ",certain,", "confidence", "'certain' is not a known word", id="a confidence"),
    pytest.param("us/irc_2021/schedule.csv", ",8d-box,", ",8d-bax,", "nail_id", "'8d-bax' is not in fasteners.csv", id="an unknown nail"),
    pytest.param("us/irc_2021/schedule.csv", ",nail,smooth,", ",nail,shiny,", "shank", "'shiny'", id="an unknown shank"),
    pytest.param("us/irc_2021/schedule.csv", ",2.5,0.113,", ",2.5,,", "diameter_in", "'' is not", id="a nail of no diameter"),
    pytest.param("us/irc_2021/footnotes.csv", ",130,110,110,", ",130,,110,", "over_mph_c", "is empty", id="a footnote half filled"),
    pytest.param("us/irc_2021/scope.csv", ",140,", ",inf,", "limit", "'inf' is not", id="an endless wind limit"),
    pytest.param("us/irc_2021/scope.csv", ",70,over", ",nan,over", "limit", "'nan' is not", id="a snow limit that is no number"),
    pytest.param("us/irc_2021/kings.csv", "48,115,1,", "48,115,,", "", "neither every count by wind", id="a count left out"),
    pytest.param("us/irc_2021/headers.csv", ",2x6,30,12,48,", ",2x6,30,12,-48,", "span_in", "'-48'", id="a negative span"),
    pytest.param("us/irc_2021/edition.csv", "complete,true", "complete,perhaps", "complete", "'perhaps'", id="a fact"),
    pytest.param("us/irc_2021/edition.csv", "code_edition,irc-2021", "code_edition,irc-2020", "code_edition", "(irc-2021)", id="an id"),
    pytest.param("us/irc_2021/edition.csv", "nds-2018", "nds-1901", "nds_edition", "nds_editions.csv", id="a standard not held"),
    pytest.param("connections.csv", ",schedule,", ",guess,", "judged_by", "'guess'", id="how a joint is judged"),
    pytest.param("species.csv", ",0.47,", ",47,", "specific_gravity", "at most 1.3", id="wood heavier than any"),
    pytest.param("service_rules.csv", "edge_distance,1,", "edge_distanse,1,", "key", "'edge_distanse'", id="a rule misspelt"),
    pytest.param("service_rules.csv", "edge_distance,1,in", "edge_distance,1,ratio", "unit", "edge_distance", id="a rule of another kind"),
    pytest.param("nail_packaging.csv", "nails_per_lb,8d-common", "nails_per_lb,8d-commun", "of", "fasteners.csv", id="nails nobody sells"),
    pytest.param("nail_packaging.csv", "box,common box", "box,common bix", "of", "the kinds of nails", id="a box of no known nails"),
    pytest.param("nail_packaging.csv", ",500,nails", ",0.5,nails", "value", "whole number", id="half a nail in a box"),
    pytest.param("nail_packaging.csv", ",0.2836,lb/cu in", ",0.2836,per lb", "unit", "'per lb'", id="a density in another unit"),
    pytest.param("manifest.csv", ",1,", ",one,", "row_count", "'one'", id="a manifest that is no manifest"),
]


@pytest.mark.parametrize(("name", "old", "new", "column", "said"), CELLS)
def test_a_wrong_cell_is_named_by_file_line_and_column(kept: Path, name, old, new, column, said) -> None:
    text = (kept / name).read_text(encoding="utf-8")
    at = text.index(old)
    (kept / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    told = complaint(kept, name == "manifest.csv")
    assert f"table {name}, line {text.count(chr(10), 0, at) + 1}: " in told
    assert said in told and column in told


def test_a_line_that_stands_twice_is_named(kept: Path) -> None:
    for name in ("species.csv", "us/irc_2021/schedule.csv", "us/irc_2021/scope.csv", "nds_factors.csv", "service_rules.csv"):
        data = (kept / name).read_bytes()
        (kept / name).write_bytes(data + data.splitlines(keepends=True)[-1])
        assert f"table {name}, line {data.count(10) + 1}: " in (told := complaint(kept, checked=False)) and "stands twice" in told
        (kept / name).write_bytes(data)


def test_a_missing_rule_is_named(kept: Path) -> None:
    path = kept / "service_rules.csv"
    path.write_text("".join(line for line in path.read_text().splitlines(keepends=True) if not line.startswith("least_bay,")))
    assert complaint(kept) == "table service_rules.csv: key least_bay is missing"


def test_a_table_that_the_edition_does_not_declare_is_named(kept: Path) -> None:
    """What an edition holds is said in edition.csv: a table lost, and one that strayed in, are both seen."""
    facts = kept / "us/irc_2015/edition.csv"
    whole = facts.read_text()
    for held, file in {"anchor_bolts": "anchor_bolts", "bracing": "bracing_methods", "kings": "kings", "roof_ties": "roof_ties"}.items():
        facts.write_text(whole.replace(f"{held} ", "", 1))
        assert f"us/irc_2015/{file}.csv: is there" in complaint(kept, checked=False)
    facts.write_text(whole.replace("tables_held,", "tables_held,headers "))
    assert "us/irc_2015/headers.csv: cannot be read" in complaint(kept, checked=False)


def test_a_missing_folder_is_named(tables: Path) -> None:
    shutil.rmtree(tables / "us" / "irc_2018")
    assert complaint(tables) == "table us/irc_2018/anchor_bolts.csv: is missing, manifest.csv names it"
    shutil.rmtree(tables / "us")
    assert "edition" in complaint(tables)


def test_a_changed_number_that_could_be_true_is_seen_by_the_manifest(kept: Path) -> None:
    path = kept / "us/irc_2021/splice_plates.csv"
    path.write_text(path.read_text().replace(",8d-box,6,", ",8d-box,7,", 1))
    assert open_book.__wrapped__(kept, checked=False)
    assert complaint(kept).startswith("table us/irc_2021/splice_plates.csv: its checksum is not the one in manifest.csv")
    write_manifest(kept)
    plates = open_book.__wrapped__(kept).editions["irc-2021"].splice_plates
    assert plates[0].nail_count_per_side == 7


@pytest.mark.parametrize(("old", "new"), [(b",0.47,", b",-3,"), (b",0.47,", b",0.48,"), (b",0.47,", b",\xff,")])
def test_the_start_says_one_line(tmp_path: Path, old: bytes, new: bytes) -> None:
    """A service of its own with a damaged table: a wrong cell, a changed number, a bad byte."""
    shutil.copytree(HERE.parent, tmp_path / "service", ignore=shutil.ignore_patterns("__pycache__"))
    path = tmp_path / "service" / "tables" / "species.csv"
    path.write_bytes(path.read_bytes().replace(old, new, 1))
    run = [sys.executable, "-m", "service"]
    done = subprocess.run(run, cwd=tmp_path, env={"APP_LISTEN": "127.0.0.1:18765"}, capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    (line,) = done.stderr.splitlines()
    assert line.startswith("cannot start: table species.csv")


def test_a_table_nobody_named_is_seen(kept: Path) -> None:
    stray = kept / "us/irc_2021/extra.csv"
    stray.write_text("a,b\n1,2\n")
    try:
        assert "table us/irc_2021/extra.csv: manifest.csv does not name it" in complaint(kept)
    finally:
        stray.unlink()


def test_the_kept_manifest_is_that_of_the_kept_tables(tables: Path) -> None:
    before = (HERE / "manifest.csv").read_bytes()
    assert write_manifest(tables) == len(NAMES)
    assert (tables / "manifest.csv").read_bytes() == before
