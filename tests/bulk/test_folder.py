"""What is kept between runs: whole parts alone, for one run at a time."""

import gzip
import os
from pathlib import Path

import pytest

from service.bulk.errors import BulkError
from service.bulk.folder import Folder


def lines(first: int, *statuses: int) -> bytes:
    told = (b'{"line":%d,"status":%d,"answer":{"code":"c%d"}}\n' % (first + i, s, s) for i, s in enumerate(statuses))
    return b"".join(told)


def test_parts_are_joined_in_their_order_and_the_folder_is_gone(tmp_path: Path) -> None:
    with Folder(tmp_path / "answers") as folder:
        folder.keep("00000002-0b.gz", gzip.compress(lines(3, 200)))
        folder.keep("00000001-0a.gz", gzip.compress(lines(1, 200, 422)))
        folder.keep("00000001-0c.gz", b"")
        tally = folder.join(["00000001-0a.gz", "00000002-0b.gz"])
    assert (tmp_path / "answers").read_bytes() == lines(1, 200, 422, 200)
    assert (tally.lines, tally.refused, tally.first_refused) == (3, 1, ["2 c422"])
    assert os.listdir(tmp_path) == ["answers"]


def test_the_first_refused_lines_are_named_and_all_are_counted(tmp_path: Path) -> None:
    with Folder(tmp_path / "answers") as folder:
        folder.keep("00000001-0a.gz", gzip.compress(lines(1, *[400] * 9)))
        tally = folder.join(["00000001-0a.gz"])
    assert (tally.refused, tally.first_refused) == (9, [f"{n} c400" for n in range(1, 6)])


def test_a_half_written_part_is_no_part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    with Folder(tmp_path / "answers") as folder:
        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(OSError, match="No space"):
            folder.keep("00000001-0a.gz", b"x")
        assert not folder.has("00000001-0a.gz")
        assert os.listdir(folder.path) == ["lock"]


@pytest.mark.parametrize("left", [5, -5], ids=["cut short", "cut at its end"])
def test_a_damaged_part_is_removed_and_told(tmp_path: Path, left: int) -> None:
    (tmp_path / "answers").write_bytes(b"before")
    with Folder(tmp_path / "answers") as folder:
        folder.keep("00000001-0a.gz", gzip.compress(lines(1, 200))[:left])
        with pytest.raises(BulkError, match=r"a\.gz: was damaged and is removed"):
            folder.join(["00000001-0a.gz"])
        assert not folder.has("00000001-0a.gz")
    assert (tmp_path / "answers").read_bytes() == b"before"


def test_a_changed_byte_is_damage(tmp_path: Path) -> None:
    packed = bytearray(gzip.compress(lines(1, *[200] * 50)))
    packed[-8] ^= 1  # of the checksum, RFC 1952 section 2.3.1
    with Folder(tmp_path / "answers") as folder:
        folder.keep("00000001-0a.gz", bytes(packed))
        with pytest.raises(BulkError, match="damaged"):
            folder.join(["00000001-0a.gz"])


def test_one_run_at_a_time(tmp_path: Path) -> None:
    with Folder(tmp_path / "answers"), pytest.raises(BulkError, match="another run is writing it"), Folder(tmp_path / "answers"):
        pass
    with Folder(tmp_path / "answers") as folder, Folder(tmp_path / "others"):
        folder.join([])
    with Folder(tmp_path / "answers"):
        pass


def test_what_somebody_else_keeps_there_stays(tmp_path: Path) -> None:
    with Folder(tmp_path / "answers") as folder:
        for name in ("notes.txt", "backup.gz"):
            (folder.path / name).write_text("mine", encoding="utf-8")
        folder.join([])
    assert sorted(os.listdir(folder.path)) == ["backup.gz", "notes.txt"]
    assert (folder.path / "backup.gz").read_text(encoding="utf-8") == "mine"
