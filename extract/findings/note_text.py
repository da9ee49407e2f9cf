"""Spoken words as instruction text: pronouns named, fillers and what was taken back left out, articles set."""

from __future__ import annotations

import re
from dataclasses import replace

from extract.language.complements import Parsed
from extract.language.context import Tagged
from extract.language.heard import Heard
from extract.language.phrases import Chunk
from extract.language.quantities import find_quantities
from extract.speech import Mention
from extract.wordforms import word_set

_YOURS = word_set("your yer my our his her")
_TAKE_THE = word_set("those these this that them")
_NAMED = word_set("it them they that this those these em 'em")
_FILLERS = word_set("uh um er erm ah just basically obviously actually ye eh please")
_WRITTEN = {
    "till": "until", "til": "until", "wee": "small", "outta": "out of", "n't": "not", "gonna": "going to",
    "oughta": "ought to",
}  # fmt: skip
_NEGATED = {"wo": "will", "ca": "can", "sha": "shall", "ai": "is"}
#: Words that speak to or of persons; no instruction has them.
PERSONS = re.compile(
    r"\b(?:i|i'm|i've|i'll|we|we're|you|you'll|you're|you've|ye|your|yer|he|she|she's|her|him|me|us|lads?|folks)\b",
    re.I,
)
#: Units that are written as symbols; others stay as they were said ("for 10 minutes").
_SYMBOLS = {"mm": "mm", "cm": "cm", "Nm": "N·m", "bar": "bar", "psi": "psi", "kPa": "kPa", "MPa": "MPa"}
_PARTS_IN_WORDS = word_set(
    "half quarter quarters third thirds sixth eighth eighths sixteenth sixteenths thirty-second thousandth a an "
    "hundredth hundredths tenth tenths"
)
#: A text that ends in the middle of a phrase.
CUT_SHORT = re.compile(r"\b(?:to|of|with|the|an?|from|for|than|against)\W*$", re.IGNORECASE)
_WAYS = {"even": "evenly", "slow": "slowly", "gentle": "gently"}
_SHORT = {"'s": "is", "'re": "are", "'ve": "have", "'ll": "will", "'d": "would"}
_MACHINE = frozenset({"she", "her", "he", "him"})
_OWNED = frozenset({"its", "their"})
#: Parts of a part: they tell how it lies, and stand for the part that they belong to.
FEATURES = word_set(
    "side edge lip hole arrow mark lock seam face end gap groove lug tab opening tail mouth flat chamfer shoulder cut-out cutout "
    "slot notch rib step bevel taper point tip head writing letter number dot line flange part-number logo tongue ear tooth thread "
    "split recess dish bulge crown back front top bottom inside outside"
)


def without_repairs(heard: Heard, index: int) -> str:
    """The lower-case utterance with what was taken back, and hesitations, blanked out; offsets stay."""
    tagged = heard.parsed[index].tagged
    text = list(heard.utterances[index].analysed.lower())
    for i in range(len(tagged)):
        taken_back = any(first <= i < last for first, last in tagged.repairs)
        if taken_back or tagged.low[i] in ("uh", "um", "er", "erm"):
            text[tagged.start[i] : tagged.end[i]] = " " * (tagged.end[i] - tagged.start[i])
    return "".join(text)


def written(heard: Heard, index: int, first: int, last: int, named: bool = True) -> str:
    """Tokens `first` up to `last` as written text; `named` puts the part's name for "it" and "them"."""
    parsed = heard.parsed[index]
    t = parsed.tagged
    pieces: list[str] = []
    values = _values(t, first, last)
    at = first
    while at < last:
        if at in values:
            at, value = values[at]
            pieces.append(value)
            continue
        chunk = parsed.chunk_at.get(at)
        taken_back = any(one <= at < other for one, other in t.repairs)
        if taken_back or t.low[at] in _FILLERS and not (chunk and chunk.first == at and chunk.last > at + 1):
            at += 1
            continue
        if chunk is not None and chunk.last <= last and named and chunk.pronoun in _NAMED | _MACHINE:
            name = named_by(heard, index, chunk)
            pieces.append(name or t.words[at])
            at = chunk.last
            continue
        word = t.words[at]
        owned = t.low[at] in _YOURS or at > first and t.low[at] in _OWNED
        pointed = t.low[at] in _TAKE_THE and chunk is not None and chunk.kind != "abstract"
        if (owned or pointed) and chunk is not None and chunk.last > at + 1:
            word = "the"
        if t.tag[at] == "AUX":
            word = _SHORT.get(t.low[at], word)
        word = _WRITTEN.get(t.low[at], word)
        if t.low[at + 1 : at + 2] == ["n't"]:
            word = _NEGATED.get(t.low[at], word)
        spelled = word != t.words[at] and (t.tag[at] == "AUX" or t.low[at] == "n't")
        glued = t.tag[at] == "PUNCT" or t.low[at].startswith("'") or (at > first and t.start[at] == t.end[at - 1])
        if glued and not spelled and pieces and t.low[at] not in ("(", "“"):
            pieces[-1] += word
        else:
            pieces.append(word)
        at += 1
    return re.sub(r"^[\s,;:.–-]+|[\s,;:.–-]+$", "", " ".join(pieces))


def _values(t: Tagged, first: int, last: int) -> dict[int, tuple[int, str]]:
    """Values with their unit in digits, by their first token, with the token behind them; parts told as words stay."""
    found = {}
    for one in find_quantities(t):
        numbers = (one.low, one.high) if None not in (one.low, one.high) else (one.value,)
        whole = first <= one.first and one.last <= last and None not in numbers
        if not whole or _PARTS_IN_WORDS & set(t.low[one.first : one.last]):
            continue
        unit = _SYMBOLS.get(one.unit, t.words[one.last - 1])
        if unit[:1].isalpha() or unit.startswith("°"):
            found[one.first] = (one.last, f"{' to '.join(f'{number:g}' for number in numbers)} {unit}")
    return found


def named_by(heard: Heard, index: int, chunk: Chunk) -> str | None:
    """What a pronoun stands for, with its article; null where nothing was found."""
    mention = heard.mention(index, chunk)
    if not mention.antecedents:
        return "the machine" if chunk.pronoun in _MACHINE else None
    return f"the {mention.text}"


def chain_end(parsed: Parsed, chunk: Chunk, prepositions: tuple[str, ...] = ("of", "on", "in", "at")) -> int:
    """The token behind a noun phrase and the phrases that tell which one ("the groove in the lower plate")."""
    t = parsed.tagged
    end = chunk.last
    allowed = prepositions
    while end + 1 < len(t) and t.low[end] in allowed and (inner := parsed.chunk_at.get(end + 1)) is not None:
        if inner.pronoun is not None and inner.pronoun not in _NAMED:
            break
        end = inner.last
        allowed = tuple({"of", "on", *prepositions} - {"at", "in"})
    return end


def thing_text(heard: Heard, index: int, chunk: Chunk, end: int | None = None) -> str | None:
    """A noun phrase with its article, as it stands in an instruction ("the oil hole of the bush").

    Null for a pronoun that stands for nothing.
    """
    parsed = heard.parsed[index]
    if chunk.pronoun in _NAMED | _MACHINE:
        return named_by(heard, index, chunk)
    if chunk.pronoun is not None and not heard.mention(index, chunk).antecedents:
        return None
    last = chain_end(parsed, chunk) if end is None else end
    text = written(heard, index, chunk.first, max(last, chunk.last))
    opens = chunk.determiner is not None or chunk.first == 0 and text[1:2].islower()
    text = f"{text[:1].lower()}{text[1:]}" if opens else text
    first, _, rest = text.partition(" ")
    if first.lower() in _OWNED:
        owner = owner_of(heard, index, chunk)
        return f"the {rest} of the {owner.text}" if owner is not None else f"the {rest}"
    if first.lower() in ("the", "a", "an", "each", "every", "both", "all", "one", "no", "any"):
        return text
    return text if chunk.kind in ("fluid", "material") and chunk.determiner is None else f"the {text}"


def owner_of(heard: Heard, index: int, chunk: Chunk) -> Mention | None:
    """The part that a feature belongs to: the last whole part named before it, here or in the two utterances before."""
    for at in range(index, max(-1, index - 3), -1):
        # "The groove in the plate faces …", then "oil the groove": the same groove.
        for same in heard.parsed[at].chunks:
            end = chain_end(heard.parsed[at], same, ("of", "on"))
            if same.noun == chunk.noun and end > same.last and (at < index or same.last <= chunk.first):
                inner = [other for other in heard.parsed[at].chunks if same.last < other.first < end]
                if inner and inner[-1].pronoun is None:
                    return heard.mention(at, inner[-1])
    for at in range(index, max(-1, index - 3), -1):
        for other in reversed(heard.parsed[at].chunks):
            if at == index and other.last > chunk.first:
                continue
            mention = heard.mention(at, other)
            if mention.head in FEATURES or mention.kind not in ("part", "fastener", "seal", "unknown"):
                continue
            if other.pronoun is not None and not mention.antecedents:
                continue
            return mention if mention.pronoun is None else replace(mention, determiner=None)
    return None


def about_of(
    heard: Heard, index: int, chunk: Chunk, prepositions: tuple[str, ...] = ("of", "on", "in", "at")
) -> str | None:
    """The part that decides where a note stands: the thing itself, or what a feature of it belongs to."""
    parsed = heard.parsed[index]
    mention = heard.mention(index, chunk)
    if mention.pronoun is not None and not mention.antecedents:
        return None
    mention = mention if mention.pronoun is not None else replace(mention, text=chunk.text, head=chunk.noun)
    end = chain_end(parsed, chunk, prepositions)
    if end > chunk.last and not (mention.head in FEATURES and parsed.tagged.low[chunk.last + 1] in _OWNED):
        inner = [other for other in parsed.chunks if chunk.last < other.first < end]
        last = heard.mention(index, inner[-1])
        if (
            mention.head in FEATURES
            and last.text
            and (last.pronoun is None or last.antecedents)
            and last.head not in FEATURES
        ):
            return last.text
        return f"{mention.text} {parsed.tagged.low[chunk.last]} {last.text}"
    if mention.head in FEATURES and chunk.owner is None:
        owner = owner_of(heard, index, chunk)
        if owner is not None:
            return owner.text
    if chunk.owner is not None:
        return f"{mention.text} of the {chunk.owner}"
    return (
        f"{mention.text} {mention.position}"
        if mention.position and mention.position.startswith("of ")
        else mention.text
    )


def third_person(verb: str, many: bool) -> str:
    """A verb in the present tense for one or many ("points", "point")."""
    if verb in ("be", "have"):
        return {("be", True): "are", ("be", False): "is", ("have", True): "have", ("have", False): "has"}[verb, many]
    if many:
        return verb
    if re.search(r"(?:s|x|z|ch|sh|o)$", verb):
        return f"{verb}es"
    return f"{verb[:-1]}ies" if re.search(r"[^aeiou]y$", verb) else f"{verb}s"


def impersonal(text: str) -> str:
    """ "the turns that you chalked on the drum" → "the turns chalked on the drum"."""
    return re.sub(
        r"(?<=\w )(?:that |which )?(?:you|we|i)(?:'ve| have|'d| just)* (?=(?:\w{2,}ed|made|put|drew|took|cut|left)\b)",
        "",
        text,
        flags=re.I,
    )


def is_thing(chunk: Chunk) -> bool:
    """False for persons, times and places; a side, edge or mark is a place that can be turned or lined up."""
    return chunk.kind not in ("person", "abstract", "place") or chunk.noun in FEATURES or chunk.pronoun is not None


def sentence(text: str) -> str:
    """Single spaces, a capital and one full stop."""
    text = re.sub(r"\b(the \w+|it|that|there|nothing|everything)'s (?=\w)", r"\1 is ", text)
    text = re.sub(r", (?:about|around|roughly|say) [\w -]+\.?$", "", text)
    text = re.sub(r"\bnice and (even|slow|gentle)\b", lambda way: _WAYS[way.group(1)], text)
    text = re.sub(r"(?:[\s,]+(?:to|at) [\d.]+ \S+)?[\s,]+(?:and|or|but|then)\W*$", "", text)
    text = " ".join(text.split()).strip(" ,;:.")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


_TIMED = frozenset({"before", "after", "once", "when", "until", "till", "as", "while"})
#: "When you fit it", "as it goes in": the time of every note of the refit.
_ON_REFIT = re.compile(
    r",? (?:when|as|once|while|whenever) (?:you|we|ye|it|they|she|he|the \w+(?: \w+)?) (?:'re |are |is |'s )?(?:re-?fit|fit|build|rebuild|put|go|goes|going"
    r"|come|comes|do|assemble|reassemble|slide|drop)(?:s|ting|ing)?(?: (?:it|them|her|that|this))?(?: back)?(?: (?:in|on|up|together|again))?\W*$",
    re.IGNORECASE,
)
_WANTED = re.compile(
    r"^(?P<before>(?:(?:on|in|at|between|for) [\w -]{3,40}?,? )?)(?:you|we|ye)(?:'ll| will| do)? (?:want|need|have|should have|leave|look for|get|allow|give|'re looking for|'re after)"
    r" (?!to\b)(?P<what>.+)$",
    re.IGNORECASE,
)
_TOLD_TO = re.compile(
    r"^(?P<before>(?:(?:on|in|at|between|for|with) [\w -]{3,40}?,? )?)(?:you|we|ye)(?:'ll| will| just| always| only| then| now| also)*"
    r" (?:(?:want|need|have|ought|got|'ve got) to|must|should|can|gotta|oughta)? ?(?P<do>[a-z]+\b.*)$",
    re.IGNORECASE,
)
#: "The gap you set to …": what is acted on stands first.
_FRONTED = re.compile(
    r"^(?P<what>(?:the|this|that|these|those|both|each|all) [\w -]{2,50}?),? (?:you|we|i)(?: must| should| have to| always| just| then)* (?P<do>[a-z]+)\b(?P<rest>.*)$",
    re.IGNORECASE,
)
_COMES_ON = re.compile(
    r"^(?P<where>(?:on|onto|in|into|between|under|behind|over|round) (?!top\b)[\w -]{3,40}?) (?:comes?|goes?|belongs?)(?: back)? (?P<what>(?:an?|the|one|two|three|four|some) .+)$",
    re.IGNORECASE,
)
_OPENERS = re.compile(
    r"^(?:and|but|so|then|also|well|now|right|okay|ok|of course|remember|plus|again|only|just|naturally|anyway|as well)\b[ ,]+",
    re.IGNORECASE,
)


def spoken_to_nobody(heard: Heard, index: int, first: int, last: int) -> str:
    """Tokens `first` up to `last` as an instruction or statement without the speaker and the viewer.

    "You want a gap of one millimetre" is "leave a gap of one millimetre", "before you fit the cap" is "before the
    cap is fitted"; what cannot be said without a person keeps it.
    """
    t = heard.parsed[index].tagged
    if timed := _ON_REFIT.search(t.phrase(first, last)):
        end = t.start[first] + timed.start()
        last = next((i for i in range(first + 1, last) if t.end[i - 1] >= end), last)
    text = _timed_without_persons(heard, index, first, last)
    text = re.sub(r"\b(?P<has>has|have) got(?:ta| to)\b", r"\g<has> to", text)
    text = re.sub(r"\bgot(?:ta| to)\b", "must", text)
    text = re.sub(r",? no more(?: than (?:that|this|the [\w ]+))?$", "", text)
    while (opened := _OPENERS.match(text)) is not None:
        text = text[opened.end() :]
    if re.match(r"there (?:is|are)\b", text, re.IGNORECASE):
        return f"make sure that {text[:1].lower()}{text[1:]}"
    if found := _COMES_ON.match(text):
        return f"put {found.group('what')} {found.group('where').lower()}"
    if found := _WANTED.match(text):
        return f"{found.group('before')}leave {found.group('what')}".strip()
    if (found := _TOLD_TO.match(text)) and _is_base(heard, found.group("do")):
        before = found.group("before").strip(" ,")
        return f"{found.group('do')} {before}".strip()
    if (found := _FRONTED.match(text)) and _is_base(heard, found.group("do")):
        return f"{found.group('do')} {found.group('what')}{found.group('rest')}"
    return text


def _is_base(heard: Heard, text: str) -> bool:
    verb = text.split()[0].lower()
    return any(form == "b" for _, form in heard.lexicon.verb_forms.get(verb, ())) and verb not in ("be", "have", "see")


def _timed_without_persons(heard: Heard, index: int, first: int, last: int) -> str:
    """The text, with "before you fit the cap on" as "before the cap is fitted on"."""
    parsed = heard.parsed[index]
    pieces, at = [], first
    for verb in parsed.verbs:
        opener = verb.opener_at
        if opener is None or opener < at or verb.at >= last or verb.opener not in _TIMED or not verb.objects:
            continue
        subject = verb.subject
        if subject is None or subject.kind != "person" and subject.pronoun not in ("you", "we", "i") or verb.negated:
            continue
        thing = thing_text(heard, index, verb.objects[0])
        sense = heard.lexicon.verb_sense(verb.base, verb.particle) or heard.lexicon.verb_sense(verb.base, None)
        if thing is None or sense is None:
            continue
        many = verb.objects[0].plural or (verb.objects[0].quantity or 1) > 1
        end = max(chain_end(parsed, verb.objects[0]), (verb.particle_at or 0) + 1)
        told = f"{parsed.tagged.low[opener]} {thing} {'are' if many else 'is'} {sense.participle.split('|')[0]}"
        if at < opener:
            pieces.append(written(heard, index, at, opener))
        pieces.append(f"{told} {verb.particle}" if verb.particle else told)
        at = end
    if at < last:
        pieces.append(written(heard, index, at, last))
    return " ".join(filter(None, pieces))
