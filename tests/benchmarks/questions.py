"""Questions that differ from one to the next, so that no answer is found ready; the n-th is always the same."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

EXAMPLES = Path(__file__).parents[2] / "openapi/examples"
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
NAILS = (
    "16d common", "16d box", "16d sinker", "12d common", "10d common", "10d box", "8d common", "3 x 0.131", "3 x 0.120",
    "3-1/4 x 0.131", "3-1/2 x 0.135", "2-3/8 x 0.113", "2-1/2 x 0.131", "3-1/4 x 0.120", "3 x 0.128",
)  # fmt: skip
COUNTED = (
    "stud-to-plate-end-nail", "stud-to-plate-toe-nail", "ceiling-joist-to-top-plate-toe-nail", "rafter-to-plate-toe-nail",
    "joist-to-sill-toe-nail", "header-to-stud-toe-nail", "top-plate-lap-face-nail", "rafter-to-ridge-toe-nail",
    "collar-tie-to-rafter-face-nail", "stud-to-header-end-nail", "blocking-to-joist-toe-nail", "rim-joist-to-joist-end-nail",
    "blocking-to-top-plate-toe-nail", "rafter-to-ridge-end-nail",
)  # fmt: skip
SPACED = (
    "top-plate-to-top-plate-face-nail", "bottom-plate-to-floor-face-nail", "rim-joist-to-sill-toe-nail", "built-up-header-face-nail",
    "stud-to-stud-face-nail", "built-up-girder-face-nail",
)  # fmt: skip


@dataclass(frozen=True)
class Question:
    method: str
    path: str
    body: bytes | None = None
    content_type: str = "application/json"

    def wire(self) -> bytes:
        """Return it as bytes of HTTP."""
        head = f"{self.method} {self.path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\n"
        if self.body is None:
            return f"{head}\r\n".encode()
        return f"{head}Content-Type: {self.content_type}\r\nContent-Length: {len(self.body)}\r\n\r\n".encode() + self.body


def post(path: str, asked: Any) -> Question:
    return Question("POST", path, json.dumps(asked).encode())


def get(path: str, asked: dict[str, Any]) -> Question:
    return Question("GET", f"{path}?{urlencode(asked)}")


def example(name: str) -> Any:
    return json.loads((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))


HOUSE = example("house-south")
TAKEOFF = example("takeOff")


def joint_of(n: int) -> dict[str, Any]:
    """300 joints with their nails, and another count each time."""
    connection, nail = (COUNTED + SPACED)[n % 20], NAILS[n // 20 % len(NAILS)]
    size = {"run_length_ft": 8 + n % 977 / 4} if connection in SPACED else {"joint_count": 1 + n % 997}
    return {**SITE, "connection_id": connection, "nail_designation": nail, **size}


def wall_of(n: int) -> dict[str, Any]:
    """A sheathed wall with a door and a window, another length and places each time."""
    door, window = ({**opening, "at_in": opening["at_in"] + n % 113 / 8} for opening in HOUSE["wall"]["openings"])
    return {**HOUSE["wall"], "id": f"wall-{n}", "length_in": 260 + n % 1201 / 8, "openings": [door, window]}


def joint(n: int) -> Question:
    return post("/v1/requirements", joint_of(n))


def plain_wall(n: int) -> Question:
    asked = {**SITE, "length_in": 96 + n % 1999 / 4, "height_in": 97.125, "nail_designation": NAILS[n % 6], "stud_spacing_in": 16}
    return get("/v1/wall-plans", asked)


def sheathed_wall(n: int) -> Question:
    return post("/v1/wall-plans", {**HOUSE, "wall": wall_of(n)})


def strength(n: int) -> Question:
    asked = {
        "nail_designation": NAILS[n % len(NAILS)],
        "side_thickness_in": 0.75 + n % 101 / 100,
        "main_specific_gravity": 0.42 + n % 13 / 100,
    }
    return get("/v1/nail-strengths", asked)


def substitution(n: int) -> Question:
    nails = [{"nail_designation": NAILS[(n + k) % len(NAILS)]} for k in range(3)]
    return post(
        "/v1/substitutions",
        {**SITE, "connection_ids": [COUNTED[n % len(COUNTED)], SPACED[n % len(SPACED)]], "nails": nails, "joint_count": 1 + n % 991},
    )


def uplift(n: int) -> Question:
    roof = {"roof_span_ft": 12 + n % 97 / 4, "roof_pitch_in_12": 3 + n % 9, "tie_spacing_in": (16, 24)[n % 2]}
    return get("/v1/uplift-requirements", {**SITE, "wind_speed_mph": 110 + n % 30, **roof})


def takeoff(n: int) -> Question:
    """The example house, with one wall of another length."""
    first, *others = TAKEOFF["walls"]
    return post("/v1/takeoffs", {**TAKEOFF, "walls": [{**first, "wall": wall_of(n)}, *others]})


KINDS: dict[str, Callable[[int], Question]] = {
    "one joint (POST)": joint,
    "strength of a nail (GET)": strength,
    "uplift of a roof (GET)": uplift,
    "substitution, 3 nails in 2 joints (POST)": substitution,
    "plain wall (GET)": plain_wall,
    "sheathed wall, 2 openings (POST)": sheathed_wall,
    "take-off of a house, 7 walls (POST)": takeoff,
}
MIX = (joint, strength, plain_wall, joint, uplift, sheathed_wall, joint, substitution, joint, plain_wall)
"""What callers send, as far as we guess; a take-off comes in place of every twentieth."""


def mixed(n: int) -> Question:
    return takeoff(n) if n % 20 == 19 else MIX[n % len(MIX)](n // len(MIX))


BAD: tuple[Callable[[int], Question], ...] = (
    lambda n: Question("POST", "/v1/requirements", b'{"connection_id": '),
    lambda n: Question("POST", "/v1/requirements", b"a=1", "text/plain"),
    lambda n: post("/v1/requirements", {**joint_of(n), "joint_cuont": 3}),
    lambda n: post("/v1/requirements", {**joint_of(n), "nail_designation": f"{n}d odd"}),
    lambda n: post("/v1/wall-plans", {**HOUSE, "wall": {**wall_of(n), "length_in": -n}}),
    lambda n: post("/v1/wall-plans", {**HOUSE, "wall": {**wall_of(n), "openings": [{"id": f"o{n}", "at_in": "left"}] * 40}}),
    lambda n: post("/v1/takeoffs", {**TAKEOFF, "walls": [{"id": f"w{n}"}] * 30}),
    lambda n: get("/v1/uplift-requirements", {**SITE, "roof_span_ft": f"{n} feet"}),
    lambda n: Question("GET", f"/v1/nails/no-such-nail-{n}"),
    lambda n: Question("POST", "/v1/substitutions", b"[" * 5000),
    lambda n: Question("DELETE", "/v1/nails"),
    lambda n: Question("POST", "/v1/requirements", b" " * 1_048_577),
)
"""What is refused, with a text of its own each time where that could fill a memory."""


def bad(n: int) -> Question:
    return BAD[n % len(BAD)](n)
