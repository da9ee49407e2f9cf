"""Acts without the one that makes them safe, and acts that are not normally done to such a part."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from extract.errors import LexiconError
from extract.findings.cautions import act_line
from extract.language.heard import Heard
from extract.rules import Rule, load_rules
from extract.speech import Action, ConditionFound, FlagFound

_COLUMNS = ("id", "verbs", "parts", "words", "why", "exceptions")
_UNUSUAL = "lexicons/unusual.csv"
#: "let the air out first": a precaution that is told right behind the act.
_TOLD_AFTER = re.compile(r"\b(?:first|before(?:hand)?|should have|forgot|already)\b")


@dataclass(frozen=True, slots=True)
class Unusual:
    """What is not normally done: base verbs, part names, words of the sentence, and words that make it normal.

    Where both parts and words are given, either both must hold ("break-part") or, without parts, the words alone.
    """

    id: str
    verbs: re.Pattern[str]
    parts: re.Pattern[str] | None
    words: re.Pattern[str] | None
    why: str
    exceptions: re.Pattern[str] | None

    def found_in(self, act: Action, names: Sequence[str], text: str) -> str | None:
        """The name of the thing that the act, told in the lower-case sentence `text`, is not done to; null if it is."""
        if not self.verbs.fullmatch(act.verb) or (self.exceptions is not None and self.exceptions.search(text)):
            return None
        if self.words is not None and self.words.search(text) is None:
            return None
        if self.parts is None:
            return names[0] if names else "part"
        return next((name for name in names if self.parts.search(name.lower())), None)


def find_precaution_flags(
    heard: Heard, actions: Sequence[Action], conditions: Sequence[ConditionFound], deaf: frozenset[int]
) -> tuple[FlagFound, ...]:
    """At most one `missing_precaution` a hazard, and one `unusual_action` a sentence, in the order of the talk."""
    working = [act for act in actions if act.phase == "work" and not act.negated and act.place.utterance not in deaf]
    found = [*_missing(heard, working, conditions, deaf), *_unusual(heard, working)]
    return tuple(sorted(found, key=lambda flag: (flag.place.utterance, flag.place.start, flag.code)))


# ---------------------------------------------------------------- what is missing


def _missing(
    heard: Heard, acts: Sequence[Action], conditions: Sequence[ConditionFound], deaf: frozenset[int]
) -> list[FlagFound]:
    texts = ["" if said.index in deaf else said.analysed.lower() for said in heard.utterances]
    whole = " ".join(texts)
    lines = [(act, f"{act_line(act)}; {texts[act.place.utterance]}") for act in acts if not act.done]
    flags: list[FlagFound] = []
    for rule in load_rules("precautions"):
        if rule.search("not_pattern", whole):
            continue
        risky = next((act for act, line in lines if rule.search("acts_pattern", line)), None)
        if risky is not None and not _told(rule, risky, texts, conditions):
            where = risky.place.utterance
            message = f"Here {rule.text('act')}, but nothing says that {rule.text('lacks')}."
            evidence: dict[str, object] = {"rule": f"precaution.{rule.id}", "act": risky.spoken_action}
            flags.append(FlagFound(risky.place, "missing_precaution", "check", message, evidence, utterances=(where,)))
    return flags


def _told(rule: Rule, act: Action, texts: Sequence[str], conditions: Sequence[ConditionFound]) -> bool:
    """Whether the precaution is told before the act, in its sentence, or right behind it as done first."""
    where = act.place.utterance
    for at in range(where + 1):
        if rule.pattern.search(texts[at]) and _holds_for(at, where, conditions):
            return True
    after = texts[where + 1] if where + 1 < len(texts) else ""
    return bool(_TOLD_AFTER.search(after) and rule.pattern.search(after))


def _holds_for(said: int, act: int, conditions: Sequence[ConditionFound]) -> bool:
    """Whether what is said there holds for the act here: not where it is said for another variant."""
    return all(
        act in condition.governed for condition in conditions if condition.kind != "skip" and said in condition.governed
    )


# ---------------------------------------------------------------- what is not normally done


def _unusual(heard: Heard, acts: Sequence[Action]) -> list[FlagFound]:
    flags: list[FlagFound] = []
    flagged: set[int] = set()
    for act in acts:
        where = act.place.utterance
        if where in flagged:
            continue
        text = heard.utterances[where].analysed.lower()
        names = _names(heard, act)
        found = [(kind, thing) for kind in load_unusual() if (thing := kind.found_in(act, names, text)) is not None]
        if not found:
            continue
        flagged.add(where)
        kind, thing = found[0]
        message = f"Is it right to {act.spoken_action} the {thing}? Normally not: {kind.why}."
        evidence: dict[str, object] = {"rule": f"unusual.{kind.id}", "act": act.spoken_action, "part": thing}
        flags.append(FlagFound(act.place, "unusual_action", "check", message, evidence, utterances=(where,)))
    return flags


def _names(heard: Heard, act: Action) -> list[str]:
    """What the objects of an act may be: a pronoun can stand for any noun before it in the sentence."""
    names = [name for thing in act.objects for name in (thing.text, *thing.antecedents)]
    if any(thing.pronoun for thing in act.objects):
        where = act.place.utterance
        mentions = (heard.mention(where, chunk) for chunk in heard.parsed[where].chunks)
        names += [mention.text for mention in mentions if mention.place.start < act.place.start]
    return names


@cache
def load_unusual() -> tuple[Unusual, ...]:
    """The table of unusual actions; a mistake is a `LexiconError` that names the row."""
    return parse_unusual(files("lexicons").joinpath("unusual.csv").read_text(encoding="utf-8"), _UNUSUAL)


def parse_unusual(source: str, file: str) -> tuple[Unusual, ...]:
    """Read the table of unusual actions."""
    reader = csv.DictReader(io.StringIO(source))
    if tuple(reader.fieldnames or ()) != _COLUMNS:
        raise LexiconError(f"the first row must be {','.join(_COLUMNS)}.", file=file, line=1)
    rows: list[Unusual] = []
    for row in reader:
        line = reader.line_num
        if not row["id"] or not row["verbs"] or not row["why"] or not (row["parts"] or row["words"]):
            raise LexiconError("a row needs id, verbs, why, and parts or words.", file=file, line=line)
        try:
            parts = re.compile(rf"\b(?:{row['parts']})$") if row["parts"] else None
            words = re.compile(row["words"]) if row["words"] else None
            exceptions = re.compile(row["exceptions"]) if row["exceptions"] else None
            rows.append(Unusual(row["id"], re.compile(row["verbs"]), parts, words, row["why"], exceptions))
        except re.error as error:
            raise LexiconError(f"row {row['id']!r}: no regular expression: {error}.", file=file, line=line) from None
    return tuple(rows)
