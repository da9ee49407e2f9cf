"""Words that open, carry and close utterances, and how much each says, with weights set by hand."""

from __future__ import annotations

from extract.language import grammar

#: Written between words where a pause, or the first parse, speaks for a boundary.
MARK = ";"
NEVER = -9.0
#: Cost of a second main clause in one utterance, of an utterance without any verb, of one that only leans on another.
SECOND_MAIN = 2.2
VERBLESS = 0.9
LEANING = 1.4
START = -0.5
MAIN_START = 1.4
LONGEST = 70
#: How well a word that opens a subordinate clause opens an utterance too; those not named here trail.
LEADING = {
    "if": 2.0, "once": 1.7, "when": 1.0, "whenever": 1.4, "after": 1.5, "before": 0.8, "while": 1.1, "whilst": 1.1, "where": 0.5, "unless": 0.5,
    "although": 1.0, "though": 0.0, "since": 0.2, "as": 0.1, "until": -0.6, "till": -0.8, "because": -0.8, "cause": -0.9, "cos": -0.9, "provided": 0.2,
    "what": 0.2, "how": -0.6, "why": -0.2, "wherever": 0.3,
}  # fmt: skip
#: How well a place, time or tool told first opens an utterance, by its preposition.
PHRASE_LEADS = {
    "on": -0.3, "in": -0.5, "at": -0.3, "with": -0.6, "for": -0.2, "after": 0.4, "before": 0.2, "during": 0.0, "from": -1.0, "through": -0.7, "behind": -0.4,
    "under": -0.7, "underneath": -0.5, "inside": -0.7, "by": -1.0, "without": -0.9, "instead": 0.0, "below": -0.6, "above": -0.6, "until": -0.8, "over": -0.9,
    "as": -0.6, "like": -1.2, "per": -1.5, "except": -1.0, "besides": 0.2, "opposite": -0.6, "regardless": 0.9, "irrespective": 0.9, "between": -1.0, "around": -1.3, "against": -1.3, "about": -1.5,
}  # fmt: skip
FRAMES = frozenset(
    "version type model case end mounting refitting fitting assembly reassembly refit start beginning reason moment automatic manual system variant edition series".split()
)
OPENERS = {
    "okay": 2.2, "ok": 2.2, "alright": 2.2, "right": 2.0, "righto": 2.2, "well": 1.8, "anyway": 1.4, "now": 1.7, "then": 1.1, "next": 1.4, "first": 1.2,
    "firstly": 1.6, "secondly": 1.6, "thirdly": 1.6, "finally": 1.6, "lastly": 1.6, "subsequently": 1.5, "otherwise": 0.6, "afterwards": 0.6,
    "today": 1.2, "so": 0.3, "hey": 1.5, "hi": 1.5, "hello": 1.5, "cheers": 1.3, "thanks": 1.5, "ta": 1.0, "lovely": 1.5, "grand": 1.2, "hm": 0.3, "aye": 1.0,
    "yeah": 1.0, "yep": 1.0, "yes": 1.0, "oh": 1.3, "meanwhile": 1.3, "thereafter": 0.9, "already": 0.0, "please": 0.9, "kindly": 1.3, "actually": 0.6, "remember": 1.4,
    "everybody": 1.9, "everyone": 1.9, "cor": 1.4, "lord": 1.4, "whatever": 1.2, "whichever": 1.2, "here": 0.9, "careful": 1.0, "whoa": 1.4, "gee": 1.4, "however": 1.3, "therefore": 0.2, "hence": 0.2, "whereupon": -1.0,
}  # fmt: skip
FALSE_RIGHT = frozenset(
    "there here back away down up in off out on over through round around now at under behind beside next to into by above across between".split()
)
MEASURES = frozenset(
    "pound pounds metre metres meter meters degree degrees millimetre millimetres millimeter millimeters mil mm thou litre litres liter liters quart "
    "quarts bar psi nm gram grams ounce ounces kilo kilos inch inches turn turns minute minutes hour hours gallon gallons pint pints amp amps".split()
)
#: Verbs that state how a part is or must be, so that a plural noun before their base form is their subject.
STATING = frozenset(
    "have get go come sit stay need want require carry lose fit take weigh stand hang live belong show look point face wear run hold apply attack come "
    "become remain share use rest mean seem do say match differ".split()
)
ALONE = grammar.PARTICLES | frozenset("inside outside below above underneath beneath behind near past".split())
TWO_WORD_OPENERS = frozenset(
    ["first thing", "this morning", "this afternoon", "this evening", "either sort", "that done", "this done", "first job", "next job", "last job", "first step", "next step", "last step", "from here", "from there", "from now", "next thing", "last thing", "next up", "first up", "first off", "heads up", "either way", "this time", "first of", "last of",
     "at first", "at last", "that said", "of course"]
)  # fmt: skip
#: Before a clause these take it as their object: "make sure the …", "to see it 's turning".
TAKES_CLAUSE = frozenset(
    "see know think mean say ensure check remember feel hear find notice tell hope reckon suppose guess believe expect watch bet".split()
)
BEFORE_CLAUSE = frozenset("sure careful certain sorry glad afraid happy".split())
VOCATIVES = frozenset("mate lads lad pal love guys folks boys chief boss".split())
#: What is done, as a heading: "assembly", "removal of the spacer".
HEADINGS = frozenset(
    "removal assembly reassembly refitting refit fitting dismantling installation disassembly mounting reinstallation".split()
)
#: How well "after starting", "for putting it back" open an utterance.
GERUND_LEADS = {"after": 1.2, "before": 0.8, "when": 1.2, "while": 1.3, "whilst": 1.3, "for": 0.7, "on": 0.6, "by": 0.2}
CLOSERS = frozenset(
    "lovely grand cheers thanks hello hi beauty good great perfect brilliant sorted done nice ta".split()
)
#: Tokens at the start of a stretch among which "so" opens the talk proper.
INTRODUCTION = 16
#: Words that set one kind of machine, or one place, against another.
CONTRASTS = frozenset("older newer earlier later early late other bigger smaller larger lower upper".split())
#: Verbs that stand without an object.
ALONE_VERBS = frozenset(
    "listen look go come wait stop start finish work run rise sit stand lie begin happen leak turn know".split()
)
#: What the speaker shows or tells.
SHOWN = frozenset("video film clip talk lesson episode instruction demonstration recording part section".split())
WITHIN = frozenset("behind inside outside under underneath beneath below above".split())
SUBJECT_ONLY = frozenset(["i", "we", "they", "ye", "he", "she"])
HUNGRY_ADVERBS = frozenset("very quite really pretty just only too almost nearly even rather about every".split())
