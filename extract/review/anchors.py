"""Where a decision belongs: remembering a place in the talk, and finding it again.

Places are found by content and position. Words must agree but for small differences, while figures,
spoken numbers and words such as left and right must agree exactly; neighbours and position decide between equal sentences. A place that
can't be told for certain is not found: better shown as lost than put on the wrong words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz import fuzz

from extract.model import Draft, Flag, Part, RefitStep, Segment, Step
from extract.review.decisions import Anchor, Spot, Thing

#: Below this the words are not the same utterance (share of characters in common).
SAME_WORDS = 0.82
#: Unrelated sentences share a third of their characters: below this a neighbour tells nothing.
SAME_NEIGHBOUR = 0.7
#: Words, neighbours and position together, and the lead over the next best place.
SAME_PLACE, LEAD = 0.72, 0.06
#: A sentence of this many words that occurs once is its own address.
UNMISTAKABLE = 6
#: Share of characters by which a step, part or joint is still known by its name.
SAME_NAME = 0.8

_TOKEN = re.compile(r"[^\W_]+(?:['’.,][^\W_]+)*")
#: Number words, and words whose opposite fits the same sentence.
_DECISIVE = frozenset(
    """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen
    seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand half
    quarter both pair couple dozen first second third last
    left right front rear back forward backward top bottom upper lower inner outer inside outside near far
    in out on off up down before after under over clockwise anticlockwise counterclockwise
    open close loosen tighten remove fit raise lower more less not never don't no""".split()
)


def plain(text: str) -> str:
    """The words alone: lower case, without punctuation, single spaces."""
    return " ".join(_TOKEN.findall(text.lower()))


def decisive(text: str) -> list[str]:
    """Figures, number words and words of direction, in order; equality of these is never fuzzy."""
    return [token for token in plain(text).split() if token[0].isdigit() or token in _DECISIVE]


def alike(one: str, other: str) -> float:
    """Likeness of two texts, 0 to 1; 0 where a number or a direction differs."""
    left, right = plain(one), plain(other)
    if left == right:
        return 1.0
    if decisive(left) != decisive(right):
        return 0.0
    return fuzz.ratio(left, right) / 100


def find_words(needle: str, text: str) -> tuple[int, int] | None:
    """Character span of a run of words in `text`, case and punctuation ignored; null unless exactly one."""
    wanted = plain(needle).split()
    tokens = [(match.group().lower(), match.start(), match.end()) for match in _TOKEN.finditer(text)]
    if not wanted:
        return None
    hits = [
        (tokens[start][1], tokens[start + len(wanted) - 1][2])
        for start in range(len(tokens) - len(wanted) + 1)
        if [token for token, _, _ in tokens[start : start + len(wanted)]] == wanted
    ]
    return hits[0] if len(hits) == 1 else None


# --------------------------------------------------------------------------- remembering


def spot(draft: Draft, segment_id: str) -> Spot:
    """Remember an utterance with its neighbours."""
    segments = draft.segments
    index = next(index for index, segment in enumerate(segments) if segment.id == segment_id)
    return Spot(
        segment=segment_id,
        words=segments[index].text,
        corrected=segments[index].corrected,
        before=segments[index - 1].text if index else "",
        after=segments[index + 1].text if index + 1 < len(segments) else "",
        at=round(index / max(1, len(segments) - 1), 6),
        twins=sum(plain(other.text) == plain(segments[index].text) for other in segments) - 1,
    )


def flagged_words(flag: Flag, texts: Mapping[str, str]) -> str:
    """The words that a flag points at, in the texts that the program goes by (by segment id)."""
    parts = [texts[span.segment][span.start : span.end] for span in flag.spans if span.segment in texts]
    return " … ".join(part for part in parts if part)


def analysed(segment: Segment) -> str:
    """The words that the program goes by: the reviewer's where given, else as spoken."""
    return segment.text if segment.corrected is None else segment.corrected


@dataclass(frozen=True, slots=True)
class Found:
    """A thing of the draft: what it is called and the utterances that it came from."""

    kind: Thing
    id: str
    label: str
    segments: tuple[str, ...]
    code: str | None = None


def things(draft: Draft) -> dict[str, Found]:
    """Everything in the draft that can be decided on, by id."""
    found: list[Found] = [Found("segment", segment.id, segment.text, (segment.id,)) for segment in draft.segments]
    steps = {step.id: step for step in draft.steps}
    for step in draft.steps:
        found.append(Found("step", step.id, step.text, step.segments))
        found.extend(_parts(step, step.segments))
    for step in draft.refit:
        segments = step.segments or _segments_of(step, steps)
        found.append(Found("refit", step.id, step.text, segments))
        found.extend(_parts(step, segments))
    found.extend(Found("renewal", entry.id, entry.item, entry.segments) for entry in draft.renewals)
    found.extend(Found("torque", entry.id, entry.joint, entry.segments) for entry in draft.torques)
    found.extend(Found("condition", entry.id, entry.text, entry.segments) for entry in draft.conditions)
    found.extend(Found("section", entry.id, entry.title, entry.segments[:1]) for entry in draft.sections)
    texts = {segment.id: analysed(segment) for segment in draft.segments}
    for flag in draft.flags:
        found.append(Found("flag", flag.id, flagged_words(flag, texts), flag.segments, flag.code))
    found.append(Found("document", "document", "", ()))
    return {entry.id: entry for entry in reversed(found)}


def remember(draft: Draft, thing_id: str) -> Anchor:
    """The anchor of a thing of the draft. Errors: `KeyError` if there is no such thing."""
    thing = things(draft)[thing_id]
    spots = tuple(spot(draft, segment) for segment in thing.segments[:8])
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None) if thing.kind == "flag" else None
    return Anchor(
        kind=thing.kind,
        id=thing.id,
        label=thing.label[:4000],
        spots=spots,
        code=flag.code if flag else None,
        severity=flag.severity if flag else None,
        message=flag.message if flag else None,
    )


def _parts(step: Step | RefitStep, segments: tuple[str, ...]) -> Iterable[Found]:
    return (Found("object", part.id, _called(part), segments) for part in step.objects)


def _called(part: Part) -> str:
    return f"{part.text} {part.position}" if part.position else part.text


def _segments_of(step: RefitStep, steps: dict[str, Step]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(segment for done in step.undoes if done in steps for segment in steps[done].segments))


# --------------------------------------------------------------------------- finding again


def find_segment(where: Spot, segments: Sequence[Segment], texts: Sequence[str] | None = None) -> str | None:
    """Id of the utterance that is the one remembered, or null. `texts` are their plain words where known.

    Where the recogniser now cuts the talk otherwise, the utterance that holds all the words is it.
    """
    last = max(1, len(segments) - 1)
    unmoved = round(where.at * last)
    if unmoved < len(segments) and _unchanged(where, segments, unmoved):
        return segments[unmoved].id
    words = plain(where.words)
    texts = texts or [plain(segment.text) for segment in segments]
    scored: list[tuple[float, float, int]] = []
    for index, text in enumerate(texts):
        if text == words:
            same = 1.0
        elif len(words.split()) >= UNMISTAKABLE and f" {words} " in f" {text} ":
            same = 0.95
        else:
            same = alike(words, text)
            if same < SAME_WORDS:
                continue
        before = texts[index - 1] if index else ""
        after = texts[index + 1] if index + 1 < len(texts) else ""
        near = 1 - min(1.0, 4 * abs(where.at - index / last))
        score = 0.6 * same + 0.15 * _near(where.before, before) + 0.15 * _near(where.after, after) + 0.1 * near
        scored.append((score, same, index))
    if not scored:
        return None
    scored.sort(reverse=True)
    best, same, index = scored[0]
    if len(scored) > 1 and best - scored[1][0] < LEAD:
        return None
    unmistakable = len(scored) == 1 and same >= 0.95 and not where.twins and len(words.split()) >= UNMISTAKABLE
    return segments[index].id if unmistakable or best >= SAME_PLACE else None


def _unchanged(where: Spot, segments: Sequence[Segment], index: int) -> bool:
    before = segments[index - 1].text if index else ""
    after = segments[index + 1].text if index + 1 < len(segments) else ""
    segment = segments[index]
    return (segment.id, segment.text, before, after) == (where.segment, where.words, where.before, where.after)


def _near(remembered: str, now: str) -> float:
    if not remembered and not now:
        return 1.0
    likeness = alike(remembered, now)
    return likeness if likeness >= SAME_NEIGHBOUR else 0.0


class Finder:
    """Finds the things of one draft by their anchors. `home` maps remembered utterances to present ones."""

    def __init__(self, segments: Sequence[Segment]) -> None:
        self._segments = segments
        self._texts = [plain(segment.text) for segment in segments]
        self._homes: dict[Spot, str | None] = {}
        self._seen: tuple[Draft, dict[str, Found]] | None = None

    def home(self, where: Spot) -> str | None:
        """Id of the present utterance for a remembered one, or null."""
        if where not in self._homes:
            self._homes[where] = find_segment(where, self._segments, self._texts)
        return self._homes[where]

    def find(self, anchor: Anchor, draft: Draft) -> str | None:
        """Id of the anchor's thing in `draft`, or null where it can't be told."""
        if anchor.kind == "document":
            return "document"
        homes = {self.home(where) for where in anchor.spots}
        if None in homes:
            return None
        if self._seen is None or self._seen[0] is not draft:
            self._seen = (draft, things(draft))
        present = self._seen[1]
        same_id = present.get(anchor.id)
        if same_id is not None and same_id.kind == anchor.kind and self._is_it(anchor, same_id, homes):
            return same_id.id
        if anchor.kind == "segment":
            return next(iter(homes)) if len(homes) == 1 else None
        rivals = sorted(
            (
                (alike(anchor.label, thing.label), thing.id)
                for thing in present.values()
                if thing.kind == anchor.kind and thing.code == anchor.code and homes and homes <= set(thing.segments)
            ),
            reverse=True,
        )
        if not rivals or rivals[0][0] < SAME_NAME or (len(rivals) > 1 and rivals[0][0] - rivals[1][0] < LEAD):
            return None
        return rivals[0][1]

    def _is_it(self, anchor: Anchor, thing: Found, homes: set[str | None]) -> bool:
        return not homes or bool(homes & set(thing.segments))
