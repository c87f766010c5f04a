"""The README's lines as they stand, against the live service; figures that it states beside a line are those of the answer."""

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import requests
from pypdf import PdfReader

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
HERE = "http://127.0.0.1:8080"
BLOCKS = re.findall(r"((?:^    (?:curl|http)[^\n]*\n)+)\n([^\n]+)", README, re.MULTILINE)
"""Each block of lines, with the paragraph that follows it."""
LINES = [(line.strip(), after) for block, after in BLOCKS for line in block.splitlines()]
MEDIA = {"json": "application/json", "csv": "text/csv", "svg": "image/svg+xml", "pdf": "application/pdf"}
WORDS = {"two": "2", "three": "3", "four": "4"}
LOCAL = {**os.environ, "NO_PROXY": "127.0.0.1", "no_proxy": "127.0.0.1"}


@dataclass
class Said:
    status: int
    media: str
    content: bytes

    @property
    def result(self) -> Any:
        return json.loads(self.content)["result"]


def run(line: str, live: str, folder: Path) -> Said:
    """Run a line in a folder where the examples are; what it keeps in a file is its answer."""
    if not shutil.which("curl"):
        pytest.skip("NOT CHECKED: curl is not installed")
    if not (folder / "openapi").exists():
        (folder / "openapi").symlink_to(ROOT / "openapi")
    asked = f"{line.replace(HERE, live)} -w '%{{stderr}}%{{http_code}} %{{content_type}}'"
    done = subprocess.run(["bash", "-c", asked], cwd=folder, env=LOCAL, capture_output=True, timeout=60, check=True)
    status, _, media = done.stderr.decode().partition(" ")
    words = shlex.split(line)
    content = (folder / words[words.index("-o") + 1]).read_bytes() if "-o" in words else done.stdout
    return Said(int(status), media.partition(";")[0], content)


def test_every_curl_of_the_readme_is_a_line_of_its_own() -> None:
    """So that none escapes: a line in a sentence would not be run."""
    assert README.count("curl -s") == sum(line.startswith("curl -s") for line, _ in LINES) > 15


@pytest.mark.parametrize("line", [line for line, _ in LINES if line.startswith("curl")])
def test_a_line_answers_in_its_form(live: str, tmp_path: Path, line: str) -> None:
    form = (re.findall(r"format=(\w+)", line) or ["json"])[0]
    said = run(line, live, tmp_path)
    assert (said.status, said.media) == (200, MEDIA[form])
    if form == "json":
        assert {"result", "results"} & {name for name, value in json.loads(said.content).items() if value}
    elif form == "csv":
        assert said.content.count(b"\r\n") > 1
    else:
        assert said.content.startswith({"svg": b"<svg", "pdf": b"%PDF"}[form])


# A word of the line, the place in the result, and the words of the paragraph after it around the figure. The figures themselves
# are held against print where their joint, nail or wall is tested; this keeps the README from saying others.
FIGURES = [
    ("/requirements?", "nail_count_per_joint", "{} nails in each end"),
    ("/requirements?", "nail_count", "in each end, {} in all"),
    ("/requirements?", "outcome", '`"outcome": "{}"`'),
    ("/requirements?", "provenance.code", "from {} 2021 Table"),
    ("/requirements?", "provenance.edition", "from IRC {} Table"),
    ("/requirements?", "provenance.table", "IRC 2021 Table {} item"),
    ("/requirements?", "provenance.item", "R602.3(1) item {},"),
    ("/substitutions?conn", "connections.0.judgements.0.nail_count_per_joint", "3 x 0.131 is listed, {} to a stud end"),
    ("/substitutions?conn", "connections.0.judgements.0.nail_count", "is listed, 3 to a stud end, {};"),
    ("/substitutions?conn", "connections.0.judgements.1.nail_count_per_joint", "3 x 0.120 is thinner and takes {} by strength"),
    ("/substitutions?conn", "connections.0.judgements.1.nail_count", "takes 4 by strength, {}, if"),
    ("/nail-strengths?", "lateral_lb", "gives {} lb, mode"),
    ("/nail-strengths?", "governing_mode", "lb, mode {}."),
    ("/shear-capacities?", "asd_plf", "answers {} plf allowable (ASD)"),
    ("/shear-capacities?", "lrfd_plf", "and {} plf by resistance factors"),
    ("/shear-capacities?", "nominal_plf", "(LRFD): {} plf nominal"),
    ("/shear-capacities?", "factors.0.value", "x {} for spruce-pine-fir"),
    ("/shear-capacities?", "factors.1.value", "x {} because the wall is three times"),
    ("/shear-capacities?", "factors.2.value", "/ {} or x"),
    ("/shear-capacities?", "factors.3.value", "or x {}. `factors`"),
    ("/bracing-checks", "required_ft", "here {} ft against"),
    ("/bracing-checks", "provided_ft", "ft against {}, `"),
    ("/bracing-checks", "verdict", "4.67, `{}`, because"),
    ("/bracing-checks", "panels.0.length_in", "two pieces of {} in"),
    ("/bracing-checks", "panels.0.least_length_in", "are under the {} in that count"),
    ("/bracing-checks", "panels.0.adjacent_opening_height_in", "beside an {} in door"),
    ("/uplift-requirements?", "uplift_lb", "answers {} lb at each rafter"),
    ("/uplift-requirements?", "provenance.table", "(IRC 2021 Table {})"),
    ("/anchorages?", "plates.0.bolt_count", "answers {} anchor bolts in the first"),
    ("/anchorages?", "plates.1.bolt_count", "piece of plate and {} in the second"),
    (
        "/nailing-inspections",
        "observations.0.found_nail_count",
        "house against what each joint requires of the nail that was found: {} 3 x 0.131",
    ),
    ("/nailing-inspections", "observations.0.verdict", "stud ends are `{}` by"),
    ("/nailing-inspections", "observations.0.missing_nail_count", "are `short` by {},"),
    ("/nailing-inspections", "observations.1.missing_nail_count", "between each two ({} in 24 ft)"),
]


def figure(line_with: str, words: str) -> tuple[str, str]:
    """Return the one line of the README with a word in it, and the figure that the paragraph after it states."""
    ((line, after),) = [(line, after) for line, after in LINES if line_with in line and "format=" not in line]
    around = re.escape(words).replace(re.escape("{}"), r"([^\s`\"]+?)")
    found = re.findall(around, after)
    assert len(found) == 1, f"the README says {words!r} {len(found)} times after {line}"
    return line, WORDS.get(found[0], found[0])


@pytest.mark.parametrize(("line_with", "path", "words"), FIGURES)
def test_a_figure_is_that_of_the_answer(live: str, tmp_path: Path, line_with: str, path: str, words: str) -> None:
    line, said = figure(line_with, words)
    value: Any = run(line, live, tmp_path).result
    for name in path.split("."):
        value = value[int(name) if isinstance(value, list) else name]
    if isinstance(value, str):
        assert value == said
    else:  # as many places as the README prints
        assert round(value, len(said.partition(".")[2])) == float(said)


def test_a_flatter_and_a_steeper_roof(live: str, tmp_path: Path) -> None:
    line, _ = figure("/uplift-requirements?", "answers {} lb at each rafter")
    _, steeper = figure("/uplift-requirements?", "at 5 in 12 it is {} lb")
    _, most = figure("/uplift-requirements?", "over the {} lb that nails alone")
    asked = line.replace("roof_pitch_in_12=4", "roof_pitch_in_12=5")
    assert asked != line
    flat, steep = run(line, live, tmp_path).result, run(asked, live, tmp_path).result
    assert (steep["uplift_lb"], steep["nails_alone_allowed"]) == (float(steeper), True)
    assert flat["nails_alone_allowed"] is False and flat["uplift_lb"] > float(most) > steep["uplift_lb"]


def test_the_crew_sheet_has_the_pages_that_are_said(live: str, tmp_path: Path) -> None:
    (line,) = [line for line, _ in LINES if "format=pdf" in line and "planWall" in line]
    (pages,) = re.findall(r"on A4, (\w+) pages for an ordinary wall", README)
    run(line, live, tmp_path)
    assert len(PdfReader(tmp_path / "south.pdf").pages) == int(WORDS[pages])


def test_the_address_for_a_spreadsheet(live: str) -> None:
    """24 ft at 16 in is 18 spaces and 19 studs, 38 ends; IRC 2021 Table R602.3(1) item 17: 3 of 3 x 0.131 each, 114."""
    (address,) = [line for line, _ in LINES if line.startswith("http")]
    answer = requests.get(address.replace(HERE, live), timeout=20)
    assert (answer.status_code, answer.headers["Content-Type"].partition(";")[0]) == (200, "text/csv")
    (row,) = [row for row in answer.text.splitlines() if ",stud-to-plate-end-nail," in row]
    assert "3 nails x 38 joints (each end) = 114" in row


def test_the_python_block_runs_as_it_stands(live: str) -> None:
    """24 ft with a stud tight inside its end stud: 20 studs, 40 ends of 3 nails, 120. IRC 2021 Table R602.3(1) item 17."""
    (block,) = re.findall(r"^```python\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
    assert HERE in block
    done = subprocess.run(
        [sys.executable, "-c", block.replace(HERE, live)], env=LOCAL, capture_output=True, text=True, timeout=60, check=True
    )
    assert "stud-to-plate-end-nail 120 3 nails x 40 joints (each end) = 120" in done.stdout.splitlines()
    assert any(line.startswith(("warning ", "caution ", "info ")) for line in done.stdout.splitlines())
