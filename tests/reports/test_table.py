from __future__ import annotations

from importlib.metadata import EntryPoint

import pytest

import reports
from extract.errors import BenchtalkError, CaseError
from extract.model import Draft
from reports import Options, Writer, get_writer, writers

OURS = ["html", "pdf", "docx", "markdown", "csv", "xlsx", "dita", "docbook", "chapters", "captions", "json", "schema"]


def write_count(draft: Draft, options: Options) -> dict[str, bytes]:
    return {"count.txt": str(len(draft.steps)).encode()}


COUNT = Writer("count", "how many steps", (".txt",), write_count)
NO_WRITER = "just text"


def register(monkeypatch: pytest.MonkeyPatch, *points: EntryPoint) -> None:
    monkeypatch.setattr(reports, "entry_points", lambda group: [p for p in points if p.group == group])


def point(name: str, value: str) -> EntryPoint:
    return EntryPoint(name, value, reports.ENTRY_POINTS)


def test_our_outputs() -> None:
    assert [name for name in writers() if name in OURS] == OURS


@pytest.mark.parametrize("name", OURS)
def test_an_output_writes_the_suffixes_that_it_names(draft: Draft, name: str) -> None:
    writer = get_writer(name)
    files = writer.write(draft, Options())
    assert files and all(file.endswith(writer.suffixes) for file in files)
    assert not [file for file in files if file.startswith("/") or ".." in file]


def test_another_package_adds_an_output(draft: Draft, monkeypatch: pytest.MonkeyPatch) -> None:
    register(monkeypatch, point("count", "test_table:COUNT"))
    assert get_writer("count").write(draft, Options()) == {"count.txt": b"5"}
    assert list(writers())[-1] == "count"


def test_another_package_cannot_replace_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    register(monkeypatch, point("html", "test_table:COUNT"))
    assert writers()["html"].name == "html"


@pytest.mark.parametrize("value", ["test_table:NO_WRITER", "test_table:MISSING", "no_such_module:X"])
def test_an_entry_point_that_is_no_writer(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    register(monkeypatch, point("odd", value))
    with pytest.raises(BenchtalkError, match="odd"):
        get_writer("odd")


def test_an_unknown_output() -> None:
    with pytest.raises(CaseError, match="papyrus"):
        get_writer("papyrus")
