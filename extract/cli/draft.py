"""`benchtalk draft`: from transcripts to case folders."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extract.model import Draft
    from extract.review.case import CaseChange


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="draft")(draft)


def draft(
    talks: Annotated[
        list[Path], typer.Argument(metavar="TALK", help="Transcripts: WebVTT, SubRip, TTML, CTM, JSON Lines, text.")
    ],
    output: Annotated[Path, typer.Option("-o", "--output", help="Folder for the case folders, one a talk.")],
    join: Annotated[bool, typer.Option("--join", help="The files are recordings of one job, in this order.")] = False,
    format: Annotated[str | None, typer.Option("--format", help="Name the format instead of finding it out.")] = None,
    lexicon: Annotated[
        list[Path] | None, typer.Option("--lexicon", help="Your own terms or verbs (CSV), laid over the shipped ones.")
    ] = None,
    unclear_below: Annotated[
        float, typer.Option("--unclear-below", min=0.0, max=1.0, help="Trust under which words count as unclear.")
    ] = 0.5,
    equipment_caution: Annotated[
        bool, typer.Option("--equipment-caution", help="Write CAUTION, not NOTICE, for damage to the equipment.")
    ] = False,
) -> None:
    """Draft a procedure for each talk. It goes into OUTPUT/<name of the talk>/; an existing case keeps its decisions."""
    from extract.cli import EXIT_BAD_INPUT, EXIT_OWN_FAULT, own_fault, told
    from extract.errors import BenchtalkError, CaseError
    from extract.lexicon import load
    from extract.review.case import update
    from extract.settings import Settings

    load(*(lexicon or ()))  # a mistake in it is told once, before any case is touched
    settings = Settings(unclear_below=unclear_below, equipment_caution=equipment_caution)
    jobs = [tuple(talks)] if join else [(talk,) for talk in talks]
    done: list[tuple[str, Draft, CaseChange]] = []
    failed: list[str] = []
    code = 0
    first: dict[str, Path] = {}
    with typer.progressbar(
        jobs, label="Drafting", show_pos=True, file=sys.stderr, hidden=not sys.stderr.isatty()
    ) as waiting:
        for files in waiting:
            name = files[0].stem
            try:
                if first.setdefault(name, files[0]) is not files[0]:
                    raise CaseError(
                        f"would overwrite the case {name!r} that {first[name]} has just made.",
                        file=files[0],
                        remedy="Rename the file, draft it into another folder, or join both with --join.",
                    )
                written, change = update(files, output / name, lexicons=lexicon or (), settings=settings, format=format)
                done.append((name, written, change))
            except (BenchtalkError, OSError) as error:
                failed.append(told(error))
                code = max(code, EXIT_BAD_INPUT)
            except Exception as error:
                if sys.flags.dev_mode:
                    raise
                failed.append(f"{files[0]}: {own_fault(error)}")
                code = EXIT_OWN_FAULT
    for line in _table(done):
        typer.echo(line)
    for name, written, change in done:
        for warning in written.source.warnings:
            place = f"{warning.file}, line {warning.line}" if warning.line else warning.file
            typer.echo(f"{place}: {warning.message}", err=True)
        for line in change.lines():
            typer.echo(f"{name}: {line}")
        if not written.steps:
            typer.echo(
                f"{name}: No step was found. The end of draft.html says what each sentence was taken for.", err=True
            )
    for error in failed:
        typer.echo(f"benchtalk: {error}", err=True)
    if failed and len(jobs) > 1:
        typer.echo(f"{len(done)} of {len(jobs)} talks drafted.", err=True)
    if code:
        raise typer.Exit(code)


def _table(done: list[tuple[str, Draft, CaseChange]]) -> list[str]:
    if not done:
        return []
    width = max(len("talk"), *(len(name) for name, _, _ in done))
    heads = f"{'talk':<{width}}  {'steps':>5}  {'refit':>5}  {'renewals':>8}  {'stop':>4}  {'check':>5}"
    lines = [heads]
    for name, written, _ in done:
        open_points = [flag.severity for flag in written.flags if flag.state == "open"]
        renewals = sum(1 for renewal in written.renewals if renewal.same_as is None)
        lines.append(
            f"{name:<{width}}  {len(written.steps):>5}  {len(written.refit):>5}  {renewals:>8}  "
            f"{open_points.count('stop'):>4}  {open_points.count('check'):>5}"
        )
    return lines
