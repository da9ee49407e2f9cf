"""Speed and memory, run by hand: python tests/speed/measure.py

Compares the whole program (understanding, refit, flags, JSON) with spaCy's blank tokenizer on the same text in
the same process, CPU time of one process; tells how cost grows with the length of a talk and the size of the
lexicon; times the command cold. Absolute figures move with the machine: compare the ratios.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections import Counter
from inspect import isfunction
from pathlib import Path
from statistics import median

import spacy

import extract
from extract import pipeline
from extract.lexicon import load
from extract.model import Cue, Talk, Word

ROOT = Path(__file__).parents[2]
TALKS = sorted(
    path
    for path in (ROOT / "corpora_demo").iterdir()
    if path.with_name(path.name.split(".")[0] + ".gold.jsonl").exists()
    and not path.name.endswith((".gold.jsonl", ".refit.jsonl"))
)

#: Runs the command line and tells its CPU seconds and peak memory (VmHWM, kB) on the last line of stderr.
CHILD = """
import sys, time
from extract.cli import main
try:
    main()
except SystemExit:
    pass
peak = next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM"))
print(f"\\n{time.process_time()} {peak}", file=sys.stderr)
"""


#: Functions of the pipeline that run the stages, or run inside them.
_NO_STAGES = frozenset({"draft", "understand", "load", "replace"})


def cpu(work) -> float:
    """Seconds of CPU that `work` takes."""
    start = time.process_time()
    work()
    return time.process_time() - start


def joined(talks: list[Talk], times: int) -> Talk:
    """One long talk: the given ones, `times` times over."""
    words: list[Word] = []
    cues: list[Cue] = []
    for _ in range(times):
        for talk in talks:
            words += [
                word._replace(start_s=None, end_s=None, interpolated=False, cue=word.cue + len(cues))
                for word in talk.words
            ]
            cues += [cue._replace(start_s=None, end_s=None) for cue in talk.cues]
    return talks[0].model_copy(update={"words": tuple(words), "cues": tuple(cues), "times": "none", "duration_s": None})


def draft(talk: Talk, lexicon=None) -> bytes:
    return json.dumps(pipeline.draft(talk, lexicon=lexicon).model_dump(mode="json")).encode()


def shares(talks: list[Talk]) -> list[tuple[str, float]]:
    """The share of each stage in the CPU time of the whole program, largest first; a stage calls no other one."""
    seconds: Counter[str] = Counter()
    stages = {name: stage for name, stage in vars(pipeline).items() if isfunction(stage) and name not in _NO_STAGES}

    def timed(name: str, stage):
        def run(*given, **named):
            start = time.process_time()
            try:
                return stage(*given, **named)
            finally:
                seconds[name] += time.process_time() - start

        return run

    try:
        for name, stage in stages.items():
            setattr(pipeline, name, timed(name, stage))
        whole = cpu(lambda: [draft(talk) for talk in talks])
    finally:
        for name, stage in stages.items():
            setattr(pipeline, name, stage)
    return [(name, spent / whole) for name, spent in seconds.most_common() if spent > whole / 100]


def main() -> None:
    talks = [extract.read(path) for path in TALKS]
    words = sum(len(talk.words) for talk in talks)
    text = [" ".join(word.text for word in talk.words) for talk in talks]
    tokenizer = spacy.blank("en")
    for part in text:
        tokenizer(part)
    for talk in talks:
        draft(talk)
    rounds = 5
    tokens = min(cpu(lambda: [tokenizer(part) for part in text]) for _ in range(rounds))
    whole = min(cpu(lambda: [draft(talk) for talk in talks]) for _ in range(rounds))
    print(
        f"words {words}; tokenizer {words / tokens:,.0f}/s; whole program {words / whole:,.0f}/s; ratio {tokens / whole:.4f}"
    )

    print("shares: " + ", ".join(f"{name} {share:.0%}" for name, share in shares(talks)))

    short, long = joined(talks, 1), joined(talks, 10)
    draft(short)
    ratios = [cpu(lambda: draft(long)) / cpu(lambda: draft(short)) / 10 for _ in range(3)]
    print(f"growth, ten times the talk, per word: {median(ratios):.2f} (of three runs)")

    with tempfile.TemporaryDirectory() as folder:
        terms = Path(folder) / "terms.csv"
        rows = [f"made-{i},made{i} part{i},,,made{i} parts{i},part," for i in range(9 * len(load().term_forms()) // 3)]
        terms.write_text("id,term,us,others,plural,kind,remarks\n" + "\n".join(rows) + "\n", encoding="utf-8")
        big = load(terms)
    pipeline.draft(talks[0], lexicon=big)
    small = min(cpu(lambda: [draft(talk) for talk in talks]) for _ in range(2))
    large = min(cpu(lambda: [draft(talk, big) for talk in talks]) for _ in range(2))
    print(f"growth, ten times the lexicon: {large / small:.2f}")

    for name, command in (
        ("benchtalk --help", ["--help"]),
        ("one talk, cold, all outputs", ["draft", str(TALKS[0]), "-o", tempfile.mkdtemp()]),
    ):
        start = time.perf_counter()
        told = subprocess.run([sys.executable, "-c", CHILD, *command], check=True, capture_output=True, text=True)
        wall = time.perf_counter() - start
        seconds, kilobytes = told.stderr.splitlines()[-1].split()
        print(f"{name}: {wall:.2f} s wall, {float(seconds):.2f} s CPU, peak memory {int(kilobytes) / 1024:.0f} MB")


if __name__ == "__main__":
    main()
