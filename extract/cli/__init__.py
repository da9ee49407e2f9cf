"""The command line: the only place that prints, and that turns errors into exit codes.

Each module here registers the commands of one group on the app. Anything heavy is imported inside the
command functions, so that `benchtalk --help` answers at once.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys

import typer

from extract.errors import BenchtalkError

EXIT_BAD_INPUT = 2


def make_app() -> typer.Typer:
    """Build the app with the commands of every module of this package that has a `register` function."""
    app = typer.Typer(
        name="benchtalk",
        help="From the timed transcript of a narrated strip-and-refit demonstration to a written procedure.",
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_enable=False,
    )
    for module in sorted(pkgutil.iter_modules(__path__), key=lambda found: found.name):
        register = getattr(importlib.import_module(f"{__name__}.{module.name}"), "register", None)
        if register is not None:
            register(app)
    return app


def main() -> None:
    """Run the command line; an error that the user can mend ends with its words and exit code 2."""
    try:
        make_app()()
    except BenchtalkError as error:
        print(f"benchtalk: {error}", file=sys.stderr)
        raise SystemExit(EXIT_BAD_INPUT) from None
    except BrokenPipeError:
        raise SystemExit(0) from None
