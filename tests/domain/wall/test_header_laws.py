"""Laws of headers, jacks and kings over every field that touches them: a worse case is never milder, nor is saying less.

Milder is a number where there was a stop, fewer jacks or kings, fewer nails in the header's end, or a header that passes as
compared where it was not. Exceptions, each by what is specified:

- Building width, snow and how the floor bears decide which row is compared. Left out, a stop may become a number, but then the
  header says that it is not compared, and jacks of common practice say that they are.
- Every other field that may be left out has a documented default. Leaving it out is sending that, and the answer says so.
- Jacks and kings of the caller's own are kept; left out, the tables decide.
- A shallower header may pass where a deeper one stops: footnote f takes 0.70 of a 2x8, 2x10 and 2x12 under cripples, not of a 2x6.
"""

from dataclasses import dataclass, replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.domain.wall.plan import plan_wall
from service.errors import FasteningError
from service.schemas.asks.wall import HeaderSchema, WallItemSchema, WallSchema, read_wall
from service.schemas.fields import ABSENT
from service.tables.book import open_book

BOOK = open_book()
WORSE = {
    "wind_speed_mph": [90, 110, 115, 116, 120, 129, 130, 139, 140, 160],
    "exposure": ["B", "C", "D"],
    "ground_snow_load_psf": [0, 20, 30, 31, 50, 55, 70, 71, 100],
    "wall.building_width_ft": [8, 12, 13, 24, 30, 36, 37, 60],
    "wall.supports": ["roof_only", "one_story_and_roof", "two_stories_and_roof"],
    "wall.floor_bearing": ["center", "clear_span"],
    "opening.width_in": [24, 31, 36, 40, 46, 48, 58, 60, 69, 72, 73, 91, 96, 127, 144, 192, 193, 217],
    "header.ply_count": [2, 1],
}
"""From mild to worse."""
CHOOSE_THE_ROW = ["wall.building_width_ft", "ground_snow_load_psf", "wall.floor_bearing"]
cases = st.fixed_dictionaries(
    {
        **{name: st.sampled_from(values) for name, values in WORSE.items()},
        "code_edition": st.sampled_from(list(BOOK.editions)),
        "species": st.sampled_from(["spruce-pine-fir", "douglas-fir-larch", "balsam-fir"]),
        "wall.exterior": st.sampled_from([True, True, False]),
        "wall.stud": st.sampled_from(["2x4", "2x6"]),
        "wall.stud_spacing_in": st.sampled_from([12, 16, 19.2, 24]),
        "opening.head_height_in": st.sampled_from([70, 78, 80, 82.875, 84.875, 86.875, 88.625]),
        "header.nominal": st.sampled_from(["2x4", "2x6", "2x8", "2x10", "2x12", "4x8"]),
        "nail": st.sampled_from(["16d common", "3 x 0.131", "3 x 0.120"]),
    }
)
FIXED = {"wall.length_in": 288, "wall.height_in": 97.125, "opening.id": "w", "opening.kind": "door", "opening.at_in": 36}


def question(case):
    """Return the body of a case, whose keys are fields or parts of an object and a field."""
    parts = {"": {}, "wall": {}, "opening": {}, "header": {}}
    for name, value in {**FIXED, **case}.items():
        part, _, field = name.rpartition(".")
        parts[part][field] = value
    nail = parts[""].pop("nail", "16d common")
    if parts["header"].get("nominal") == "4x8":
        parts["header"].pop("ply_count", None)
    wall = {**parts["wall"], "openings": [{**parts["opening"], "header": parts["header"]}]}
    return {**parts[""], "framing_nail": {"nail_designation": nail}, "wall": wall}


@dataclass(frozen=True)
class Frame:
    """What is answered of an opening: counts, and the nails in each end of its header, None where they stop."""

    jacks: int
    kings: int
    jacks_assumed: bool
    nails: int | None
    compared: bool


def framed(case):
    """Plan a case; a wall that cannot be built is none of these laws."""
    try:
        plan = plan_wall(read_wall(question(case), BOOK).order, BOOK)
    except FasteningError:
        assume(False)
    (o,) = plan.order.wall.openings
    (end,) = [x for x in plan.lines if x.group.connection.in_wall in ("header_end", "header_toe")]
    number = end.requirement.nailing and end.requirement.nailing.count
    return Frame(o.jack_count, o.king_count, o.jacks_guessed, number, not o.unchecked_because)


@pytest.mark.parametrize("field", WORSE)
@given(cases, st.data())
@settings(max_examples=120, deadline=None)
def test_a_worse_case_is_never_milder(field, case, data):
    mild, worse = sorted(data.draw(st.tuples(*[st.integers(0, len(WORSE[field]) - 1)] * 2)))
    before, after = (framed({**case, field: WORSE[field][k]}) for k in (mild, worse))
    assert (after.jacks, after.kings) >= (before.jacks, after.kings) and after.kings >= before.kings
    assert after.nails is None or (before.nails is not None and after.nails >= before.nails)
    assert before.compared or not after.compared or after.nails is None


@pytest.mark.parametrize("fields", [[f] for f in CHOOSE_THE_ROW] + [CHOOSE_THE_ROW], ids=lambda f: " ".join(f))
@given(cases)
@settings(max_examples=150, deadline=None)
def test_what_chooses_the_row_and_is_left_out_never_passes_as_compared(fields, case):
    before, after = framed(case), framed({k: v for k, v in case.items() if k not in fields})
    assert after.kings == before.kings
    assert after.jacks >= before.jacks or after.jacks_assumed
    if before.nails is None and after.nails is not None:
        assert not after.compared
    assert before.compared or not after.compared


OPTIONAL = {
    f"{part}{name}": field.usual
    for part, schema in (("", WallItemSchema()), ("wall.", WallSchema()), ("header.", HeaderSchema()))
    for name, field in schema.fields.items()
    if getattr(field, "usual", ABSENT) is not ABSENT
} | {"header.ply_count": 2}


def understood(case):
    """Return what is planned, and what was assumed for it."""
    ask = read_wall(question(case), BOOK)
    setting = ask.order.setting
    site = replace(setting.site, assumed=())
    conditions = replace(setting.conditions, assumed=())
    return (ask.order.wall, replace(setting, site=site, conditions=conditions)), dict(ask.assumptions)


@pytest.mark.parametrize("field", [f for f in OPTIONAL if f not in ("wall.openings", "wall.supports")])
def test_leaving_a_field_out_is_sending_its_documented_default(field):
    """A law of the others: where the true case is worse than the default, only sending it tells so."""
    case = {"header.nominal": "2x8", "opening.width_in": 36, "opening.head_height_in": 80, "nail": "16d common"}
    (sent, _), (less, assumed) = understood({**case, field: OPTIONAL[field]}), understood(case)
    assert sent == less
    name = field.replace("header.", "wall.openings.0.header.")
    assert assumed[name] == OPTIONAL[field] or OPTIONAL[field] in ("none", None)


@pytest.mark.parametrize(("bearing", "usual"), [(True, "roof_only"), (False, "none")])
def test_a_wall_of_which_no_load_is_said_carries_the_documented_one(bearing, usual):
    case = {"header.nominal": "2x8", "opening.width_in": 36, "opening.head_height_in": 80, "wall.bearing": bearing}
    (sent, _), (less, assumed) = understood({**case, "wall.supports": usual}), understood(case)
    assert sent == less and assumed["wall.supports"] == usual
