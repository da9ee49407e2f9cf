"""Which words a pattern needs, read off the pattern, so that a rule is tried only where one of them stands.

A word is known by its opening: its first three letters, or all of a shorter word. `needed(r"\\b(?:bin|scrap) it now")`
is {"bin", "scr"}: no text without a word that opens like one of these can match.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache, lru_cache, reduce
from importlib.resources import files
from typing import NamedTuple

_LENGTH = 3
#: Openings of a pattern beyond this number would hardly ever be missing.
_MOST = 60
#: Openings that are few enough to look no further for fewer.
_FEW = 12
_WORD = re.compile(r"\w+")
_TOKEN = re.compile(
    r"\\.|\[\^?\]?(?:\\.|[^\]\\])*\]|\(\?(?:P<\w+>|P=\w+\)|[:=!]|<[=!])|[()|]|(?:[*+?]|\{\d*,?\d*\})[?+]?|\w+(?![*+?{])|.",
    re.DOTALL,
)


class _Node(NamedTuple):
    """A part of a pattern: `kind` is "letters", "gap" (no letters), "edge" (between letter and gap), "nothing", "any",
    or "group" with its alternatives."""

    kind: str
    letters: str = ""
    branches: tuple[tuple[_Node, ...], ...] = ()
    optional: bool = False


_EDGE, _GAP, _ANY, _NOTHING = _Node("edge"), _Node("gap"), _Node("any"), _Node("nothing")
_ESCAPES = {"b": _EDGE, "A": _EDGE, "Z": _EDGE, "s": _GAP, "W": _GAP, "B": _NOTHING} | dict.fromkeys(
    "wdSD123456789", _ANY
)


@lru_cache(maxsize=256)
def openings(text: str) -> frozenset[str]:
    """The openings of the words of a text."""
    return frozenset([word[:_LENGTH] for word in _WORD.findall(text)])


def needed(pattern: str) -> frozenset[str] | None:
    """Openings of which a text needs one if it is to match; null where the pattern does not tell."""
    return _needed_by_one(_branches(iter(_TOKEN.findall(pattern))), False)


def _branches(tokens: Iterator[str]) -> tuple[tuple[_Node, ...], ...]:
    """The alternatives up to the end of the group."""
    branches: list[list[_Node]] = [[]]
    for token in tokens:
        nodes = branches[-1]
        if token == ")":
            break
        if token == "|":
            branches.append([])
        elif token[0] in "*+?{" and nodes:
            again = nodes[-1]._replace(optional=True)
            if token[0] in "*?" or token.startswith(("{0", "{,")):
                nodes[-1] = again
            if token[0] != "?":
                nodes += [again] * (_LENGTH - 1)
        else:
            nodes.append(_node(token, tokens))
    return tuple(map(tuple, branches))


def _node(token: str, tokens: Iterator[str]) -> _Node:
    if token.startswith("(?P="):
        return _ANY
    if token[0] == "(":
        group = _Node("group", branches=_branches(tokens))
        return group if token == "(" or token[-1] in ":>" else _NOTHING
    if token[0] == "[":
        return _character_class(token[1:-1])
    if token[0] == "\\":
        return _ESCAPES.get(token[1], _letters(token[1]))
    return _ANY if token == "." else _EDGE if token in "^$" else _letters(token)


def _letters(characters: str) -> _Node:
    return _Node("letters", characters) if _WORD.match(characters) else _GAP


def _character_class(members: str) -> _Node:
    if members[0] == "^" or re.search(r"\w-\w|\\[wdSD]", members):
        return _ANY
    nodes = [_node(member, iter(())) for member in re.findall(r"\\.|.", members)]
    return _GAP if all(node is _GAP for node in nodes) else _Node("group", branches=tuple((node,) for node in nodes))


def _needed_by_one(branches: tuple[tuple[_Node, ...], ...], bound: bool) -> frozenset[str] | None:
    """What one of the alternatives needs; `bound`: a word can only begin before them, not go on."""
    found: set[str] = set()
    for nodes in branches:
        keys = _needed(nodes, bound)
        if keys is None:
            return None
        found |= keys
    return frozenset(found)


def _needed(nodes: tuple[_Node, ...], bound: bool) -> frozenset[str] | None:
    best: frozenset[str] | None = None
    for at, node in enumerate(nodes):
        if best is not None and _cost(best) <= _FEW:
            break
        if node.kind in ("group", "letters"):
            inside = _needed_by_one(node.branches, bound) if node.branches and not node.optional else None
            for keys in (inside, _begins(nodes[at:]) if bound else None):
                if keys is not None and (best is None or _cost(keys) < _cost(best)):
                    best = keys
        bound = _bound_behind(node, bound)
    return best


def _bound_behind(node: _Node, bound: bool) -> bool:
    """Whether a word can only begin behind a part of a pattern."""
    if node is _NOTHING or node.optional and not bound:
        return bound
    if node.kind == "group":
        return all(reduce(lambda at, inner: _bound_behind(inner, at), nodes, bound) for nodes in node.branches)
    return node.kind in ("gap", "edge")


def _begins(nodes: tuple[_Node, ...], word: str = "") -> frozenset[str] | None:
    """The openings of the word that begins here, of which `word` has been read."""
    if len(word) == _LENGTH:
        return frozenset([word])
    if not nodes:
        return None
    node, rest = nodes[0], nodes[1:]
    if node.optional:
        left_out = _begins(rest, word)
        taken = _begins((node._replace(optional=False), *rest), word) if left_out is not None else None
        return None if taken is None or left_out is None else left_out | taken
    if node.kind == "any":
        return None
    if node.kind == "group":
        ways = [branch + rest for branch in node.branches]
    elif node.kind in ("gap", "edge") and word:
        return frozenset([word])
    else:
        word, ways = (word + node.letters)[:_LENGTH], [rest]
    found: set[str] = set()
    for way in ways:
        keys = _begins(way, word)
        if keys is None or len(found) > _MOST:
            return None
        found |= keys
    return frozenset(found)


def _cost(keys: frozenset[str]) -> int:
    """How often about a text has one of the openings: function words stand in nearly all."""
    return len(keys) + 20 * len(keys & _function_openings())


@cache
def _function_openings() -> frozenset[str]:
    return openings((files("lexicons") / "function_words.txt").read_text("utf-8"))
