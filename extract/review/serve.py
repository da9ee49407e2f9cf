"""Running the review page on this machine."""

from __future__ import annotations

import socket
from collections.abc import Callable
from pathlib import Path

import uvicorn

from extract.errors import CaseError
from extract.review.case import Case
from extract.review.guard import OPENING
from extract.review.server import FILM_TYPES, make_app

LOOPBACK = "127.0.0.1"


def serve(
    case: Case,
    *,
    reviewer: str,
    film: Path | None = None,
    host: str = LOOPBACK,
    port: int = 0,
    ready: Callable[[str], None],
) -> None:
    """Serve a case until interrupted. `ready` gets the opening address, which carries the secret.

    `port` 0 takes a free one. Errors: `CaseError` where the film or the address can't be used.
    """
    film = film or film_in(case.folder)
    if film is not None:
        _check_film(film)
    if host in ("0.0.0.0", "::", ""):
        raise CaseError(
            f"--host {host or '“”'} names no single address.",
            remedy="Give the address of this machine under which the others open the page.",
        )
    listener = _listen(host, port)
    port = listener.getsockname()[1]
    names = {host, "localhost"} if host == LOOPBACK else {host}
    hosts = frozenset(f"[{name}]:{port}" if ":" in name else f"{name}:{port}" for name in names)
    app, secret = make_app(case, reviewer=reviewer, hosts=hosts, film=film)
    shown = f"[{host}]" if ":" in host else host
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, limit_concurrency=64)
    server = uvicorn.Server(config)
    ready(f"http://{shown}:{port}{OPENING}?key={secret}")
    server.run(sockets=[listener])


def film_in(folder: Path) -> Path | None:
    """A file named `film` with the suffix of a film or sound in the case folder, or null.

    A link is passed over: it could lead to any file of the machine.
    """
    files = sorted(folder.glob("film.*"))
    found = [file for file in files if file.suffix.lower() in FILM_TYPES and file.is_file() and not file.is_symlink()]
    return found[0] if found else None


def _check_film(film: Path) -> None:
    if not film.is_file():
        raise CaseError("is not a file.", file=film, remedy="Give the film or the sound with --film FILE.")
    if film.suffix.lower() not in FILM_TYPES:
        kinds = ", ".join(sorted(FILM_TYPES))
        raise CaseError("is no film or sound that a browser plays.", file=film, remedy=f"Known: {kinds}.")


def _listen(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listener = socket.socket(family, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((host, port))
        # From here on a browser that is told the address waits instead of being refused.
        listener.listen(64)
    except OSError as error:
        listener.close()
        raise CaseError(
            f"can't listen on {host}, port {port}: {error.strerror}.", remedy="Choose another one with --port."
        ) from error
    return listener
