"""Cutting a file into parts: every line once, in order, and never more of the file in memory than a part."""

import io
import tracemalloc

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.bulk import parts
from service.bulk.parts import Part, parts_of

TEXTS = st.lists(st.sampled_from([b"\n", b"\r\n", b"\r", b"{}", b"a", b"\x00", b"\xff", b"12345678"]), max_size=40).map(b"".join)


def cut(raw: bytes, most_bytes: int = 100, most_lines: int = 3, asked: str = "") -> list[Part]:
    return list(parts_of(io.BytesIO(raw), most_bytes, most_lines, asked))


def plain_lines(raw: bytes) -> list[bytes]:
    """Cut at line feeds, where a return before one is of the line's end: `str.split` instead of reading piece by piece."""
    lines = raw.split(b"\n")
    ended = [line.removesuffix(b"\r") for line in lines[:-1]]
    return [*ended, *([lines[-1]] if lines[-1] else [])]


@given(raw=TEXTS, most_bytes=st.integers(0, 12), most_lines=st.integers(1, 5))
def test_every_line_stands_once_in_its_place(raw: bytes, most_bytes: int, most_lines: int) -> None:
    found = cut(raw, most_bytes, most_lines)
    lines = [line for part in found for line in part.lines]
    assert [line if isinstance(line, int) else len(line) for line in lines] == [len(line) for line in plain_lines(raw)]
    for line, plain in zip(lines, plain_lines(raw), strict=True):
        assert line == plain or line == len(plain) > most_bytes
    assert sum(part.size for part in found) == len(raw)
    before = 1
    for part in found:
        assert part.first_line == before
        assert 1 <= len(part.lines) <= most_lines
        before += len(part.lines)


@given(raw=TEXTS)
def test_a_part_is_closed_by_its_bytes_too(raw: bytes) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(parts, "PART_BYTES", 10)
        for part in cut(raw, most_lines=1000):
            assert len(part.lines) == 1 or sum(len(line) for line in part.lines if isinstance(line, bytes)) <= 10


def test_a_line_without_an_end_is_not_held() -> None:
    class Endless(io.RawIOBase):
        """64 MB without a line feed, then a line."""

        def __init__(self) -> None:
            self.left = 64_000_000

        def readable(self) -> bool:
            return True

        def readinto(self, room: bytearray) -> int:  # type: ignore[override]
            piece = b"x" * min(len(room), self.left) or b"\n{}"[: 3 if self.left == 0 else 0]
            self.left -= len(piece) if self.left else 1
            room[: len(piece)] = piece
            return len(piece)

    tracemalloc.start()
    try:
        (part,) = parts_of(io.BufferedReader(Endless()), 1_048_576, 500, "")
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert part.lines == (64_000_000, b"{}")
    assert peak < 4_000_000


def test_a_name_stands_for_all_that_shapes_the_answers() -> None:
    names = [
        *(part.name for part in cut(b"a\nb\nc\nd\n", most_lines=1)),
        *(part.name for part in cut(b"a\nb\nc\nx\n", most_lines=2)),
        cut(b"a\n", asked="takeoffs")[0].name,
        cut(b"ab\n", most_bytes=1)[0].name,
        cut(b"abc\n", most_bytes=1)[0].name,
        cut(b"\n")[0].name,
        cut(b"\n\n")[0].name,
    ]
    assert len(set(names)) == len(names)
    assert cut(b"a\r\nb", most_lines=2)[0].name == cut(b"a\nb\n", most_lines=2)[0].name


def test_lines_that_moved_are_other_ones() -> None:
    """A refusal names its line, so the same text one line further down is answered anew."""
    assert {part.name for part in cut(b"{}\n{}\n", most_lines=1)} & {part.name for part in cut(b"1\n{}\n{}\n", most_lines=1)} == {
        cut(b"{}\n{}\n", most_lines=1)[1].name
    }
