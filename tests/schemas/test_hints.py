"""What may have been meant: a misspelling, never another quantity, unit, size or kind."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.schemas.asks.common import joint_words, species_words
from service.schemas.asks.joint import REQUIREMENT
from service.schemas.asks.strength import NAIL_STRENGTH
from service.schemas.asks.wall import WALL_PLAN, HeaderSchema, OpeningSchema, SheathingSchema, WallSchema
from service.schemas.hints import QUANTITIES, cure_of, near, near_field, unit_of
from service.tables.book import open_book

BOOK = open_book()
SCHEMAS: list[Any] = [REQUIREMENT, NAIL_STRENGTH, WALL_PLAN, WallSchema(), OpeningSchema(), HeaderSchema(), SheathingSchema()]
WALL = SCHEMAS[3]


def metric(schema: Any) -> list[str]:
    return [m for _, m, _, _ in schema.twins]


def hints(schema: Any, name: str) -> list[str]:
    found = near_field(name, schema.fields, metric(schema))
    return [found["did_you_mean"]] if "did_you_mean" in found else found.get("could_be", [])


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("length", "length_in"),
        ("lenght", "length_in"),
        ("lenght_in", "length_in"),
        ("lenght_mm", "length_mm"),
        ("length_inches", "length_in"),
        ("hieght_in", "height_in"),
        ("stud_spacing", "stud_spacing_in"),
        ("opening", "openings"),
    ],
)
def test_a_misspelled_field_of_a_wall_is_named_in_its_own_unit(name: str, meant: str) -> None:
    assert near_field(name, WALL.fields, metric(WALL)) == {"did_you_mean": meant}


@pytest.mark.parametrize("name", ["weight_in", "depth_in", "length_yd", "colour", "", "_", "x" * 65])
def test_another_quantity_or_unit_is_not_suggested(name: str) -> None:
    assert near_field(name, WALL.fields, metric(WALL)) == {}


@pytest.mark.parametrize(
    ("name", "cure"),
    [
        ("length_ft", "send length_in, in inches (1 ft is 12 in)"),
        ("height_feet", "send height_in, in inches (1 ft is 12 in)"),
        ("length_cm", "send length_mm, in millimetres (1 cm is 10 mm)"),
        ("length_m", "send length_mm, in millimetres (1 m is 1000 mm)"),
        ("plate_stock_length_in", "send plate_stock_length_ft, in feet (1 ft is 12 in)"),
        ("length", "send length_in, in inches (1 ft is 12 in)"),
        ("plate_stock_length", "send plate_stock_length_ft, in feet"),
        ("colour_ft", None),
        ("colour", None),
    ],
)
def test_a_right_quantity_in_a_wrong_unit_or_none_is_told_the_unit(name: str, cure: str | None) -> None:
    assert cure_of(name, WALL.fields) == cure


def mangled(name: str) -> st.SearchStrategy[str]:
    """A name with one letter left out, doubled, changed or two of them swapped."""
    at = st.integers(0, len(name) - 1)
    return st.one_of(
        at.map(lambda i: name[:i] + name[i + 1 :]),
        at.map(lambda i: name[:i] + name[i] + name[i:]),
        st.tuples(at, st.sampled_from("abcdefghijklmnopqrstuvwxyz_")).map(lambda t: name[: t[0]] + t[1] + name[t[0] + 1 :]),
        at.map(lambda i: name[:i] + name[i : i + 2][::-1] + name[i + 2 :]),
    )


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_a_suggestion_keeps_the_unit_and_the_quantity_that_were_written(data: st.DataObject) -> None:
    schema = data.draw(st.sampled_from(SCHEMAS))
    name = data.draw(mangled(data.draw(st.sampled_from(sorted(schema.fields)))))
    for hint in hints(schema, name):
        if unit_of(name):
            assert unit_of(hint) == unit_of(name)
        assert {q for q in QUANTITIES if q in name.split("_")} <= set(hint.split("_"))


@pytest.mark.parametrize("schema", SCHEMAS, ids=lambda s: type(s).__name__)
def test_a_name_without_its_unit_is_the_us_field(schema: Any) -> None:
    for us, twin, base, _ in schema.twins:
        if us in schema.fields and base not in schema.fields:
            assert hints(schema, base) == [us]
            assert twin not in hints(schema, base)


NUMBERS = st.text("0123456789", min_size=1, max_size=3)


@settings(max_examples=300, deadline=None)
@given(NUMBERS, NUMBERS)
def test_a_size_is_never_another_size(a: str, b: str) -> None:
    for word, known in ((f"{a}x{b}", BOOK.lumber), (f"{a}d-common", BOOK.nails), (f"irc-{a}{b}", BOOK.editions)):
        if word not in known:
            assert near(word, known) == {}


@pytest.mark.parametrize(
    ("word", "known", "told"),
    [
        ("4x10", BOOK.lumber.keys() - {"4x10"}, {}),
        ("2 x 4", BOOK.lumber, {"did_you_mean": "2x4"}),
        ("16d-comon", BOOK.nails, {"did_you_mean": "16d-common"}),
        ("8d-cooler", BOOK.nails, {}),
        ("IRC2021", BOOK.editions, {"did_you_mean": "irc-2021"}),
        ("irc-2020", BOOK.editions, {}),
        ("stud_to_plate_end_nail", BOOK.connections, {"did_you_mean": "stud-to-plate-end-nail"}),
        ("stud-to-plate-end-nal", BOOK.connections, {"did_you_mean": "stud-to-plate-end-nail"}),
        ("rafter-to-ridge", BOOK.connections, {"could_be": ["rafter-to-ridge-toe-nail", "rafter-to-ridge-end-nail"]}),
        ("stud-to-plate", BOOK.connections, {"could_be": ["stud-to-plate-toe-nail", "stud-to-plate-end-nail"]}),
        ("trampoline", BOOK.connections, {}),
    ],
)
def test_a_value_is_read_as_a_misspelling_or_listed_where_it_goes_on(word: str, known: Any, told: Any) -> None:
    assert near(word, known) == told


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("SPF", ["spruce-pine-fir"]),
        ("spf-s", ["spruce-pine-fir-south"]),
        ("SYP", ["southern-pine"]),
        ("DF-L", ["douglas-fir-larch"]),
        ("doug fir", ["douglas-fir-larch", "douglas-fir-larch-north", "douglas-fir-south"]),
        ("HF", ["hem-fir"]),
    ],
)
def test_short_names_of_wood_are_read(word: str, meant: list[str]) -> None:
    """Grade stamps as builder handbooks list them (common practice, no source)."""
    found = near(word, BOOK.species, species_words)
    assert found == ({"did_you_mean": meant[0]} if len(meant) == 1 else {"could_be": meant})


def test_words_of_the_trade_name_a_joint() -> None:
    assert near("king-to-header", BOOK.connections, joint_words) == {"did_you_mean": "stud-to-header-end-nail"}
