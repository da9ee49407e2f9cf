"""Titles from the headings of a talk: the noun phrase that says what the job, or the next part of it, is about."""

from __future__ import annotations

import re

_LEAD = re.compile(
    r"""^(?:
        (?:right|okay|ok|so|now|well|then|uh|um|er|and|but|hello|hi|hey|morning|good\s+(?:morning|day|afternoon|evening)|all
          |everybody|everyone|folks|lads|guys|first(?:\s+of\s+all|\s+off|ly)?|alright|all\s+right|here|today|this\s+time
          |next\s+up(?:\s+is|\s+comes)?|next(?:\s+is|\s+comes)?|moving\s+on|again)\b[\s,.:;-]*
      | (?:in|on)\s+this\s+(?:film|video|recording|instruction|session|one|clip|demonstration|talk)\s*,?\s*
      | this\s+(?:film|video|recording|one|time|instruction|clip|demonstration)?\s*
          (?:is|shows?|covers?|explains?|describes?|deals\s+with)\s+(?:how|about|you\s+how)?\s*
      | (?:this|that|it)(?:'s|\s+is)\s+
      | (?:we|i)(?:'re|'ll|'m|\s+are|\s+am|\s+will|\s+shall)?\s+
          (?:just\s+)?(?:(?:going|gonna|about)\s+to\s+|gonna\s+|want\s+to\s+|wanna\s+|come\s+(?:now\s+)?to\s+|move\s+(?:on\s+)?to\s+
          |get\s+(?:on\s+)?to\s+|turn\s+to\s+|look(?:ing)?\s+at\s+|do(?:ing)?\s+|tackl(?:e|ing)\s+|start(?:ing)?\s+(?:on|with)\s+
          |on\s+to\s+|now\s+|(?:up\s+|down\s+|over\s+|round\s+)?at\s+)?
      | (?:the\s+)?next\s+(?:one|thing|bit|job|part|section|step)(?:\s+(?:to\s+\w+|up))?\s+is\s+
      | (?:time|now|on|over|back|up)\s+(?:for|to)\s+
      | (?:for|to|about)\s+
    )""",
    re.IGNORECASE | re.VERBOSE,
)
_END = re.compile(
    r"""(?:\s*[,;]\s*(?:so|because|and\s+(?:then|we|i|get|that)|which|where|then)\b.*
        | \s+(?:next|now|then|is\s+next|comes?\s+next|is\s+(?:changed|replaced|renewed|removed|dismounted|fitted)
               |(?:are|is)\s+(?:being\s+)?(?:changed|replaced|renewed|removed|dismounted|taken\s+\w+|stripped|overhauled)
               |coming\s+(?:off|out)|comes?\s+(?:off|out))\b.*
        | \s+and\s+get\s+the\b.*
        )$""",
    re.IGNORECASE | re.VERBOSE,
)
_ACT = re.compile(
    r"^(?:(?:taking|take|getting|get|pulling|pull|whipping|whip|lifting|lift|doing|do|changing|change|replacing|replace|renewing"
    r"|renew|removing|remove|stripping|strip|opening|open|fitting|fit|swapping|swap|tackling|tackle|servicing|service)"
    r"(?:\s+(?:up|down|off|out|apart))?)\s+(?:the\s+|this\s+|that\s+|a\s+|an\s+|our\s+|your\s+)?",
    re.IGNORECASE,
)
_AWAY = re.compile(r"\s+(?:off|out\s+of|from)\s+(?:the|this|that|our|your|an?|these)\s+.*$", re.IGNORECASE)
_ARTICLE = re.compile(r"^(?:the|this|that|these|those|a|an|our|your|some)\s+", re.IGNORECASE)
_REFIT = re.compile(
    r"\b(?:putting|going|goes|put|fit(?:ting)?|coming)\s+(?:\w+\s+){0,3}(?:back|together)\b"
    r"|\bbuild(?:ing)?\s+(?:\w+\s+){0,2}up\b|\brebuild|\brefit|\breassembl|\bback\s+together\b"
    r"|(?:^|\b(?:now|to|with|for)\s+)(?:the\s+)?assembly\W*$",
    re.IGNORECASE,
)
#: Where the announcement starts, whatever stands before it.
_START = re.compile(r"\b(?:today|in this (?:film|video|recording|clip))\b(?=.*\w)", re.IGNORECASE)
MAX_WORDS = 14


def opens_refit(text: str) -> bool:
    """True for a heading that opens the second half of the job ("now we build it up again")."""
    return bool(_REFIT.search(text))


def heading_title(text: str) -> str:
    """The title that a spoken heading stands for: no greeting, no run-up, no article, first letter capital."""
    if opens_refit(text):
        return "Refit"
    title = text.strip().rstrip(".!?… ")
    start = _START.search(title)
    title = title[start.start() :] if start else title
    while (shorter := _LEAD.sub("", title, count=1).strip()) != title and shorter:
        title = shorter
    title = _END.sub("", title).strip() or title
    if _ACT.match(title):
        title = _AWAY.sub("", _ACT.sub("", title)) or title
    title = _ARTICLE.sub("", title)
    title = re.sub(r"\b(?:the|this|that|our|your)\s+(?=\w)", "the ", title, flags=re.IGNORECASE)
    title = " ".join(title.split()[:MAX_WORDS]).rstrip(" ,;:")
    title = re.sub(r"\s+(?:of|on|in|the|and|to|for|with|a)$", "", title)
    return title[:1].upper() + title[1:]


def job_title(named: str, has_refit: bool) -> str:
    """The title of the whole job, from the title of the heading that announces it."""
    return f"{named}: {'removal and refit' if has_refit else 'work'}"
