"""A census of span ratings, caution codes and joints, counted in the lists they come from."""

from service.tables.book import open_book
from service.ticks import inches, ticks

BOOK = open_book()


def test_span_ratings_rank_as_the_note_says():
    """Table R602.3(3): wall ratings may stand for 24/0, siding ratings for 24/16, 16s on studs to 16 in; then 32/16, 40/20, 48/24.

    By thickness 3/8 in 24/0 and 7/16 in 24/16 (panel stamps, from memory).
    """
    ranks = {n: r.rank for n, r in BOOK.span_ratings.items()}
    assert ranks["24/0"] == ranks["wall-16"] == ranks["wall-24"] == 1
    assert ranks["24/16"] == ranks["siding-16"] == ranks["siding-24"] == 2
    assert [ranks[r] for r in ("32/16", "40/20", "48/24")] == [3, 4, 5]
    widest = {n: inches(r.max_stud_spacing) for n, r in BOOK.span_ratings.items() if r.max_stud_spacing}
    assert widest == {"wall-16": 16, "siding-16": 16, "wall-24": 24, "siding-24": 24}
    assert len(ranks) == 9
    taken = {inches(d.min_thickness): d.span_rating for d in BOOK.span_rating_defaults}
    assert taken == {0.375: "24/0", 0.4375: "24/16"}


# Caution codes are permanent and their severities are never lowered.
SEVERITIES = {
    "stop": """calculated_not_offered engineering_required_joint engineering_required_scope fire_rated_assembly nail_rows_too_close
        penetration_short value_not_held""",
    "warning": """added_nails_split ambiguous_designation approval_required braced_panel_over_material carbon_steel_only clipped_head close_nail_rows
        concealed_services_wired continuous_sheathing_incomplete drilling_concrete end_condition_unknown end_grain_withdrawal
        fire_retardant_lumber framing_3x_needed head_unknown header_not_checked overdriven_repair panel_joint_off_stud raise_by_machine
        high_seismic_bracing opening_studs_short short_plate_piece site_assumed spacing_wider_than_required
        thinner_than_common toe_nail_hits_concrete toe_nail_seismic_limit top_plate_cut treated_lumber_fastener two_story_wall
        unblocked_edge uplift_connector_needed uplift_unknown wet_lumber wind_basis_doubtful""",
    "caution": """braced_assumed far_side_clear header_hanger jack_count_assumed joint_at_opening_corner low_gravity_framing nail_without_framing
        overhead_reach panel_short_of_plate penetration_reduced plate_joint_near_lap point_protrudes raise_wall ring_not_rsrs
        short_pieces single_top_plate tall_wall_restraint thicker_than_listed unverified_value wood_splits""",
    "info": """borate_dry_only callers_schedule_used concealed_services fall_protection fireblocking_assumed local_code_governs nail_gun
        package_count_approximate panel_nailing roof_tool_hose span_rating_assumed treated_cut_ends""",
}


def test_seventy_four_caution_codes_keep_their_severities():
    expected = {code: severity for severity, codes in SEVERITIES.items() for code in codes.split()}
    assert len(expected) == 7 + 35 + 20 + 12
    assert {code: row.severity for code, row in BOOK.cautions.items()} == expected


# Joints of the fastening schedules, by group and by the way they are nailed.
JOINTS = {
    ("roof", "toe_nail"): """blocking-to-rafter blocking-to-top-plate ceiling-joist-to-top-plate rafter-to-plate rafter-to-ridge""",
    ("roof", "end_nail"): "blocking-to-rafter rafter-to-ridge",
    ("roof", "face_nail"): "ceiling-joist-lap collar-tie-to-rafter flat-blocking-to-truss heel-joint",
    ("wall", "face_nail"): """board-sheathing-1x6 board-sheathing-1x8 board-sheathing-wider-than-1x8 bottom-plate-to-floor
        built-up-header let-in-brace stud-to-stud top-plate-lap top-plate-splice top-plate-to-top-plate""",
    ("wall", "toe_nail"): "block-to-stud header-to-stud stud-to-plate",
    ("wall", "end_nail"): "block-to-stud stud-to-header stud-to-plate",
    ("floor", "toe_nail"): "blocking-to-joist joist-to-sill rim-joist-to-sill",
    ("floor", "face_nail"): """board-subfloor-1x6 built-up-girder built-up-girder-splice ledger-strip two-inch-planks
        two-inch-subfloor""",
    ("floor", "end_nail"): "rim-joist-to-joist",
}
PANELS = """combination-floor-panel exterior-wall-panel fiberboard gypsum-sheathing interior-paneling panel-siding wood-panel"""


def test_joints_have_their_groups_and_methods():
    """45 joints, 42 of the schedules, one of R602.7.1 and two of trade custom."""
    expected = {
        f"{name}-{method.replace('_', '-')}": (group, method) for (group, method), names in JOINTS.items() for name in names.split()
    }
    expected |= {f"{name}-to-framing": ("sheathing", "face_nail") for name in PANELS.split()}
    expected["header-flat-plate-face-nail"] = ("wall", "face_nail")
    assert len(expected) == 45
    assert {c.connection_id: (c.group, c.method) for c in BOOK.connections.values()} == expected
    assert {c.connection_id for c in BOOK.connections.values() if c.panel} == {f"{name}-to-framing" for name in PANELS.split()}
    # dressed thickness of the piece nailed through: boards of 1 in 3/4, lumber of 2 in 1-1/2
    thin = {c.connection_id for c in BOOK.connections.values() if c.side_thickness == ticks("0.75")}
    assert thin == {n for n in expected if n.startswith(("let-in", "board-"))}
    assert {c.side_thickness for c in BOOK.connections.values() if not c.panel} == {ticks("0.75"), ticks("1.5")}


def test_wind_that_lifts_a_roof_pulls_at_the_joints_that_hold_rafters_down():
    """Rafter or truss to plate (IRC R802.11), ceiling joists that tie rafters to it, rafters at the ridge and collar ties (R802.4.6, from memory)."""
    held = {c.connection_id for c in BOOK.connections.values() if c.carries_roof}
    toe = ("rafter-to-plate", "rafter-to-ridge", "ceiling-joist-to-top-plate")
    assert held == {*(f"{n}-toe-nail" for n in toe), "rafter-to-ridge-end-nail", "collar-tie-to-rafter-face-nail"}
