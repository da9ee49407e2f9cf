"""Inline marks of Markdown and HTML in text files: print, not speech."""

from __future__ import annotations

import re

_TAG = re.compile(
    r"</?(?:a|abbr|b|big|cite|code|del|em|font|i|ins|kbd|mark|p|q|s|samp|small|span|strong|sub|sup|tt|u|var)"
    r"(?:\s[^<>]{0,300})?/?>",
    re.IGNORECASE,
)
_BREAK = re.compile(r"<br\s?/?>", re.IGNORECASE)
_LINK = re.compile(r"!?\[([^\[\]]{1,300})\]\([^()\s]{1,500}\)")
_PAIRS = (
    re.compile(r"(`{1,3})(?=[^\s`])([^`]{0,300}?[^\s`])\1(?!`)"),
    re.compile(r"(?<![\w*])(\*{1,3})(?=[^\s*])([^*]{0,300}?[^\s*])\1(?![\w*])"),
    re.compile(r"(?<![\w_])(_{1,3})(?=[^\s_])([^_]{0,300}?[^\s_])\1(?![\w_])"),
    re.compile(r"(~~)(?=[^\s~])([^~]{0,300}?[^\s~])\1(?!~)"),
)
#: A bullet or quotation mark at the start of a line; a minus before a figure is none.
_BULLET = re.compile(r"\s*(?:[*+•>]|[-–](?=\s+\D))\s+")


def unmarked(line: str) -> str:
    """The line without the marks around its words; every word stays, also one alone in brackets of a link."""
    line = _BULLET.sub("", line, count=1) if _BULLET.match(line) else line
    if "<" in line:
        line = _TAG.sub("", _BREAK.sub(" ", line))
    if "](" in line:
        line = _LINK.sub(r"\1", line)
    for pair in _PAIRS:
        line = pair.sub(r"\2", line)
    return line
