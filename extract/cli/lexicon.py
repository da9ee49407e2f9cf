"""Commands for a workshop's own word lists."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def register(app: typer.Typer) -> None:
    """Add `benchtalk lexicon …` to the app."""
    group = typer.Typer(no_args_is_help=True, help="Check a workshop's own terms and verbs.")
    group.command("check")(check)
    app.add_typer(group, name="lexicon")


def check(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...", help="CSV tables of terms (term,kind,…) or of verbs (base,sense,plain,…), in UTF-8."
        ),
    ],
) -> None:
    """Check tables of terms or verbs: which line is wrong, why, and what to do."""
    from extract.lexicon import load

    for file in files:
        lexicon = load(file)
        terms = sum(term.source == str(file) for term in lexicon.terms)
        verbs = sum(verb.source == str(file) for verb in lexicon.verbs)
        typer.echo(f"{file}: {terms} terms and {verbs} verbs, no mistakes.")
