"""How the arithmetic of a count is written, so that a person can check it on a calculator."""

from service.domain.joint.counting import nails_for, say_count
from service.said import plain
from service.tables.schedule import OnCenter
from service.ticks import ticks


def test_a_spacing_of_half_inches_is_written_as_a_decimal() -> None:
    """240 - 3.78 = 236.22 in at 9-1/2: 236.22 / 9.5 = 24.87, so 25 spaces and 26 nails."""
    nailing, runs = OnCenter(ticks("9.5"), 1), (ticks("236.22"),)
    assert nails_for(nailing, runs) == 26
    assert plain(say_count(nailing, runs)) == "runs at 9-1/2 in: (ceil(236.22/9.5) + 1) = 26"
