"""Files for the readers' tests."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

DATA = Path(__file__).parent / "data"


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str, str | bytes], Path]:
    """Writes a file of the given name and content, and returns its path."""

    def write_file(name: str, content: str | bytes) -> Path:
        path = tmp_path / name
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        return path

    return write_file


@pytest.fixture
def data() -> Path:
    """The folder of sample files: `good` and `broken`."""
    return DATA
