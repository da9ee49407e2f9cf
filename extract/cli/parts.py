"""`benchtalk parts`: the parts, materials and tools to have ready for one film, or for a week of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from extract.model import Draft
    from extract.procedure.lists import PartsLine, ToolLine


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="parts")(parts)


def parts(
    sources: Annotated[
        list[Path],
        typer.Argument(metavar="TALK_OR_CASE", help="Talks (transcripts), case folders or draft.json files."),
    ],
    csv: Annotated[Path | None, typer.Option("--csv", help="Write the parts and materials to this CSV file.")] = None,
    xlsx: Annotated[Path | None, typer.Option("--xlsx", help="Write all lists to this workbook.")] = None,
) -> None:
    """List what must be on the bench: new parts, materials, tools. Several talks or cases are summed."""
    from extract.cli import EXIT_BAD_INPUT
    from extract.errors import BenchtalkError
    from extract.procedure.lists import combined, parts_list, sum_lists, tool_list

    drafts: list[Draft] = []
    failed = 0
    for source in sources:
        try:
            drafts.append(_draft(source))
        except BenchtalkError as error:
            failed += 1
            typer.echo(f"benchtalk: {error}", err=True)
    if drafts:
        many = len(drafts) > 1
        lines = sum_lists([parts_list(draft) for draft in drafts]) if many else parts_list(drafts[0])
        title = f"{len(drafts)} jobs" if many else drafts[0].title or drafts[0].source.name
        for line in table(title, lines, tool_list(drafts), many=many):
            typer.echo(line)
        chosen = combined(drafts) if many else drafts[0]
        if csv is not None:
            _write(chosen, "csv", "renewals.csv", csv)
        if xlsx is not None:
            _write(chosen, "xlsx", "lists.xlsx", xlsx)
    if failed:
        raise typer.Exit(EXIT_BAD_INPUT)


def table(title: str, lines: list[PartsLine], tools: list[ToolLine], *, many: bool) -> list[str]:
    """The list as lines of text: parts first, then materials, then tools."""
    told = [title]
    for heading, consumable in (("Parts to renew", False), ("Materials", True)):
        chosen = [line for line in lines if (line.kind == "consumable") == consumable]
        if not chosen:
            continue
        told += ["", heading]
        rows = [(_count(line), _name(line), _remarks(line, many)) for line in chosen]
        widths = [max(len(row[column]) for row in rows) for column in (0, 1)]
        told += [f"  {count:>{widths[0]}}  {name:<{widths[1]}}  {remarks}".rstrip() for count, name, remarks in rows]
    if len(told) == 1:
        told += ["", "  Nothing is said to be renewed or used up."]
    if tools:
        told += ["", f"Tools named in the {'talks' if many else 'talk'}"]
        width = max(len(tool.item) for tool in tools)
        told += [
            f"  {tool.item:<{width}}  {_steps(tool.places) if not many else _jobs(tool.jobs)}".rstrip()
            for tool in tools
        ]
    return told


def _count(line: PartsLine) -> str:
    if line.kind == "consumable":
        return line.amount or "-"
    return str(line.quantity) if line.quantity is not None else line.quantity_text or "?"


def _name(line: PartsLine) -> str:
    return f"{line.replaced_by} (in place of {line.item})" if line.replaced_by else line.item


def _remarks(line: PartsLine, many: bool) -> str:
    remarks = []
    if line.kind != "consumable" and line.quantity is None:
        remarks.append("count at the machine")
    if line.only_if:
        remarks.append(f"only {line.only_if}" if line.only_if.startswith("if ") else f"only if {line.only_if}")
    if line.applies:
        remarks.append(f"only if {' and '.join(line.applies)}")
    if line.optional:
        remarks.append(f"not needed where left out: {'; '.join(line.optional)}")
    if line.part_number:
        remarks.append(f"part number {line.part_number}")
    if line.places and not many:
        remarks.append(_steps(line.places))
    if line.start_s is not None and not many:
        remarks.append(f"film {int(line.start_s) // 60}:{int(line.start_s) % 60:02}")
    if many:
        remarks.append(_jobs(line.jobs))
    return "; ".join(remarks)


def _steps(places: Sequence[str]) -> str:
    return f"{'step' if len(places) == 1 else 'steps'} {', '.join(places)}" if places else ""


def _jobs(jobs: Sequence[str]) -> str:
    return f"for {'; '.join(jobs)}"


def _draft(source: Path) -> Draft:
    """The draft of a case, or one made from a transcript."""
    if source.is_dir() or source.name == "draft.json":
        from extract.cli.publish import load_draft

        return load_draft(source)
    import extract

    return extract.draft(source)


def _write(draft: Draft, writer: str, name: str, target: Path) -> None:
    import reports
    from extract.errors import BenchtalkError

    data = reports.get_writer(writer).write(draft, reports.Options())[name]
    try:
        target.write_bytes(data)
    except OSError as error:
        raise BenchtalkError(
            f"The list cannot be written ({error.strerror}).", file=target, remedy="Check the folder and its rights."
        ) from None
    typer.echo(f"Written: {target}", err=True)
