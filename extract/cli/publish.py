"""`benchtalk publish`, `benchtalk lint`, `benchtalk schema`: documents out of a case, and how they are written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from extract.model import Document, Draft


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(name="publish")(publish)
    app.command(name="lint")(lint)
    app.command(name="schema")(schema)


def publish(
    case: Annotated[Path, typer.Argument(metavar="CASE", help="Case folder or its draft.json.")],
    names: Annotated[
        str | None, typer.Option("--as", help="Outputs, separated by commas. Without it: a list of all outputs.")
    ] = None,
    only: Annotated[
        list[str] | None, typer.Option("--only", help='One variant: "axis=value". Again for another axis.')
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", help="TOML: machine, type, number, revision, author, english (uk or us).")
    ] = None,
    film: Annotated[Path | None, typer.Option("--film", help="The film, for stills.")] = None,
    stills: Annotated[str, typer.Option(help="Which steps get a still of the film: none, needed or all.")] = "needed",
    chapters: Annotated[str, typer.Option(help="A film chapter for each: section or step.")] = "section",
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Folder for the documents; default: published/ in the case.")
    ] = None,
) -> None:
    """Write the documents of a case. They are for print, word processors, documentation systems and the film."""
    import reports
    from extract.errors import CaseError
    from extract.review.signoff import signature_state
    from reports.select import only_variant, parse_only
    from reports.text import slug

    if names is None:
        for writer in reports.writers().values():
            extra = f"  (needs benchtalk[{writer.extra}])" if writer.extra else ""
            typer.echo(f"{writer.name:<10} {writer.about}{extra}")
        return
    if chapters not in ("section", "step"):
        raise CaseError(f"--chapters {chapters!r} is not known.", remedy="Choose section or step.")
    chosen = [name.strip() for name in names.split(",") if name.strip()]
    if not chosen:
        raise CaseError("--as names no output.", remedy="Try: benchtalk publish CASE --as html,csv")
    for output_name in chosen:
        reports.get_writer(output_name)  # a wrong name is said before a long film is read
    draft = load_draft(case)
    variant = parse_only(only or ())
    pictures = {}
    if film is not None:
        from reports.stills import take

        pictures = take(only_variant(draft, variant) if variant else draft, film, stills)
        if not pictures and stills != "none":
            typer.echo("No still was taken: no step that needs one has a time and a sharp frame in the film.", err=True)
    files = reports.publish(
        draft,
        chosen,
        only=variant,
        document=read_job(job) if job is not None else reports.Document(),
        signature=signature_state(draft),
        pictures=pictures,
        chapters=chapters,
    )
    home = case if case.is_dir() else case.parent
    name = "-".join(["published", *(slug(f"{axis}-{value}") for axis, value in variant)])
    folder = output if output is not None else home / name
    for file, data in sorted(files.items()):
        _write(folder / file, data)
        typer.echo(str(folder / file))


def lint(
    case: Annotated[Path, typer.Argument(metavar="CASE", help="Case folder or its draft.json.")],
    rules: Annotated[bool, typer.Option("--rules", help="Name each rule with its source below the points.")] = False,
) -> None:
    """Check how the instructions are written. Length, one act each, condition first, warnings, names; exit 1: points."""
    from extract import lexicon
    from extract.procedure.writing_rules import RULES, check, passing

    draft = load_draft(case)
    points = check(draft, lexicon.load())
    for point in points:
        typer.echo(f"{point.place}: {point.why} [{point.rule.id}]\n    {point.text}")
    good, count = passing(draft, points)
    typer.echo(
        f"{good} of {count} instructions keep to all rules; {len(points)} point{'' if len(points) == 1 else 's'}."
    )
    named = {point.rule.id for point in points}
    for rule in RULES:
        if rules and rule.id in named:
            typer.echo(f"{rule.id}: {rule.asks} ({rule.source})")
    typer.echo("These checks help the writer. They do not show that a text conforms to any standard.")
    if points:
        raise typer.Exit(1)


def schema(
    output: Annotated[Path | None, typer.Option("-o", "--output", help="Write to this file instead.")] = None,
) -> None:
    """Print the JSON Schema of draft.json."""
    from reports.draft_json import schema as draft_schema

    if output is None:
        typer.echo(draft_schema().decode(), nl=False)
    else:
        _write(output, draft_schema())


def load_draft(case: Path) -> Draft:
    """Read a case's draft from its folder or the `draft.json` itself.

    Raises CaseError where there is none, or where it is not a draft of this version.
    """
    from pydantic import ValidationError

    from extract.errors import CaseError
    from extract.model import Draft
    from extract.review.case import catch_up

    file = case / "draft.json" if case.is_dir() else case
    catch_up(file.parent)
    try:
        return Draft.model_validate_json(file.read_bytes())
    except OSError as error:
        raise CaseError(
            f"can't be read: {error.strerror}.", file=file, remedy="Make a case with: benchtalk draft TALK -o FOLDER"
        ) from error
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise CaseError(
            f"is not a draft: {first['msg']}{f' at {place}' if place else ''}.",
            file=file,
            remedy="Draft the talk again with: benchtalk draft",
        ) from error


def read_job(file: Path) -> Document:
    """Read a job file. Raises CaseError with the key at fault."""
    import tomllib

    from pydantic import ValidationError

    from extract.errors import CaseError
    from extract.model import Document

    known = ", ".join(Document.model_fields)
    try:
        return Document.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))
    except OSError as error:
        raise CaseError(
            f"can't be read: {error.strerror}.", file=file, remedy="Name the job file with --job."
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise CaseError(f"is not TOML: {error}.", file=file, remedy='Write lines such as: machine = "…"') from error
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        wrong = "is no key of a job file" if first["type"] == "extra_forbidden" else "has a value of the wrong kind"
        remedy = f'Keys: {known}; all are text in quotes, english is "uk" or "us".'
        raise CaseError(f"{key} {wrong}.", file=file, remedy=remedy) from error


def _write(target: Path, data: bytes) -> None:
    from extract.errors import CaseError

    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    except OSError as error:
        raise CaseError(f"can't be written: {error.strerror}.", file=target) from error
