"""Rules as data: TOML files of `lexicons/`, each rule with sentences that it must hit and must miss.

A rule file holds an optional table `[words]` of named word lists (regular expressions that `pattern` may use
as `{name}`) and an array `[[rule]]`. Every rule has `id`, `pattern` (a regular expression that is searched in
the lower-case utterance), `hits` and `misses`; other keys belong to the finding that uses the file, those that
end in `_pattern` are regular expressions too.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files

from extract.errors import LexiconError
from extract.rule_openings import needed, openings


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: `pattern` is searched in the lower-case text, `fields` holds the finding's own keys."""

    id: str
    pattern: re.Pattern[str]
    fields: dict[str, object]
    hits: tuple[str, ...]
    misses: tuple[str, ...]

    def text(self, field: str) -> str:
        """A field that holds text; empty where the rule has none."""
        return str(self.fields.get(field, ""))

    def search(self, field: str, text: str) -> re.Match[str] | None:
        """Search a further pattern of the rule; null where it has none or finds nothing."""
        further = self.fields.get(field)
        return further.search(text) if isinstance(further, re.Pattern) else None

    def number(self, field: str, default: float = 0.0) -> float:
        """A field that holds a number."""
        value = self.fields.get(field, default)
        return float(value) if isinstance(value, (int, float)) else default


class Rules(tuple[Rule, ...]):
    """Rules in the order of their file, and by the words that each needs."""

    def near(self, text: str, field: str = "pattern") -> list[Rule]:
        """The rules whose pattern (or further pattern `field`) may match somewhere in a lower-case text, in order."""
        opened = openings(text)
        return [rule for rule, needs in self._needs(field) if needs is None or not needs.isdisjoint(opened)]

    @cached_property
    def _known(self) -> dict[str, list[tuple[Rule, frozenset[str] | None]]]:
        return {}

    def _needs(self, field: str) -> list[tuple[Rule, frozenset[str] | None]]:
        """The rules that have the pattern, with the openings of which it needs one; null where it does not tell."""
        if field not in self._known:
            patterns = [(rule, rule.pattern if field == "pattern" else rule.fields.get(field)) for rule in self]
            self._known[field] = [
                (rule, needed(pattern.pattern)) for rule, pattern in patterns if isinstance(pattern, re.Pattern)
            ]
        return self._known[field]


@cache
def load_rules(name: str) -> Rules:
    """Load the rules of `lexicons/<name>.toml`; a mistake is a `LexiconError` that names the rule."""
    source = files("lexicons").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return parse_rules(source, f"lexicons/{name}.toml")


@cache
def select_rules(name: str, key: str, value: str) -> Rules:
    """The rules of `lexicons/<name>.toml` whose text field `key` is `value`."""
    return Rules(rule for rule in load_rules(name) if rule.text(key) == value)


def parse_rules(source: str, file: str) -> Rules:
    """Parse the text of a rule file."""
    try:
        data = tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        raise LexiconError(f"not valid TOML: {error}.", file=file) from None
    words = {key: str(value) for key, value in data.get("words", {}).items()}
    rules: list[Rule] = []
    seen: set[str] = set()
    for entry in data.get("rule", []):
        rules.append(_rule(dict(entry), words, file, seen))
    return Rules(rules)


def _rule(entry: dict[str, object], words: dict[str, str], file: str, seen: set[str]) -> Rule:
    name = entry.pop("id", None)
    pattern = entry.pop("pattern", None)
    if not isinstance(name, str) or not isinstance(pattern, str):
        raise LexiconError("a rule lacks its id or its pattern.", file=file, remedy="Give every [[rule]] both.")
    if name in seen:
        raise LexiconError(f"the rule id {name!r} stands twice.", file=file, remedy="Rename one of them.")
    seen.add(name)
    try:
        compiled = _compile(pattern, words)
        for key in [key for key in entry if key.endswith("_pattern")]:
            entry[key] = _compile(str(entry[key]), words)
    except KeyError as error:
        raise LexiconError(f"rule {name!r} uses the word list {error}, which [words] lacks.", file=file) from None
    except re.error as error:
        raise LexiconError(f"the pattern of rule {name!r} is no regular expression: {error}.", file=file) from None
    hits = tuple(str(sentence) for sentence in entry.pop("hits", []))  # type: ignore[union-attr]
    misses = tuple(str(sentence) for sentence in entry.pop("misses", []))  # type: ignore[union-attr]
    return Rule(name, compiled, entry, hits, misses)


def _compile(pattern: str, words: dict[str, str]) -> re.Pattern[str]:
    return re.compile(re.sub(r"\{([a-z_]+)\}", lambda found: f"(?:{words[found.group(1)]})", pattern))
