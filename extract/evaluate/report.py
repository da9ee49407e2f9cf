"""What an evaluation found: scores over all talks and of each, the errors, and floors to hold them against."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from extract.errors import GoldError
from extract.evaluate.context import TalkError
from extract.evaluate.scores import flag_table, reliability_table, role_table, score

#: Scores of which less is better: their floor is a ceiling.
LESS_IS_BETTER = frozenset(["burden", "burden_unflagged_talks", "trust_brier", "unclear_false_alarm"])


@dataclass(frozen=True)
class TalkReport:
    """Counts, scores and errors of one talk."""

    name: str
    counts: Counter[str]
    errors: Sequence[TalkError]
    scores: dict[str, float | None]


@dataclass(frozen=True)
class Report:
    """Scores pooled over the talks (counts summed), each talk, and every single error."""

    scores: dict[str, float | None]
    talks: tuple[TalkReport, ...]
    errors: tuple[TalkError, ...]
    roles: list[dict[str, Any]] = field(default_factory=list)
    flags: list[dict[str, Any]] = field(default_factory=list)
    reliability: list[dict[str, Any]] = field(default_factory=list)

    def to_json(self) -> str:
        """The report as JSON text, the same bytes for the same scores."""
        document = {
            "scores": _rounded(self.scores),
            "talks": [{"name": talk.name, "scores": _rounded(talk.scores)} for talk in self.talks],
            "roles": [_rounded(row) for row in self.roles],
            "flags": self.flags,
            "reliability": [_rounded(row) for row in self.reliability],
            "errors": [asdict(error) for error in self.errors],
        }
        return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def pool(talks: Sequence[TalkReport]) -> Report:
    """Sum the counts of the talks and score them together."""
    counts: Counter[str] = Counter()
    for talk in talks:
        for name, value in talk.counts.items():
            counts[name] += value
    return Report(
        scores=score(counts),
        talks=tuple(talks),
        errors=tuple(error for talk in talks for error in talk.errors),
        roles=role_table(counts),
        flags=flag_table(counts),
        reliability=reliability_table(counts),
    )


def load_floors(file: str | Path) -> dict[str, float]:
    """Read a JSON object of score name → floor. Raises GoldError on anything else."""
    try:
        floors = json.loads(Path(file).read_text(encoding="utf-8"))
    except OSError as error:
        raise GoldError(f"It can't be read: {error.strerror}.", file=file, remedy="Name a file of floors.") from error
    except json.JSONDecodeError as error:
        raise GoldError(f"It is no JSON: {error.msg}.", file=file, line=error.lineno, remedy="Mend it.") from error
    if not isinstance(floors, dict):
        raise GoldError("It is no JSON object.", file=file, remedy='Write {"step_f1": 0.9, …}.')
    known = score(Counter())
    for name, floor in floors.items():
        if not isinstance(floor, int | float) or isinstance(floor, bool):
            raise GoldError(f"The floor of {name} is no number.", file=file, remedy='Write {"step_f1": 0.9, …}.')
        if name not in known and not name.startswith("flag_recall_"):
            raise GoldError(f'There is no score "{name}".', file=file, remedy=f"Scores: {', '.join(known)}.")
    return floors


def check_floors(report: Report, floors: Mapping[str, float]) -> list[str]:
    """One sentence for each score under its floor (or over its ceiling, where less is better)."""
    failed = []
    for name, floor in floors.items():
        value = report.scores.get(name)
        if value is None:
            failed.append(f"{name} was not measured (floor {floor:g}).")
        elif name in LESS_IS_BETTER and value > floor:
            failed.append(f"{name} is {value:.4f}, over its ceiling of {floor:g}.")
        elif name not in LESS_IS_BETTER and value < floor:
            failed.append(f"{name} is {value:.4f}, under its floor of {floor:g}.")
    return failed


def _rounded(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: round(value, 6) if isinstance(value, float) else value for name, value in row.items()}
