"""Zip containers with the same bytes whenever and wherever they are written."""

from __future__ import annotations

import io
import zipfile

EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip entry can carry


def fixed_zip(data: bytes) -> bytes:
    """Return the same archive with fixed times, rights and system, entries in their own order."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            entry = zipfile.ZipInfo(name, date_time=EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = 0
            new.writestr(entry, old.read(name), compresslevel=6)
    return out.getvalue()
