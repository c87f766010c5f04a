"""What a request may cost: a second of processor time where it is refused, five seconds and 250 MB where it is answered."""

import subprocess
import sys
from pathlib import Path

import pytest
from flask import Flask

from service.__main__ import spare_the_collector
from service.app import create_app
from service.settings import Settings
from service.web.registry import OPERATIONS
from tests.attack import bodies, dear, questions
from tests.attack.conftest import Report
from tests.attack.door import Sent, ask, check

WRONG = {**bodies.BODIES, **questions.BODIES}
POSTS = [o.path for o in OPERATIONS if o.method == "POST"]
REFUSAL_S, ITEMS_S, ANSWER_S, MEMORY_MB = 1.0, 5.0, 5.0, 250
"""The service's own limits; a call whose items are refused one by one is an answer."""
DEAR = [
    ("longest_wall", "/v1/wall-plans", ""),
    ("longest_wall", "/v1/wall-plans", "format=svg"),
    ("longest_wall", "/v1/wall-plans", "format=pdf"),
    ("longest_wall_placed", "/v1/wall-plans", ""),
    ("walls_up_to_the_limit", "/v1/wall-plans/batch", ""),
    ("walls_up_to_the_limit", "/v1/wall-plans/batch", "format=csv&table=members"),
    ("placed_walls_up_to_the_limit", "/v1/wall-plans/batch", ""),
    ("house_of_500_walls", "/v1/takeoffs", ""),
    ("house_with_nails_on_hand", "/v1/takeoffs", ""),
    ("house_of_500_joints", "/v1/takeoffs", ""),
    ("requirements_of_500_items", "/v1/requirements/batch", ""),
    ("strengths_of_500_items", "/v1/nail-strengths/batch", ""),
    ("all_nails_for_all_joints", "/v1/substitutions", ""),
    ("observations", "/v1/nailing-inspections", ""),
    ("schedule_of_walls", "/v1/nailing-schedules", ""),
]


@pytest.mark.usefixtures("as_it_serves")
@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_body_of_any_size_is_refused_soon(app: Flask, report: Report, name: str) -> None:
    body = WRONG[name]()
    assert len(body) <= bodies.MB
    for path in POSTS:
        got = ask(app, sent := Sent("POST", path, b"", body))
        report.note(got, f"{name} ({len(body) // 1024} KB) to {path}")
        check(sent, got)
        assert got.status in (200, 400, 422)
        assert b'"problem"' in got.body if got.status == 200 else got.body
        assert got.cpu < (REFUSAL_S if got.status >= 400 else ITEMS_S), path


def test_the_dearest_right_requests_stay_within_time_and_memory(report: Report) -> None:
    """In a process of their own, as the service starts, since memory is told for a whole process."""
    lines = subprocess.run(
        [sys.executable, "-m", "tests.attack.test_costs"], cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True
    )
    told = [line.split("\t") for line in lines.stdout.splitlines() if line.startswith("cost\t")]
    assert len(told) == len(DEAR)
    for _, what, status, cpu, memory, refused in told:
        assert status == "200" and refused == "False", what
        assert float(cpu) < ANSWER_S, what
        assert int(memory) < MEMORY_MB, what
        report.answered.append((float(cpu) * 1000, what))
    report.facts.append(("most memory", f"{max(int(t[4]) for t in told)} MB after all of the dearest right requests"))


def main() -> None:
    """Ask the dearest questions and print what each cost."""
    app = create_app(Settings(log_level="error"))
    spare_the_collector()
    for name, path, query in DEAR:
        got = ask(app, Sent("POST", path, query.encode(), dear.BODIES[name]()))
        memory = next(
            int(line.split()[1]) // 1024 for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")
        )
        print("cost", f"{name} to {path} {query}", got.status, f"{got.cpu:.3f}", memory, b'"problem"' in got.body, sep="\t", flush=True)


if __name__ == "__main__":
    main()
