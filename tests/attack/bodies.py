"""Big bodies by name that are wrong: what costs time to read and to refuse."""

import json
from collections.abc import Callable, Iterable
from itertools import product
from typing import Any

MB = 1_048_576
JOINT = {"connection_id": "stud-to-plate-end-nail", "nail_id": "16d-common"}
NAIL = {"framing_nail": {"nail_designation": "3 x 0.131"}}
WALL = {"length_in": 96, "height_in": 97.125}
SITE = {"wind_speed_mph": 115, "wind_speed_basis": "ultimate", "exposure": "B", "seismic_design_category": "B"}
HEADER = {"ply_count": 2, "nominal": "2x8"}
DOOR = {"id": "d", "kind": "door", "at_in": 40, "width_in": 36, "head_height_in": 82, "header": HEADER}
Make = Callable[[], Any]


def maker() -> tuple[dict[str, Callable[[], bytes]], Callable[[Make], Make]]:
    """Return a list of bodies by name, and what puts one there; what it makes is bytes, or becomes JSON."""
    kept: dict[str, Callable[[], bytes]] = {}

    def keep(make: Make) -> Make:
        def made() -> bytes:
            found = make()
            return found if isinstance(found, bytes) else json.dumps(found, separators=(",", ":")).encode()

        kept[make.__name__] = made
        return make

    return kept, keep


BODIES, body = maker()


def filled(first: bytes, pieces: Iterable[bytes], last: bytes) -> bytes:
    """Return as many pieces as fit into the limit, by commas."""
    kept, size = [], len(first) + len(last)
    for piece in pieces:
        size += len(piece) + 1
        if size > MB:
            break
        kept.append(piece)
    return first + b",".join(kept) + last


def many(pattern: bytes, count: int = 400_000) -> Iterable[bytes]:
    return (pattern % i for i in range(count))


@body
def open_lists() -> bytes:
    return b"[" * MB


@body
def open_objects() -> bytes:
    return b'{"a":' * (MB // 5)


@body
def nested_lists() -> bytes:
    return b"[" * (MB // 2) + b"]" * (MB // 2)


@body
def nested_behind_text() -> bytes:
    """As deep, behind more text than is looked at for depth."""
    return b'["' + b"a" * 70_000 + b'",' + b"[" * 100_000 + b"]" * 100_000 + b"]"


@body
def nested_objects() -> bytes:
    return b'{"a":' * (MB // 6 - 1) + b"1" + b"}" * (MB // 6 - 1)


@body
def sixteen_deep_wide() -> bytes:
    return filled(b'{"a":[', [b"[" * 13 + b"]" * 13] * 40_000, b"]}")


@body
def one_key_again_and_again() -> bytes:
    return filled(b"{", [b'"nail_id":1'] * 100_000, b"}")


@body
def key_twice_at_the_end() -> bytes:
    return filled(b"{", many(b'"%d":1'), b',"0":1}')[: MB - 8].rsplit(b",", 1)[0] + b',"1":1}'


@body
def escaped_key_twice() -> bytes:
    return filled(b"{", [b'"a":1', rb'"\u0061":1'] * 50_000, b"}")


@body
def unknown_fields() -> bytes:
    return filled(b"{", many(b'"f%d":1'), b"}")


@body
def near_fields() -> bytes:
    """Names that are each nearly one of ours, so that each asks for a suggestion."""
    letters = "abcdefghijklmnopqrstuvwxyz"
    words = (f'"wind_spe{a}d_mph{b}{c}{d}":1'.encode() for a, b, c, d in product(letters, repeat=4))
    return filled(b"{", words, b"}")


@body
def long_near_fields() -> bytes:
    """Names of 64 characters, the longest that are looked at, of many parts."""
    return filled(b"{", (b'"connection_id_nail_designation_wind_speed_mph_exposure_%08x":1' % i for i in range(100_000)), b"}")


@body
def one_long_text() -> bytes:
    return b'{"nail_designation":"' + b"9" * (MB - 30) + b'"}'


@body
def one_long_designation_of_spaces() -> bytes:
    return b'{"connection_id":"stud-to-plate-end-nail","nail_designation":"' + b" " * (MB - 100) + b'x"}'


@body
def one_long_key() -> bytes:
    return b'{"' + b"a_" * (MB // 2 - 10) + b'":1}'


@body
def escapes() -> bytes:
    return b'{"nail_id":"' + rb"\u0041" * (MB // 6 - 10) + b'"}'


@body
def escaped_quotes() -> bytes:
    return b'{"nail_id":"' + rb"\"" * (MB // 2 - 10) + b'"}'


@body
def backslashes_unended() -> bytes:
    return b'{"nail_id":"' + b"\\" * (MB - 20)


@body
def colons_in_text() -> bytes:
    """More colons than keys, so that keys are counted a second time."""
    return filled(b"{", many(b'"%d":":"'), b"}")


@body
def long_numbers() -> bytes:
    return filled(b'{"joint_count":[', [b"9" * 5000] * 300, b"]}")


@body
def one_long_number() -> bytes:
    return b'{"joint_count":' + b"9" * (MB - 20) + b"}"


@body
def long_numbers_and_a_colon() -> bytes:
    """Read a second time by the standard library, which turns digits into an integer."""
    return filled(b'{":":1,"joint_count":[', [b"9" * 4300] * 300, b"]}")


@body
def long_fractions() -> bytes:
    return filled(b'{"joint_count":[', [b"0." + b"1" * 5000] * 300, b"]}")


@body
def small_numbers() -> bytes:
    return filled(b'{"joint_count":[', [b"5e-324"] * 200_000, b"]}")


@body
def blanks() -> bytes:
    return b" " * MB


@body
def line_ends_and_a_letter() -> bytes:
    return b"\n" * (MB - 1) + b"x"


@body
def commas() -> bytes:
    return b"[" + b"," * (MB - 2) + b"]"


@body
def broken_at_the_end() -> bytes:
    return filled(b"{", many(b'"%d":1'), b"]")


@body
def bad_utf_8_at_the_end() -> bytes:
    return b'{"a":"' + "\u00fc".encode() * (MB // 2 - 10) + b'\xff"}'


@body
def keys_of_equal_beginning() -> bytes:
    return filled(b"{", (b'"%s%06d":1' % (b"k" * 50, i) for i in range(20_000)), b"}")


@body
def empty_items() -> bytes:
    return filled(b'{"items":[', [b"{}"] * 400_000, b"]}")
