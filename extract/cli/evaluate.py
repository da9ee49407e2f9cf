"""`benchtalk evaluate`: score drafts against annotated talks."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extract.evaluate import Report


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="evaluate")(evaluate)


def evaluate(
    folder: Annotated[
        Path,
        typer.Argument(metavar="FOLDER", help="Folder with talks and their NAME.gold.jsonl (and NAME.refit.jsonl)."),
    ],
    json_file: Annotated[Path | None, typer.Option("--json", help="Write all scores and errors to this file.")] = None,
    errors: Annotated[bool, typer.Option("--errors", help="List every error by kind, with place and words.")] = False,
    only: Annotated[str | None, typer.Option("--only", help="Only talks whose name contains this.")] = None,
    floors: Annotated[
        Path | None, typer.Option("--floors", help="JSON of score → floor; exit 1 if one is missed.")
    ] = None,
) -> None:
    """Draft the annotated talks of a folder and score the drafts."""
    from extract.evaluate import check_floors, evaluate_folder, load_floors

    wanted = load_floors(floors) if floors is not None else {}
    report = evaluate_folder(folder, only=only)
    _print_scores(report)
    if errors:
        _print_errors(report)
    if json_file is not None:
        json_file.write_text(report.to_json(), encoding="utf-8")
    failed = check_floors(report, wanted)
    for sentence in failed:
        typer.echo(sentence, err=True)
    if failed:
        raise typer.Exit(1)


def _print_scores(report: Report) -> None:
    names = [talk.name for talk in report.talks]
    heads = [f"[{number}]" for number in range(1, len(names) + 1)]
    for head, name in zip(heads, names, strict=True):
        typer.echo(f"{head} {name}")
    typer.echo(f"\n{'score':<34}{'all':>8}" + "".join(f"{head:>8}" for head in heads))
    for name, value in report.scores.items():
        cells = [value, *(talk.scores.get(name) for talk in report.talks)]
        if any(cell is not None for cell in cells):
            typer.echo(f"{name:<34}" + "".join(f"{'–' if cell is None else f'{cell:.3f}':>8}" for cell in cells))
    typer.echo(f"\n{'role':<16}{'gold':>6}{'precision':>11}{'recall':>9}{'F1':>7}")
    for row in report.roles:
        cells = ["–" if row[name] is None else f"{row[name]:.3f}" for name in ("precision", "recall", "f1")]
        typer.echo(f"{row['role']:<16}{row['gold']:>6}{cells[0]:>11}{cells[1]:>9}{cells[2]:>7}")
    typer.echo(f"\n{'flag':<22}{'gold':>6}{'found':>7}{'raised':>8}{'named':>7}")
    for row in report.flags:
        typer.echo(f"{row['code']:<22}{row['gold']:>6}{row['hit']:>7}{row['raised']:>8}{row['named']:>7}")
    typer.echo(f"\n{'trust':<12}{'utterances':>12}{'mean trust':>12}{'clear':>8}")
    for row in report.reliability:
        span = f"{row['from']:.1f}–{row['to']:.1f}"
        typer.echo(f"{span:<12}{row['utterances']:>12}{row['mean_trust']:>12.3f}{row['clear']:>8.3f}")


def _print_errors(report: Report) -> None:
    by_kind: dict[str, list] = {}
    for error in report.errors:
        by_kind.setdefault(error.kind, []).append(error)
    for kind, found in sorted(by_kind.items(), key=lambda item: (-len(item[1]), item[0])):
        typer.echo(f"\n{kind} ({len(found)})")
        for error in found:
            time = "" if error.time_s is None else f"{int(error.time_s) // 60}:{error.time_s % 60:04.1f}"
            typer.echo(f"  {error.talk} {time:>7}  gold: {error.gold or '–'}  draft: {error.predicted or '–'}")
            if error.text:
                typer.echo(f"      {error.text}")
