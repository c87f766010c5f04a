"""A copy of the tables that a test may damage."""

import shutil
from pathlib import Path

import pytest

from service.tables.book import HERE


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    return Path(shutil.copytree(HERE, tmp_path / "tables", ignore=shutil.ignore_patterns("__pycache__", "*.py")))
