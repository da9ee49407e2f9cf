"""What the tests of all writers share: every output of a draft, and all words that a reader could find in a file."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

from pypdf import PdfReader

from extract.model import Draft
from reports import Options, get_writer
from reports.base import Writer

NAMES = ("html", "pdf", "docx", "markdown", "csv", "xlsx", "dita", "docbook", "chapters", "captions", "json")

# Keys of the draft that hold words of people; everything else is an id, a number or one of a fixed set.
# fmt: off
FREE_TEXT = {
    "title", "machine", "type", "number", "revision", "author", "name", "text", "corrected", "speaker",
    "spoken_action", "action", "manner", "tools", "what", "unit", "reason", "item", "position", "quantity_text",
    "replaced_by", "amount_unit", "amount_text", "only_if", "part_number", "joint", "size", "grade", "order",
    "reference", "spoken", "axis", "value", "values", "message", "why", "hazard", "basis", "made_by", "direction",
    "component",
}
# fmt: on


def mapped(draft: Draft, change: Callable[[str], str]) -> Draft:
    """Return the draft with every free text changed."""

    def walk(node: object, key: str = "") -> object:
        if isinstance(node, dict):
            return {name: walk(value, name) for name, value in node.items()}
        if isinstance(node, list):
            return [walk(value, key) for value in node]
        return change(node) if isinstance(node, str) and key in FREE_TEXT else node

    return Draft.model_validate(walk(draft.model_dump(mode="json")))


def outputs(name: str, draft: Draft, options: Options) -> dict[str, bytes]:
    writer: Writer = get_writer(name)
    return writer.write(draft, options)


def all_words(file: str, data: bytes) -> str:
    """Everything that can be read in a file, hidden places included."""
    if file.endswith(".pdf"):
        reader = PdfReader(io.BytesIO(data))
        bookmarks = "\n".join(str(mark) for mark in reader.outline)
        return "\n".join([*(page.extract_text() for page in reader.pages), bookmarks, str(reader.metadata)])
    if file.endswith((".docx", ".xlsx")):
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return "\n".join(
                archive.read(name).decode("utf-8", "replace")
                for name in archive.namelist()
                if name.endswith((".xml", ".rels"))
            )
    return file + "\n" + data.decode()
