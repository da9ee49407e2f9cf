"""Same draft, same bytes: whatever the time zone, the locale, the hash seed and the hour."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
SCRIPT = """
import hashlib, sys, time
from bottom_bracket import bottom_bracket
from every_writer import NAMES, outputs
from reports import Options, write_case_files
draft = bottom_bracket()
files = dict(write_case_files(draft))
for name in NAMES:
    files |= outputs(name, draft, Options())
for name in sorted(files):
    print(hashlib.sha256(files[name]).hexdigest(), name)
"""


def hashes(tmp_path: Path, **environment: str) -> str:
    tmp_path.mkdir(exist_ok=True)
    path = os.pathsep.join([str(HERE), str(HERE.parents[1])])
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        env={**os.environ, "PYTHONPATH": path, **environment},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout


def test_same_bytes_everywhere(tmp_path: Path) -> None:
    here = hashes(tmp_path / "a", TZ="UTC", LC_ALL="C", PYTHONHASHSEED="1")
    there = hashes(tmp_path / "b", TZ="Pacific/Auckland", LC_ALL="de_DE.UTF-8", PYTHONHASHSEED="2")
    assert here.count("\n") > 15
    assert here == there
