"""A rule must be among those that are tried wherever its pattern matches."""

from __future__ import annotations

import re
import tomllib
from importlib.resources import files

import pytest

from extract.rule_openings import needed, openings
from extract.rules import Rules, load_rules, parse_rules

NAMES = sorted(file.name.removesuffix(".toml") for file in files("lexicons").iterdir() if file.name.endswith(".toml"))
FILES = [name for name in NAMES if "rule" in tomllib.loads((files("lexicons") / f"{name}.toml").read_text("utf-8"))]
SENTENCES = [sentence.lower() for name in FILES for rule in load_rules(name) for sentence in (*rule.hits, *rule.misses)]


@pytest.mark.parametrize("name", FILES)
def test_no_rule_is_left_out_where_it_matches(name: str) -> None:
    rules = load_rules(name)
    for text in SENTENCES:
        near = {rule.id for rule in rules.near(text)}
        assert near >= {rule.id for rule in rules if rule.pattern.search(text)}, text


@pytest.mark.parametrize("name", FILES)
def test_a_further_pattern_is_not_left_out_where_it_matches(name: str) -> None:
    rules = load_rules(name)
    fields = {field for rule in rules for field, value in rule.fields.items() if isinstance(value, re.Pattern)}
    for field in fields:
        for text in SENTENCES:
            near = {rule.id for rule in rules.near(text, field)}
            assert near >= {rule.id for rule in rules if rule.search(field, text)}, text


@pytest.mark.parametrize(
    ("pattern", "words"),
    [
        (r"\b(?:bin|scrap) it now\b", {"bin", "scr"}),
        (r"\bon refit\b", {"ref"}),
        (r"^(?:\W*(?:so|now)\W+)*putting (?:it|her) back\b", {"put"}),
        (r"\b(?:re)?tighten(?:ed|ing)?\b", {"ret", "tig"}),
        (r"\bstraight ?-?edge\b", {"str"}),
        (r"\bseals? (?:must|should) be [a-z]+ed\b", {"sea"}),
        (r"\bunserviceabl[ei]", {"uns"}),
        (r"\bo+ps\b", {"ops", "oop", "ooo"}),
        (r"(?<!not )\bleft over\b(?! from)", {"lef"}),
        (r"\bup\b", {"up"}),
    ],
)
def test_words_that_a_pattern_needs(pattern: str, words: set[str]) -> None:
    assert needed(pattern) == words


@pytest.mark.parametrize(
    "pattern",
    [
        r"\w+ly\b",
        r"up\w*",
        r"torque",
        r"greas\w* it",
        r"greas(?:e|ing)|\d+ mm",
        r"(?:new )?",
        r"(?P<one>\w+) (?P=one)",
        r"[a-m]\w+",
    ],
)
def test_patterns_that_need_no_word_in_particular(pattern: str) -> None:
    assert needed(pattern) is None


def test_openings_of_a_text() -> None:
    assert openings("undo the o-ring, it's m8") == {"und", "the", "o", "rin", "it", "s", "m8"}


def test_rules_come_in_the_order_of_their_file() -> None:
    source = "".join(f"[[rule]]\nid = '{name}'\npattern = '''{pattern}'''\n" for name, pattern in (
        ("b", r"\bbolts?\b"), ("any", r"\w+"), ("a", r"\bnuts? and bolts?\b"), ("no", r"\bscrew\b"),
    ))  # fmt: skip
    rules = parse_rules(source, "x.toml")
    assert isinstance(rules, Rules)
    assert [rule.id for rule in rules.near("all nuts and bolts")] == ["b", "any", "a"]
