"""Every rule file: each rule hits what it says it hits, misses what it says it misses, and mistakes are named."""

from __future__ import annotations

import tomllib
from importlib.resources import files

import pytest

from extract.errors import LexiconError
from extract.rules import Rule, load_rules, parse_rules

#: Their rules are read by the whole finder, whose own test runs the hits and misses.
READ_BY_THEIR_FINDER = frozenset({"conditions", "hazards", "precautions"})


def rule_files() -> list[str]:
    """Names of the files of `lexicons/` that hold rules."""
    found = [path for path in files("lexicons").iterdir() if path.name.endswith(".toml")]
    return sorted(path.name[:-5] for path in found if "rule" in tomllib.loads(path.read_text(encoding="utf-8")))


RULES = [pytest.param(rule, id=f"{name}:{rule.id}") for name in rule_files() for rule in load_rules(name)]
PLAIN = [
    pytest.param(rule, id=f"{name}:{rule.id}")
    for name in rule_files()
    if name not in READ_BY_THEIR_FINDER
    for rule in load_rules(name)
]
GOOD = "[[rule]]\nid = 'a'\npattern = 'bolts?'\nhits = ['Bolts.']\nmisses = ['Nuts.']\nweight = 2.5\nrole = 'reason'\n"


def test_there_are_rules_to_test() -> None:
    assert {"notes", "word_flags", "phases", "roles"} <= set(rule_files())
    assert len(RULES) > 100


@pytest.mark.parametrize("rule", PLAIN)
def test_hits_are_hit_and_misses_missed(rule: Rule) -> None:
    assert [sentence for sentence in rule.hits if not rule.pattern.search(sentence.lower())] == []
    assert [sentence for sentence in rule.misses if rule.pattern.search(sentence.lower())] == []


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_has_at_least_three_hits_and_two_misses(rule: Rule) -> None:
    assert len(set(rule.hits)) >= 3
    assert len(set(rule.misses)) >= 2


def test_fields_are_read_with_their_defaults() -> None:
    (rule,) = parse_rules(GOOD, "x.toml")
    assert (rule.text("role"), rule.number("weight"), rule.text("none"), rule.number("none", 7.0)) == (
        "reason", 2.5, "", 7.0,
    )  # fmt: skip


def test_word_lists_stand_in_patterns() -> None:
    source = "[words]\nthing = 'bolt|nut'\n" + GOOD.replace("bolts?", "^{thing}$")
    (rule,) = parse_rules(source, "x.toml")
    assert rule.pattern.search("nut") and not rule.pattern.search("bolt or nut")


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("[[rule]\n", "not valid TOML"),
        ("[[rule]]\nid = 'a'\n", "lacks its id or its pattern"),
        ("[[rule]]\npattern = 'x'\n", "lacks its id or its pattern"),
        (GOOD + GOOD, "'a' stands twice"),
        (GOOD.replace("bolts?", "{things}"), "'things'"),
        (GOOD.replace("bolts?", "(bolts"), "'a' is no regular expression"),
    ],
)
def test_mistakes_name_file_and_rule(source: str, said: str) -> None:
    with pytest.raises(LexiconError) as caught:
        parse_rules(source, "lexicons/x.toml")
    assert said in str(caught.value)
    assert str(caught.value).startswith("lexicons/x.toml")
