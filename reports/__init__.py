"""Writers: a draft in, documents out. One table names them all.

Another package adds one as an entry point of the group `benchtalk.writers` that holds a `reports.Writer`.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib.metadata import entry_points

from extract.errors import BenchtalkError, CaseError
from extract.model import Document, Draft
from reports.base import Options, Picture, Signature, Writer, lazy

__all__ = ["Document", "Options", "Picture", "Writer", "get_writer", "publish", "write_case_files", "writers"]

ENTRY_POINTS = "benchtalk.writers"

_TABLE = (
    Writer("html", "printable page, one file", (".html",), lazy("html")),
    Writer("pdf", "A4 print, tagged, with bookmarks", (".pdf",), lazy("pdf", package="weasyprint", extra="pdf"), "pdf"),
    Writer("docx", "word processor document", (".docx",), lazy("docx", package="docx", extra="docx"), "docx"),
    Writer("markdown", "plain text with headings and lists", (".md",), lazy("markdown")),
    Writer("csv", "parts and tightening lists", (".csv",), lazy("lists")),
    Writer("xlsx", "workbook of all lists", (".xlsx",), lazy("xlsx", package="xlsxwriter", extra="xlsx"), "xlsx"),
    Writer("dita", "DITA 1.3 map, tasks, lists and filters", (".ditamap", ".dita", ".ditaval"), lazy("dita")),
    Writer("docbook", "DocBook 5 article with procedures", (".xml",), lazy("docbook")),
    Writer("chapters", "WebVTT chapters for the film", (".vtt",), lazy("vtt", function="write_chapters")),
    Writer("captions", "WebVTT of the talk, corrected", (".vtt",), lazy("vtt", function="write_captions")),
    Writer("json", "the draft itself", (".json",), lazy("draft_json")),
    Writer("schema", "JSON Schema of the draft", (".json",), lazy("draft_json", function="write_schema")),
)


def writers() -> dict[str, Writer]:
    """Return every writer by name: ours, then those that other packages register as entry points.

    Raises BenchtalkError for an entry point that does not hold a Writer.
    """
    table = {writer.name: writer for writer in _TABLE}
    for point in sorted(entry_points(group=ENTRY_POINTS), key=lambda p: p.name):
        if point.name not in table:
            table[point.name] = _third_party(point)
    return table


def get_writer(name: str) -> Writer:
    """Return the writer of that name; our own are found without looking at other packages."""
    for writer in _TABLE:
        if writer.name == name:
            return writer
    found = writers()
    if name not in found:
        raise CaseError(f"No output is called {name!r}.", remedy=f"Known outputs: {', '.join(found)}.")
    return found[name]


def publish(draft: Draft, names: Sequence[str], **options: object) -> dict[str, bytes]:
    """Write a draft in the named outputs: file name to bytes. `options` are those of `Options`.

    Raises CaseError for a name that is not known or a variant that the talk does not tell apart.
    """
    chosen = [get_writer(name) for name in names]
    made_for = Options(**options)
    files: dict[str, bytes] = {}
    for writer in chosen:
        files |= writer.write(draft, made_for)
    return files


def write_case_files(draft: Draft, signature: Signature = "unsigned") -> dict[str, bytes]:
    """Return what a case folder holds: draft.json, draft.md, draft.html, renewals.csv, torques.csv.

    `signature` is the state of the sign-off, which the caller finds out.
    """
    from reports import draft_json, html, lists, markdown
    from reports.view import view

    paper = view(draft, Options(edition="review", signature=signature))
    return {
        "draft.json": draft_json.dumps(draft),
        "draft.md": markdown.render(paper),
        "draft.html": html.render(paper),
        "renewals.csv": lists.renewals_csv(paper),
        "torques.csv": lists.torques_csv(paper),
    }


def _third_party(point) -> Writer:
    try:
        writer = point.load()
    except Exception as error:
        raise BenchtalkError(
            f"The output {point.name!r} of another package does not load: {error}",
            file=point.value,
            remedy="Update or remove that package.",
        ) from error
    if not isinstance(writer, Writer):
        raise BenchtalkError(
            f"The entry point {point.name!r} does not hold a reports.Writer.",
            file=point.value,
            remedy="Update or remove that package.",
        )
    return writer
