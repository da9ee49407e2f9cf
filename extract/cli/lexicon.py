"""Commands for a workshop's own word lists."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def register(app: typer.Typer) -> None:
    """Add `benchtalk lexicon …` to the app."""
    group = typer.Typer(no_args_is_help=True, help="Check your own terms and verbs; learn new ones from reviews.")
    group.command("check")(check)
    group.command("learn")(learn)
    app.add_typer(group, name="lexicon")


def check(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE", help="CSV tables of terms (term,kind,…) or of verbs (base,sense,plain,…), in UTF-8."
        ),
    ],
) -> None:
    """Check tables of terms or verbs. A mistake is told with its line and what to do."""
    from extract.lexicon import load

    for file in files:
        lexicon = load(file)
        terms = sum(term.source == str(file) for term in lexicon.terms)
        verbs = sum(verb.source == str(file) for verb in lexicon.verbs)
        typer.echo(f"{file}: no mistakes (terms: {terms}, verb senses: {verbs}).")


def learn(
    cases: Annotated[list[Path], typer.Argument(metavar="CASE", help="Reviewed cases: folders or draft.json.")],
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Your own table of terms; new ones are added at its end.")
    ] = None,
) -> None:
    """Propose words that reviewers wrote and the lexicon lacks. Each comes with its sentences."""
    from extract.lexicon import load
    from extract.lexicon_tables import decode
    from extract.review.case import Case
    from extract.review.learning import propose, terms_csv
    from extract.review.log import write_atomically

    opened = [Case.open(case) for case in cases]
    own = {table.read_bytes(): table for case in opened for table in case.lexicons}
    if output is not None and output.exists():
        own[output.read_bytes()] = output
    parts, verbs = propose([case.outcome() for case in opened], load(*own.values()))
    for proposal in (*parts, *verbs):
        typer.echo(f"{proposal.word}  ({proposal.kind})")
        for sentence in proposal.evidence:
            typer.echo(f"    {sentence}")
    if not parts and not verbs:
        typer.echo("Nothing new to learn.")
    if verbs:
        typer.echo("Verbs need a sense and a plain verb: add them to your table of verbs (base,sense,plain) by hand.")
    if output is not None and parts:
        before = decode(output.read_bytes(), str(output)) if output.exists() else ""
        write_atomically(output, terms_csv(parts, before).encode())
        typer.echo(
            f"{output}: added {len(parts)} to its terms. Read through what is new, then: benchtalk lexicon check {output}"
        )
