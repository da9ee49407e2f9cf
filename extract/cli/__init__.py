"""The command line: the only place that prints, and that turns errors into exit codes.

Each module here registers the commands of one group on the app. Anything heavy is imported inside the
command functions, so that `benchtalk --help` answers at once.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from pathlib import Path

import typer

from extract.errors import BenchtalkError

EXIT_BAD_INPUT = 2
EXIT_OWN_FAULT = 3


def make_app() -> typer.Typer:
    """Build the app with the commands of every module of this package that has a `register` function."""
    app = typer.Typer(
        name="benchtalk",
        help="From the timed transcript of a narrated strip-and-refit demonstration to a written procedure.",
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,  # plain text: the same in a terminal, a pipe and a log
        pretty_exceptions_enable=False,
    )
    for module in sorted(pkgutil.iter_modules(__path__), key=lambda found: found.name):
        register = getattr(importlib.import_module(f"{__name__}.{module.name}"), "register", None)
        if register is not None:
            register(app)
    return app


def main() -> None:
    """Run the command line.

    An error that the user can mend ends with its words and exit code 2, a fault of the program with the place in its
    source and exit code 3; Python's development mode (`PYTHONDEVMODE=1`) shows the whole traceback of a fault.
    """
    try:
        make_app()()
    except BrokenPipeError:
        raise SystemExit(0) from None
    except (BenchtalkError, OSError) as error:
        print(f"benchtalk: {told(error)}", file=sys.stderr)
        raise SystemExit(EXIT_BAD_INPUT) from None
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        print(f"benchtalk: {own_fault(error)}", file=sys.stderr)
        raise SystemExit(EXIT_OWN_FAULT) from None


def told(error: BenchtalkError | OSError) -> str:
    """Say in one line what the user can mend."""
    if isinstance(error, BenchtalkError):
        return " ".join(str(error).split())
    place = f"{error.filename}: " if error.filename else ""
    return f"{place}can't be read or written: {error.strerror or error}. Check the name, the folder and its rights."


def own_fault(error: Exception) -> str:
    """Say in one line where the program itself failed."""
    place = error.__traceback__
    while place is not None and place.tb_next is not None:
        place = place.tb_next
    where = f" at {Path(place.tb_frame.f_code.co_filename).name}, line {place.tb_lineno}" if place else ""
    what = " ".join(f"{type(error).__name__} {error}".split())
    return f"a fault of benchtalk itself, not of your file ({what}{where}). Please report this line."
