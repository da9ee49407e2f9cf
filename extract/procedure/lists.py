"""Lists for the stores and the bench: tools of a talk, renewals merged over it, the tightening sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from extract.ids import IdMaker
from extract.model import Because, Tool
from extract.procedure import wording
from extract.procedure.names import part_name
from extract.procedure.steps import Act, because
from extract.speech import Mention, Understanding


def make_tools(
    understanding: Understanding, acts: Sequence[Act], steps_at: Mapping[int, Sequence[str]], ids: IdMaker
) -> tuple[Tool, ...]:
    """The tools and equipment that the talk names, each once, with the steps that use it."""
    utterances = understanding.utterances
    used: dict[str, tuple[Mention, list[str], list[str], list[Because]]] = {}
    mentions: list[tuple[Mention, tuple[str, ...]]] = [
        (tool, (act.step.id,)) for act in acts for tool in act.action.tools
    ]
    told = {(tool.place.utterance, tool.place.start) for tool, _ in mentions}
    mentions += [
        (tool, tuple(steps_at.get(tool.place.utterance, ())))
        for tool in understanding.tools
        if (tool.place.utterance, tool.place.start) not in told
    ]
    for mention, steps in sorted(mentions, key=lambda entry: (entry[0].place.utterance, entry[0].place.start)):
        if mention.pronoun:
            continue
        name = wording.tool_name(mention.text, mention.size)
        key = _known(name, used)
        entry = used.setdefault(key, (mention, [], [], []))
        entry[1].extend(step for step in steps if step not in entry[1])
        segment = utterances[mention.place.utterance].id
        if segment not in entry[2]:
            entry[2].append(segment)
            entry[3].append(because(mention.place, utterances))
    return tuple(
        Tool(
            id=ids.make("tool", name),
            item=name,
            size=mention.size,
            steps=tuple(steps),
            segments=tuple(segments),
            because=tuple(evidence),
        )
        for name, (mention, steps, segments, evidence) in used.items()
    )


def _known(name: str, used: Mapping[str, object]) -> str:
    """The name under which the tool is listed already: "the gauge" is the feeler gauge named before."""
    new = part_name(name)
    for other in used:
        known = part_name(other)
        if known.head == new.head and (new.qualifiers <= known.qualifiers):
            return other
    return name
