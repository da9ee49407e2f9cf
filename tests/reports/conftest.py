"""Shared by the tests of the writers: the sample draft and the comparison with golden files."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from bottom_bracket import bottom_bracket

from extract.model import Draft

GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture(scope="session")
def draft() -> Draft:
    return bottom_bracket()


@pytest.fixture
def golden() -> Callable[[str, bytes], None]:
    """Compare with a golden file; BENCHTALK_WRITE_GOLDEN=1 writes it instead, for a person to read in the diff."""

    def compare(name: str, data: bytes) -> None:
        file = GOLDEN / name
        if os.environ.get("BENCHTALK_WRITE_GOLDEN"):
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(data)
        assert data.decode() == file.read_bytes().decode()

    return compare
