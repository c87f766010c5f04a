"""Where the answers of a run stand until they are whole: a folder beside the file they become."""

import fcntl
import gzip
import os
import re
import zlib
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, Self

import orjson

from service.bulk.errors import BulkError

NAMED = 5
"""So many refused lines are named at the end."""
_HEAD = re.compile(rb'\{"line":(\d+),"status":(\d+),"answer":')


_OURS = re.compile(r"\d{8}-[0-9a-f]+\.gz(\.half)?")
"""Names that parts have, whichever run made them."""


def folder_of(answers: Path) -> Path:
    """Return the folder in which the parts of a file of answers stand."""
    return answers.with_name(f"{answers.name}.parts")


@dataclass(slots=True)
class Tally:
    """What came of the lines."""

    lines: int = 0
    refused: int = 0
    first_refused: list[str] = field(default_factory=list)

    def add(self, line: bytes) -> None:
        """Count one answered line."""
        head = _HEAD.match(line)
        if head is None:
            raise ValueError("no answered line")
        self.lines += 1
        if head[2] != b"200":
            self.refused += 1
            if len(self.first_refused) < NAMED:
                self.first_refused.append(f"{int(head[1])} {orjson.loads(line)['answer']['code']}")


class Folder:
    """The folder of one run on one file of answers; a second run on the same file is refused while the first one goes on."""

    def __init__(self, answers: Path) -> None:
        self.answers = answers
        self.path = folder_of(answers)
        self._lock, self._whole = self.path / "lock", self.path / "whole"

    def __enter__(self) -> Self:
        """Make the folder and lock it."""
        while True:
            self.path.mkdir(exist_ok=True)
            try:
                self._held = os.open(self._lock, os.O_RDWR | os.O_CREAT, 0o666)
            except FileNotFoundError:  # the run before this one has just removed the folder
                continue
            try:
                fcntl.flock(self._held, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                os.close(self._held)
                raise BulkError(f"{self.answers}: another run is writing it") from None
            if self._locked():
                return self
            os.close(self._held)  # it has just removed the lock that was opened here

    def _locked(self) -> bool:
        """Whether the file that is locked is the one that stands in the folder."""
        try:
            return os.path.samestat(os.fstat(self._held), self._lock.stat())
        except FileNotFoundError:
            return False

    def __exit__(self, *_: object) -> None:
        """Let go of the lock; what is finished stays for the next run."""
        os.close(self._held)

    def has(self, name: str) -> bool:
        """Return whether a part is answered: what stands under its name is whole."""
        return (self.path / name).exists()

    def keep(self, name: str, packed: bytes) -> None:
        """Write the answers of a part, on the disk before they get their name."""
        half = self.path / f"{name}.half"
        try:
            _write(half, packed)
        except OSError:
            half.unlink(missing_ok=True)
            raise
        half.replace(self.path / name)

    def join(self, names: list[str]) -> Tally:
        """Put the answers of all parts into one file, in order, and remove the folder.

        Raises
        ------
        BulkError
            The answers of a part are damaged; they are removed, so that the next run makes them anew.
        """
        tally = Tally()
        try:
            with self._whole.open("wb") as out:
                for name in names:
                    self._unpack(name, out, tally)
                out.flush()
                os.fsync(out.fileno())
        except OSError:
            self._whole.unlink(missing_ok=True)
            raise
        self._whole.replace(self.answers)
        for left in (*(p for p in self.path.iterdir() if _OURS.fullmatch(p.name)), self._lock):
            left.unlink()
        with suppress(OSError):  # the next run is already there, or somebody keeps something in it
            self.path.rmdir()
        return tally

    def _unpack(self, name: str, out: BinaryIO, tally: Tally) -> None:
        """Append the answers of one part."""
        path = self.path / name
        with gzip.open(path) as part:
            while True:
                try:
                    line = part.readline()
                    if line:
                        tally.add(line)
                except (gzip.BadGzipFile, EOFError, zlib.error, ValueError):
                    path.unlink()
                    raise BulkError(f"{path}: was damaged and is removed; run the same command again") from None
                if not line:
                    return
                out.write(line)


def _write(path: Path, raw: bytes) -> None:
    with path.open("wb") as out:
        out.write(raw)
        out.flush()
        os.fsync(out.fileno())
