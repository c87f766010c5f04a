"""Laws of one joint: a greater nail never takes more, a worse site never less.

Exceptions of the first law, each with its cause:

- The lesser nail has no room against the strongest listed nail and is compared with the weakest: against each of the two the law holds.
- A shank past 0.177 in bends at 80 ksi where one to 0.177 bends at 90 (NDS Table I1): 0.192 is worth less than 0.178 would be.
- A thicker shank has fewer diameters in the wood: under 6 it has no value, under 10 less (NDS 12.1.6.5).
- Siding and casing nails are listed by kind, and nothing stands for them; blocks take shanks to 0.192 in (trade custom).
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.domain.joint.requirement import Question, judge, zone_spacing
from service.domain.joint.schedule import Selectors
from service.domain.nails.nail import of_size
from service.domain.site import Site
from service.tables.book import open_book
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint
from service.ticks import ticks

BOOK = open_book()
EDITIONS = list(BOOK.editions)
BY_KIND = ("panel-siding-to-framing", "interior-paneling-to-framing")
JOINTS = [name for name in BOOK.connections if name not in BY_KIND]
LARGEST = 177
WOODS = ["spruce-pine-fir", "douglas-fir-larch", "southern-pine", "balsam-fir", "northern-white-cedar"]

lengths = st.sampled_from([2, 2.25, 2.375, 2.5, 2.75, 3, 3.25, 3.5, 4]).map(lambda x: ticks(str(x)))
shanks = st.sampled_from([92, 99, 105, 113, 120, 128, 131, 135, 142, 148, 162, LARGEST]).map(lambda x: ticks(str(x / 1000)))
selectors = st.builds(
    Selectors,
    braced=st.booleans(),
    use=st.sampled_from(["wall", "roof", "floor"]),
    panel_thickness=st.sampled_from(["0.375", "0.4375", "0.5", "0.625", "0.75", "1"]).map(ticks),
    stud_spacing=st.sampled_from([16, 24, 48]).map(ticks),
    material_between=st.sampled_from(["0", "0.25", "0.5", "1"]).map(ticks),
)


def asked(edition, connection, nail, site, ask, wood="spruce-pine-fir", face="3.5"):
    row = BOOK.connections[connection]
    ask = replace(ask, material_between=ask.material_between if row.between else 0)
    return judge(Question(edition, connection, nail, site, ask, wood, face=ticks(face)), BOOK)


def steel(nailing):
    """How many nails a joint or an inch takes, in every direction that is counted; none are more than any."""
    match nailing:
        case PerJoint(count):
            return (count,)
        case Grouped(count, spacing):
            return (count / spacing,)
        case OnCenter(spacing, rows):
            return (rows / spacing,)
        case Panel(edge, field):
            return (1 / edge, 1 / field)
    return None


def no_milder(nailing, than):
    if nailing is None or than is None:
        return nailing is None
    return all(a >= b * (1 - 1e-12) for a, b in zip(steel(nailing), steel(than), strict=True))


@given(
    st.sampled_from(EDITIONS),
    st.sampled_from(JOINTS),
    st.tuples(lengths, shanks),
    st.tuples(lengths, shanks),
    selectors,
    st.sampled_from(WOODS),
    st.sampled_from(["3.5", "5.5"]),
)
@settings(max_examples=1500, deadline=None)
def test_a_greater_nail_never_takes_more(edition, connection, one, other, ask, wood, face):
    small = of_size("smooth", *one)
    large = of_size("smooth", max(one[0], other[0]), max(one[1], other[1]))
    lesser, greater = (asked(edition, connection, n, Site(100), ask, wood, face) for n in (small, large))
    if greater.stop and greater.stop.code == "penetration_short" and lesser.nailing:
        assert large.diameter > small.diameter  # fewer diameters of the same depth
    elif lesser.substitute and greater.substitute:
        own, beside = lesser.substitute, greater.substitute
        if greater.substitute.own.lateral.short_method is None or small.diameter == large.diameter:
            assert no_milder(own.strongest_nailing, beside.strongest_nailing)
            assert no_milder(own.weakest_nailing, beside.weakest_nailing)
            assert no_milder(lesser.nailing, greater.nailing) or own.no_room
    elif lesser.nailing:
        assert no_milder(lesser.nailing, greater.nailing)


WORSE = [
    ("wind_speed_mph", [90, 105, 110, 111, 115, 120, 125, 130, 131, 138, 140, 141, 160]),
    ("exposure", ["B", "C", "D"]),
    ("hurricane_prone", [False, True]),
    ("building_type", ["detached", "townhouse"]),
    ("ground_snow_load_psf", [None, 0, 30, 50, 51, 70, 71, 200]),
    ("story_count", [1, 2, 3, 4]),
    ("braced_wall_line_spacing_ft", [20, 24.9, 25, 35, None]),
]
SEISMIC = {"IRC": ["A", "B", "C", "D0", "D1", "D2", "E"], "IBC": ["A", "B", "C", "D", "E", "F"]}
sites = st.fixed_dictionaries({name: st.sampled_from(values) for name, values in WORSE})


@pytest.mark.parametrize("field", [name for name, _ in WORSE] + ["seismic_design_category"])
@given(st.sampled_from(EDITIONS), st.sampled_from(list(BOOK.connections)), st.tuples(lengths, shanks), selectors, sites, st.data())
@settings(max_examples=250, deadline=None)
def test_a_worse_site_never_takes_less(field, edition, connection, size, ask, common, data):
    """Less is known where line spacing is left out (read as wide). Snow and stories left out pass no gate: the assumptions say so."""
    categories = SEISMIC[BOOK.editions[edition].code]
    order = categories if field == "seismic_design_category" else dict(WORSE)[field]
    mild, worse = sorted(data.draw(st.tuples(*[st.integers(0, len(order) - 1)] * 2)))
    category = data.draw(st.sampled_from(categories))
    site = Site(**{"seismic_design_category": category, **common, field: order[mild]})
    nail = of_size("smooth", *size)
    before, after = (asked(edition, connection, nail, s, ask) for s in (site, replace(site, **{field: order[worse]})))
    if type(before.nailing) is type(after.nailing) or after.nailing is None or before.nailing is None:
        assert no_milder(after.nailing, before.nailing)
    if before.zone and after.zone and after.nailing:
        edges = [zone_spacing(r.zone, r.question.site, r.nailing, BOOK.rules, r.substitute) for r in (before, after)]
        assert edges[0] is None or edges[1] is not None and edges[1] <= edges[0]
