"""Laws of what a joint question leaves out, over every optional field: it is a default that the answer names, or never milder.

Exceptions, each by what is specified:

- Snow, stories, a fire-rated wall and what the plate stands on are gates: not sent, they are not passed.
- Of the nail itself coating, shank and shape of head are read as the usual ones (bright, smooth, full round) when left out.
- A head that is not sent is not checked against what its row prints: `head_unknown` speaks.
- Where the true site is worse than a default, only sending it tells so: `site_assumed` speaks.
"""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.domain.cautions.advice import advisor_for
from service.domain.conditions import Conditions
from service.domain.joint.requirement import judge
from service.errors import FasteningError
from service.schemas.asks.joint import REQUIREMENT, read_joint
from service.schemas.fields import ABSENT
from service.tables.book import open_book
from service.tables.schedule import Grouped, OnCenter, Panel, PerJoint

BOOK = open_book()
EVERY = {
    "code_edition": list(BOOK.editions),
    "species": ["spruce-pine-fir", "southern-pine", "balsam-fir", "northern-white-cedar"],
    "wind_speed_mph": [90, 115, 130, 150],
    "wind_speed_basis": ["ultimate", "allowable"],
    "exposure": ["B", "C", "D"],
    "seismic_design_category": ["A", "B", "C"],
    "building_type": ["detached", "townhouse"],
    "hurricane_prone": [False, True],
    "upper_half_of_hill": [False, True],
    "ground_snow_load_psf": [0, 30, 55, 80],
    "braced_wall_line_spacing_ft": [20, 25, 40],
    "story_count": [1, 2, 3, 4],
    "driver": ["gun", "hand"],
    "treatment": ["none", "copper", "unknown"],
    "moisture": ["dry", "wet_in_service"],
    "slab_type": ["plain", "post_tensioned"],
    "fire_rated": [False, True],
    "joint_count": [1, 38],
    "run_length_ft": [8, 24],
    "stud": ["2x4", "2x6"],
    "braced_wall_panel": [False, True],
    "use": ["wall", "roof", "floor"],
    "panel_thickness_in": [0.375, 0.4375, 0.5, 0.75],
    "stud_spacing_in": [12, 16, 24],
    "span_rating": ["24/0", "24/16", "32/16"],
    "material_between_in": [0, 0.5],
    "spacer_in": [0, 0.5],
    "roof_pitch_in_12": [4, 12],
    "roof_span_ft": [24, 40],
    "tie_spacing_in": [16, 24, 48],
    "bottom_plate_on": ["wood_floor", "concrete"],
    "shank": ["smooth", "ring", "screw"],
    "head_diameter_in": [0.2, 0.266, 0.3],
    "head": ["full_round", "clipped"],
    "coating": ["bright", "hot_dip_galvanized", "stainless"],
}
JOINTS_OF = {
    "material_between_in": [name for name, c in BOOK.connections.items() if c.panel],
    "spacer_in": [name for name, c in BOOK.connections.items() if not c.panel],
}
GATES = {"ground_snow_load_psf", "story_count", "fire_rated", "bottom_plate_on"}
OF_THE_NAIL = {"coating", "shank", "head"}
WARNED = {"head_diameter_in"}
questions = st.fixed_dictionaries(
    {
        "connection_id": st.sampled_from(list(BOOK.connections)),
        "nail_length_in": st.sampled_from([2, 2.375, 2.5, 3, 3.25, 3.5]),
        "shank_diameter_in": st.sampled_from([0.099, 0.113, 0.12, 0.128, 0.131, 0.135, 0.148, 0.162]),
        **{name: st.sampled_from(values) for name, values in EVERY.items()},
    }
)


def judged(raw):
    """Judge a question, and return what was assumed for it; one that is refused is none of these laws."""
    try:
        ask = read_joint(raw, BOOK)
    except FasteningError:
        assume(False)
    return judge(ask.question, BOOK), dict(ask.assumptions)


def steel(nailing):
    """How many nails a joint or an inch takes, in every direction that is counted; None where there is no number."""
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


def sent_for(raw):
    """Keep to what goes with the joint: what lies between header plies is a spacer, behind panels foam."""
    joint = BOOK.connections[raw["connection_id"]]
    drop = {"spacer_in"} if joint.panel else {"material_between_in"}
    return {k: v for k, v in raw.items() if k not in drop}


def test_every_optional_field_is_under_the_law():
    named = {"connection_id", "nail_id", "nail_designation", "nail_length_in", "shank_diameter_in", "units"}
    metric = {name for _, name, _, _ in REQUIREMENT.twins}
    assert set(REQUIREMENT.fields) - named - metric == set(EVERY)


@pytest.mark.parametrize("field", [f for f in EVERY if f not in GATES | OF_THE_NAIL | WARNED])
@given(questions, st.data())
@settings(max_examples=120, deadline=None)
def test_leaving_a_field_out_is_a_named_default_or_never_milder(field, raw, data):
    full = sent_for({**raw, "connection_id": data.draw(st.sampled_from(JOINTS_OF.get(field, list(BOOK.connections))))})
    less = {k: v for k, v in full.items() if k != field}
    after, assumed = judged(less)
    if field in assumed:
        same, _ = judged({**full, field: assumed[field]} if assumed[field] is not None else full)
        assert (after.outcome, after.nailing, after.provenance) == (same.outcome, same.nailing, same.provenance)
        return
    before, _ = judged(full)
    own, than = steel(after.nailing), steel(before.nailing)
    assert own is None or (than is not None and all(a >= b for a, b in zip(own, than, strict=True)))


@given(questions)
@settings(max_examples=200, deadline=None)
def test_a_head_that_is_not_sent_is_milder_only_with_its_warning(raw):
    full = sent_for(raw)
    (before, _), (after, _) = judged(full), judged({k: v for k, v in full.items() if k != "head_diameter_in"})
    own, than = steel(after.nailing), steel(before.nailing)
    if own is not None and (than is None or any(a < b for a, b in zip(own, than, strict=True))):
        assert "head_unknown" in advisor_for(Conditions(), BOOK).advise(after).codes


@pytest.mark.parametrize("field", sorted(GATES))
@given(questions)
@settings(max_examples=80, deadline=None)
def test_a_gate_that_is_not_sent_changes_no_number_that_stands(field, raw):
    full = sent_for(raw)
    (before, _), (after, _) = judged(full), judged({k: v for k, v in full.items() if k != field})
    assert before.nailing is None or after.nailing == before.nailing


def test_every_field_with_a_usual_value_is_named_as_assumed():
    """The nail alone is sent; what stands in the contract as usual is listed, one by one."""
    _, assumed = judged({"connection_id": "stud-to-plate-end-nail", "nail_designation": "16d common"})
    usual = {name: f.usual for name, f in REQUIREMENT.fields.items() if getattr(f, "usual", ABSENT) is not ABSENT}
    assert usual.items() <= assumed.items()
