"""A spoken warning as a written one: what to do or not to do first, then what can happen."""

from __future__ import annotations

import re

from extract.rules import Rules, select_rules

_COMMAND = (
    r"(?:do not|never|let (?:nobody|no one)|mind|keep|watch|wear|take care|be careful|go (?:easy|gently)|let (?:it|the)|use|put|lift|hold|"
    r"stand|make sure|always|get (?:somebody|someone|a|help)|let only|only|stay|avoid|support|leave|work|remember|lay|cover|secure|wait|chock|gloves|goggles)\b"
)
_STARTS = re.compile(_COMMAND)
#: "…, so do not …": the reason stands before the command.
_THEREFORE = re.compile(rf"^(?P<reason>.+?)[,;]? (?:so|and so|therefore|that is why)[,;]? (?P<command>{_COMMAND}.*)$")
#: "mind … because …": the reason stands behind it.
_BECAUSE = re.compile(
    rf"^(?P<command>{_COMMAND}.+?)[,;]? (?:because|as|since|for) (?P<reason>(?:the|it|they|that|this|its|there|you|a|an)\b.*)$"
)
#: "do not …, you will …": what follows otherwise.
_ELSE = re.compile(
    rf"^(?P<command>{_COMMAND}.+?)[,;] (?:or (?:else )?|otherwise |else )?(?P<reason>(?:you|it|they|that|this) (?:will|would|can|could)\b.*)$"
)
#: "mind your shins on the blades, they would open you": two sentences with a comma.
_SPLICE = re.compile(
    rf"^(?P<command>{_COMMAND}.+?), (?P<reason>(?:they|it|that|this|those|these|the \w+) (?:are|is|would|can|will|go(?:es)?|mark(?:s)?|scratch(?:es)?)?\b.*)$"
)
#: "mind the rod, with one scratch …": a splice whose reason begins with its cause.
_WITH = re.compile(rf"^(?P<command>{_COMMAND}.+?), (?P<reason>with (?:one|a|a single|any) .+)$")
#: The same without the comma: "wear your goggles it will spit muck at you".
_RUN_ON = re.compile(
    rf"^(?P<command>{_COMMAND} \S+ .+?)(?<!how)(?<!hat)(?<!ere)(?<!ich)(?<! if)(?<! as)(?<!till)(?<!when) "
    r"(?P<reason>(?:(?:it|they) (?:will|would|can|could)|there (?:is|are)) .*)$"
)
#: "if you nick the lip, it will leak": what must not be done, told as a case.
_IF_DONE = re.compile(
    r"^if you (?P<done>(?!do |are |have )\w+ .+?),? (?P<reason>(?:it|they|that|this|the \w+|you) (?:will|would|can|could|is|are)\b.*)$"
)
#: "steel scrapers damage the face and must not be used".
_NOT_USED = re.compile(
    r"^(?P<thing>[\w ]{3,30}?) (?P<reason>(?:damage|attack|scratch|harm|ruin|spoil|mark|score|swell|dissolve)(?:s|es)?\b.+?)"
    r",? (?:and|so)(?: they| it)? (?:are not permitted|is not permitted|must not be used|are forbidden|is forbidden|may not be used)$"
)
#: "levering breaks the cords": what must not be done is the subject.
_DOING = re.compile(
    r"^(?P<doing>\w+ing) (?P<reason>(?:breaks|damages|bends|kinks|cracks|ruins|tears|scratches|strips|spoils)\b.*)$"
)
#: "the belt is rolled off, never levered".
_NEVER_DONE = re.compile(r"^(?:.*, )?never (?P<done>\w+(?:ed|en))(?: (?P<how>(?:off|out|with|by)\b.*))?$")
_PRONOUN_FIRST = re.compile(r"^(?:it|they) (?=(?:must|may not|should not|shall not)\b)")
#: "… and do not …": a statement with a command behind it.
_AND = re.compile(rf"^(?P<reason>(?!{_COMMAND}).+?)[,;]? (?:and|but)[,;]? (?P<command>{_COMMAND}.*)$")
_OBJECT = re.compile(r"\b(?P<word>it|them)\b(?! (?:is|are|can|will|has|looks))")
#: A command that cannot stand before its reason.
_LOOKS_BACK = re.compile(r"\b(?:before|until|till|by) then\b|\bfor that reason\b")
_GOING = re.compile(r"^(?P<not>do not|never) (?:go|be) (?P<verb>\w+ing)\b")


def rules(use: str) -> Rules:
    """The rules of `caution_words.toml` for one use."""
    return select_rules("caution_words", "use", use)


def written(spoken: str, subject: str | None = None, base_forms: dict[str, str] | None = None) -> str:
    """The caution for the words of a warning.

    `subject` names what the warning is about where it has a noun for it ("brake dust"); it then stands for
    the pronoun of the command. `base_forms` gives base forms of verbs ("catching": "catch").
    """
    text = " ".join(spoken.split()).strip(" .,;!?")
    text = text[:1].lower() + text[1:] if text[1:2].islower() or text[1:2] in " '" else text
    for rule in rules("write"):
        text = rule.pattern.sub(rule.text("to"), text)
    text = " ".join(text.split()).strip(" ,;")
    if subject:
        name = subject if subject[1:] != subject[1:].lower() else subject.lower()
        text = _PRONOUN_FIRST.sub(f"the {name} ", text)
    command, reason = _never_done(text, subject, base_forms or {}) or _parts(text, base_forms or {})
    if command:
        going = _GOING.match(command)
        base = (base_forms or {}).get(going.group("verb")) if going else None
        if going and base:
            command = f"{going.group('not')} {base}{command[going.end() :]}"
        if reason and subject and subject.lower() not in command.lower() and _OBJECT.search(command):
            name = subject if subject[1:] != subject[1:].lower() else subject.lower()
            command = _OBJECT.sub(f"the {name}", command, count=1)
    parts = (reason, command) if _LOOKS_BACK.search(command) else (command, reason)
    return " ".join(_sentence(part) for part in parts if part)


def complete(text: str, avoidance: str, harm: str) -> str:
    """The caution with the sentence that it lacks: what to do before it, or what can happen behind it."""
    low = text.lower()
    if not any(rule.pattern.search(low) for rule in rules("avoidance")):
        text = f"{avoidance} {text}"
    if not any(rule.pattern.search(low) for rule in rules("harm")):
        text = f"{text} {harm}"
    return text


def _never_done(text: str, subject: str | None, base_forms: dict[str, str]) -> tuple[str, str] | None:
    match = _NEVER_DONE.match(text)
    base = base_forms.get(match.group("done")) if match is not None else None
    if match is None or base is None or not subject:
        return None
    how = f" {match.group('how')}" if match.group("how") else ""
    return f"never {base} the {subject.lower()}{how}", ""


def _parts(text: str, base_forms: dict[str, str]) -> tuple[str, str]:
    """What to do and why; the first is empty for a mere statement."""
    case = _IF_DONE.match(text)
    if case is not None:
        return f"do not {case.group('done')}", f"otherwise, {case.group('reason')}"
    used = _NOT_USED.match(text)
    if used is not None:
        thing = used.group("thing")
        one = re.match(r"\w+s\b", used.group("reason")) is not None
        return f"do not use {thing}", f"{'it' if one else 'they'} {used.group('reason')}"
    doing = _DOING.match(text)
    if doing is not None and doing.group("doing") in base_forms:
        return f"do not {base_forms[doing.group('doing')]}", f"it {doing.group('reason')}"
    for pattern in (_THEREFORE, _BECAUSE, _ELSE, _SPLICE, _WITH, _AND, _RUN_ON):
        match = pattern.match(text)
        if match is not None:
            command, reason = match.group("command"), match.group("reason")
            inner = _SPLICE.match(command) if pattern is _AND else None
            if inner is not None:
                # "it can't kick, but keep your fingers off, those blades are sharp": what is near is the reason.
                command, reason = inner.group("command"), inner.group("reason")
            if pattern is _ELSE and reason.startswith("you"):
                reason = f"otherwise, {reason}"
            return _finished(command), reason
    return (_finished(text), "") if _STARTS.match(text) else ("", text)


def _finished(command: str) -> str:
    """A command in full words: "gloves" alone means to wear them."""
    for rule in rules("write"):
        if rule.id in ("write.gloves-please", "write.get-on"):
            command = rule.pattern.sub(rule.text("to"), command)
    return command


def _sentence(text: str) -> str:
    text = text.strip(" ,;.")
    return f"{text[:1].upper()}{text[1:]}." if text else ""
