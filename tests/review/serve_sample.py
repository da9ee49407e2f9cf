"""Serve a case of the sample talk: `serve_sample.py FOLDER [FILM]`. Prints the opening address."""

from __future__ import annotations

import sys
from pathlib import Path

from sample_case import ENGINE

from extract.review.case import Case
from extract.review.serve import serve

if __name__ == "__main__":
    film = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    serve(
        Case.open(Path(sys.argv[1]), ENGINE),
        reviewer="Ada",
        film=film,
        ready=lambda address: print(address, flush=True),
    )
