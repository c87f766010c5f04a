"""Reads a file of questions, one a line, and cuts it into parts; never holds more than the part it reads."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import BinaryIO

PART_BYTES = 4_194_304
"""A part is closed here whatever its number of lines, so that long lines do not fill the memory of who holds a few parts."""
PIECE = 65_536


@dataclass(frozen=True, slots=True)
class Part:
    """Some lines that follow each other; a line over the limit is its length alone, which is all that its refusal needs."""

    name: str
    """Of the file that holds its answers: another one wherever they could differ."""
    first_line: int
    lines: tuple[bytes | int, ...]
    size: int
    """Bytes of the file, with the ends of lines."""


def parts_of(file: BinaryIO, most_bytes: int, most_lines: int, asked: str) -> Iterator[Part]:
    """Yield the parts of a file, each of so many lines at most; a line over `most_bytes` is read past, not kept.

    `asked` is all that shapes the answers beside the lines.
    """
    number, first, lines, size, held = 1, 1, list[bytes | int](), 0, 0
    for line, read in _lines(file, most_bytes):
        more = 0 if isinstance(line, int) else len(line)
        if len(lines) == most_lines or (lines and held + more > PART_BYTES):
            yield Part(_name(number, first, lines, asked), first, tuple(lines), size)
            number, first, lines, size, held = number + 1, first + len(lines), [], 0, 0
        lines.append(line)
        size, held = size + read, held + more
    if lines:
        yield Part(_name(number, first, lines, asked), first, tuple(lines), size)


def _name(number: int, first: int, lines: list[bytes | int], asked: str) -> str:
    told = hashlib.blake2b(f"{first} {asked}".encode(), digest_size=12)
    for line in lines:
        told.update(b"\n%d " % line if isinstance(line, int) else b"\n%d:%b" % (len(line), line))
    return f"{number:08d}-{told.hexdigest()}.gz"


def _lines(file: BinaryIO, most: int) -> Iterator[tuple[bytes | int, int]]:
    """Yield each line without its end, or its length where it is over the limit, and the bytes that were read for it."""
    room = most + len(b"\r\n")
    while raw := file.readline(room):
        if len(raw) < room or raw.endswith(b"\n"):
            yield raw[: len(raw) - _end(raw)], len(raw)
            continue
        read, last = len(raw), raw[-1:]
        while not last.endswith(b"\n") and (more := file.readline(PIECE)):
            read, last = read + len(more), (last + more)[-2:]
        yield read - _end(last), read


def _end(raw: bytes) -> int:
    return 2 if raw.endswith(b"\r\n") else 1 if raw.endswith(b"\n") else 0
