"""Whether a verb tells an act: command, narration, passive, report, or only a statement, a reason, a consequence."""

from __future__ import annotations

from extract.language import grammar
from extract.language.complements import Parsed, VerbPhrase
from extract.language.heard import Heard

#: Subordinators whose clause tells no act of its own at this point.
_NO_ACT = frozenset(
    "if when whenever until till because cause cos 'cause so that as since while whilst unless where wherever "
    "although though lest who whose than whether without provided to for instead with from in how why what".split()
)


_NARRATORS = frozenset("i we you ye y'all he she they one us".split())


#: Intransitive movement: "the cover comes off next".
COMES = frozenset("come lift slide pull pop drop slip drive tap spin unscrew unbolt unclip screw wind".split())


#: Verbs whose present passive tells a state ("the cover is held by two clips", "its spring is stretched").
_STATES = frozenset(
    "hold secure fix fasten bolt screw rivet mount locate seat fit seal lock stretch coat rust wear wire connect "
    "attach glue bond clip press damage kink crack bend strip block clog load charge cover build make use call "
    "name say need paint colour color hide tighten torque renew replace reserve intend design mean finish ruin recess key splined thread keep allow "
    "permit forbid supply provide carry drive support stick seize shear fray burst dent swell perish tear scratch score "
    "clog pit chip".split()
)


#: Ways that an -ing or a passive cannot be an act: what is plugged solid got so by itself.
_STUCK = frozenset({"solid", "rigid", "fast"})
#: Verbs without a passive: "it is gone to earth" tells what became of it.
_NO_PASSIVE = frozenset("go come fall happen become arrive stay remain".split())
_RESULTS = ("tight", "open", "shut", "loose", "straight", "free", "clear", "home", "together", "in")


_HARM = frozenset(
    "strip cook bend wreck break damage snap ruin crack scratch shear crush burn lose tear twist kink bite kill hurt "
    "cut trap split spill blow".split()
)


#: "The knives go in with the bevel outside": particles of a part that goes back to its place.
GOING_IN = ("in", "on", "back", "together", "home")


def mood(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase, *, refit: bool = False) -> tuple[bool, bool, str]:
    """Whether the verb tells an act, whether it was done before, and the reading."""
    t = parsed.tagged
    aux = verb.aux
    low_aux = set(aux)
    already = "already" in verb.adverbs or _word_near(parsed, verb, ("already", "beforehand", "earlier", "previously"))
    if verb.negated:
        return False, False, "negated"
    if verb.subject is not None and {"neither", "none"} & set(t.low[max(0, verb.subject.first - 3) : verb.at]):
        return False, False, "negated"
    if verb.subject is not None and verb.subject.determiner == "no":
        return False, False, "negated"
    if verb.carried_by == "get" and verb.form == "b":
        return False, False, "somebody-else"
    if verb.question and not {"only"} & set(t.low[: verb.first]):
        return False, False, "question"
    before = parsed.verbs[number - 1] if number else None
    if (
        before is not None
        and before.base in grammar.CAUSATIVES
        and not {"sure", "certain"} & set(t.low[before.at : verb.at])  # "make sure you disconnect the battery"
        and verb.form == "b"
        and verb.first <= before.last
        and before.particle is None
    ):
        return False, False, "let"
    if low_aux & {"will", "'ll", "ll", "can", "may"} and (
        verb.base in _HARM or any(other.negated for other in parsed.verbs[:number])
    ):
        return False, False, "consequence"
    if "had" in low_aux:
        return False, False, "past"
    subject = verb.subject
    pronoun = subject.pronoun if subject is not None else None
    opener = verb.opener
    if opener in ("after", "before", "once") and verb.form == "g" and opener != "once":
        return True, False, "sequence"
    if opener == "which":
        passive_present = verb.form in ("n", "dn") and low_aux & {"is", "are"} and verb.particle is not None
        return bool(passive_present), False, "relative"
    if opener == "before" and verb.form in ("n", "dn") and low_aux & {"is", "are"} and subject is not None:
        return True, False, "before"
    if opener == "that" and verb.carried_by in ("need", "want", "require") and verb.form == "g":
        return True, False, "needs-doing"
    if opener == "to" and before is not None and before.base == "use" and before.objects:
        return mood(heard, parsed, number - 1, before, refit=refit)
    if (
        opener in ("once", "after", "when")
        and verb.form in ("n", "dn")
        and "been" in low_aux
        and low_aux & {"has", "have", "'s"}
        and not refit
    ):
        return True, False, "once-done"
    if (
        opener == "while"
        and before is not None
        and before.carried_by in ("get", "have")
        and pronoun in ("you", "i", "we")
    ):
        return True, False, "narrated"  # "get somebody to hold the pedal while you undo the nipple"
    if opener in _NO_ACT or opener in {"by", "after", "before", "once", "on"}:
        return False, False, "subordinate"
    if (
        low_aux & {"would", "'d", "might", "wo", "could", "may"}
        and "better" not in t.low[verb.first : verb.at]
        and not (low_aux & {"could", "may", "might"} and pronoun in ("you", "we") and verb.particle)
    ):
        return False, False, "modal"
    person = subject is not None and subject.kind == "person"
    if verb.form == "g":
        if low_aux & {"am", "'m", "are", "'re", "is", "'s", "be"} and person:
            return pronoun not in ("it", "they"), False, "progressive"
        if verb.carried_by in ("need", "want", "require"):
            return True, False, "needs-doing"
        if verb.carried_by in {"start", "begin", "finish", "carry"}:
            return True, False, "imperative"
        if verb.joined and number and parsed.verbs[number - 1].form == "g":
            return mood(heard, parsed, number - 1, parsed.verbs[number - 1], refit=refit)
        if subject is None and number and parsed.verbs[number - 1].form == "g":
            return False, False, "gerund"
        return False, False, "gerund"
    if verb.form in ("n", "dn") and person and verb.carried_by in ("get", "have") and low_aux & grammar.HAVE:
        return True, True, "have-done"
    if verb.form in ("n", "dn", "d") and (low_aux & grammar.BE or verb.carried_by in ("need", "want", "get")):
        return _passive(parsed, verb, already, refit)
    if verb.form in ("n", "dn", "d") and low_aux & grammar.HAVE:
        if not person:
            return False, False, "state"
        return True, already or _prepared(parsed, verb), "perfect"
    if subject is None and _in_report(heard, parsed, number, verb):
        return True, True, "report"
    if subject is not None and "already" in t.low and have_before(parsed, verb) and "n" in _forms(heard, parsed, verb):
        return True, True, "have-done"
    if verb.form in ("d", "dn") and _came_off(verb):
        return True, True, "came-off"
    if verb.form in ("dn", "d", "n"):
        if verb.joined and number:
            before = parsed.verbs[number - 1]
            if before.form in ("n", "dn", "d"):
                told, done, rule = mood(heard, parsed, number - 1, before, refit=refit)
                passive = bool(set(before.aux) & grammar.BE)
                return (told and (subject is None or passive or pronoun in _NARRATORS)), done, rule
        if person:
            return True, already or pronoun == "i", "past"
        if subject is not None and number and parsed.verbs[number - 1].base == "have" and already:
            return True, True, "have-done"
        if subject is not None and parsed.verbs and have_before(parsed, verb):
            return True, True, "have-done"
        if subject is None and t.form[verb.at] in ("d", "dn", "n") and (already or number == 0) and verb.objects:
            return True, True, "short-report"
        return False, False, "participle"
    if (
        verb.base == "go"
        and verb.form in ("s", "b")
        and subject is not None
        and not person
        and opener is None
        and not low_aux
    ):
        return verb.particle in GOING_IN, False, "goes-in"
    if verb.form == "s" and pronoun in ("one", "someone", "somebody"):
        return True, False, "narrated"  # "one notes down the gap"
    if verb.form == "s":
        return _third_person(parsed, number, verb)
    # Base form.
    if subject is None and low_aux - _BARE_AUX:
        return False, False, "modal"
    if subject is None:
        if verb.joined and number and parsed.verbs[number - 1].form != "b" and not aux:
            before = parsed.verbs[number - 1]
            if before.carried_by or before.opener == "to":
                return True, False, "imperative"
        return True, False, "imperative"
    if person:
        if low_aux & grammar.DO and verb.carried_by is None:
            return "do" in low_aux and pronoun != "they", False, "emphatic"
        return True, False, "narrated"
    if low_aux & {"must", "should", "will", "'ll", "to"} or verb.carried_by in ("want", "need", "have"):
        comes = verb.base in COMES and verb.particle in {"off", "out", "away", "apart"} and subject.kind != "person"
        return comes, False, "part-moves"
    if "can" in low_aux and subject.kind in ("part", "fastener", "seal") and pronoun is None and subject.determiner:
        return verb.base in COMES and verb.particle in {"off", "out", "away", "apart"}, False, "part-moves"
    several = subject.plural or (subject.first > 0 and t.tag[subject.first - 1] == "CONJ")
    if several and verb.base in COMES and verb.particle is not None:
        return _third_person(parsed, number, verb)
    if (
        subject.determiner is None
        and subject.pronoun is None
        and not subject.plural
        and subject.kind == "unknown"
        and verb.objects
    ):
        return True, False, "imperative"
    return False, False, "statement"


#: Auxiliaries of a command or a plan told without its subject ("gonna pop this off", "gotta lift it").
_BARE_AUX = frozenset(
    {
        "gon",
        "na",
        "gonna",
        "got",
        "ta",
        "gotta",
        "wanna",
        "lemme",
        "let",
        "'s",
        "us",
        "me",
        "do",
        "to",
        "need",
        "will",
        "must",
    }
)


def _forms(heard: Heard, parsed: Parsed, verb: VerbPhrase) -> str:
    """All forms that the verb's word can be, as letters."""
    return "".join(form for _, form in heard.lexicon.verb_forms.get(parsed.tagged.low[verb.at], ()))


def _in_report(heard: Heard, parsed: Parsed, number: int, verb: VerbPhrase) -> bool:
    """Whether the verb goes on a report: "I've already run the mower onto the ramp, blocked the rollers and …"."""
    forms = _forms(heard, parsed, verb)
    if verb.aux or not ("n" in forms or "d" in forms):
        return False
    for before in reversed(parsed.verbs[:number]):
        person = before.subject is not None and before.subject.kind == "person"
        if person and (set(before.aux) & grammar.HAVE or before.form in ("d", "dn")):
            return _word_near(parsed, before, ("already", "beforehand", "earlier", "previously"))
        if before.subject is not None or before.opener in _NO_ACT:
            return False
    return False


def _word_near(parsed: Parsed, verb: VerbPhrase, words: tuple[str, ...]) -> bool:
    low = parsed.tagged.low
    return any(word in words for word in low[max(0, verb.first - 4) : min(len(low), verb.last + 3)])


def _prepared(parsed: Parsed, verb: VerbPhrase) -> bool:
    """ "I have the fuel tap closed off already": anything done with "have" before the first act is a report."""
    return verb.subject is not None and verb.subject.pronoun in ("i", "we") and not (
        set(parsed.tagged.low[verb.first : verb.last]) & {"now", "just"}
    )  # fmt: skip


def have_before(parsed: Parsed, verb: VerbPhrase) -> bool:
    """ "I have the fuel tap closed off": a participle behind the object of have."""
    for before in parsed.verbs:
        if before.at >= verb.at:
            return False
        if before.base in ("have", "get") and before.subject is not None and before.subject.pronoun in _NARRATORS:
            return True
    return False


def _passive(parsed: Parsed, verb: VerbPhrase, already: bool, refit: bool) -> tuple[bool, bool, str]:
    aux = set(verb.aux)
    subject = verb.subject
    if verb.base in _NO_PASSIVE or _STUCK & set(verb.adverbs):
        return False, False, "state"
    if subject is None:
        return bool(aux & {"to"}), False, "passive"
    if aux & {"was", "were"}:
        return True, True, "passive-past"
    if aux & grammar.HAVE and "been" in aux and "to" not in aux:
        return True, True, "passive-perfect"
    if already and aux & {"is", "are", "'s", "'re"}:
        return True, True, "passive-state"
    if any(phrase.preposition == "by" and phrase.chunks[0].kind == "person" for phrase in verb.phrases):
        return False, False, "somebody-else"  # "it must be signed off by a licensed fitter"
    if (
        verb.base == "break"
        and verb.particle is None
        and not any(phrase.preposition == "with" for phrase in verb.phrases)
    ):
        return False, False, "state"  # "the bracket is broken"
    if (
        not refit
        and verb.base in _STATES
        and not aux & {"to", "must", "should", "can", "be", "get", "gets"}
        and verb.particle in (None, *_RESULTS)
        and not any(phrase.preposition.split()[0] in ("out", "off", "from") for phrase in verb.phrases)
    ):
        return False, False, "state"
    if any(
        phrase.preposition == "by"
        and phrase.chunks[0].kind not in ("person", "abstract")
        and phrase.chunks[0].noun not in {"hand", "means", "use", "way"}
        for phrase in verb.phrases
    ):
        return False, False, "state"
    return True, False, "passive"


def _came_off(verb: VerbPhrase) -> bool:
    """ "the hood and the weights came off yesterday": what was taken off before."""
    particle = verb.particle or next((phrase.preposition.split()[0] for phrase in verb.phrases), None)
    thing = (
        verb.subject is not None
        and verb.subject.pronoun is None
        and verb.subject.kind in ("part", "fastener", "seal", "unknown")
    )
    return thing and verb.opener is None and verb.base == "come" and particle in ("off", "out") and not verb.negated


def _third_person(parsed: Parsed, number: int, verb: VerbPhrase) -> tuple[bool, bool, str]:
    """ "the cover comes off next", "then the pump slides out": acts told of the part."""
    particle = verb.particle or next((phrase.preposition.split()[0] for phrase in verb.phrases), None)
    if verb.base not in COMES or particle not in {"off", "out", "away", "up", "down", "apart"}:
        return False, False, "statement"
    low = parsed.tagged.low
    subject = verb.subject
    if subject is None or verb.opener is not None:
        return False, False, "statement"
    if subject.pronoun in {"it", "that", "this", "they"} and any(
        before.base != "be" for before in parsed.verbs[:number]
    ):
        return False, False, "statement"
    if (subject.pronoun is not None or subject.kind in {"part", "fastener", "seal", "unknown"}) and particle in {
        "off",
        "out",
        "away",
        "apart",
    }:
        return True, False, "comes-off"
    sequenced = bool({"next", "then", "now", "first", "finally", "after"} & set(low))
    lone = subject.first <= 2 and (len(parsed.verbs) == 1 or subject.pronoun is not None) and "can" not in verb.aux
    return sequenced or lone, False, "comes-off"
