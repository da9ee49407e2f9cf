"""The closed classes of English as it is spoken at the bench: words that carry the structure of a sentence."""

from __future__ import annotations

DETERMINERS = frozenset(
    "the a an this that these those my your his her its our their whose each every both all another some any no "
    "either neither whichever whatever what which such many several few yer".split()
)
ARTICLES = frozenset("the a an this that these those my your his her its our their each every another yer".split())
DEMONSTRATIVES = frozenset(["this", "that", "these", "those"])

SUBJECT_PRONOUNS = frozenset(
    "i you we they he she it ye y'all one somebody someone everybody everyone anyone anybody nobody".split()
)
OBJECT_PRONOUNS = frozenset("me him her us them em 'em it yourself itself themselves".split())
PRONOUNS = (
    SUBJECT_PRONOUNS
    | OBJECT_PRONOUNS
    | frozenset("mine yours ours theirs hers everything nothing something anything ones none there".split())
)
#: Pronouns that can stand for a part.
PART_PRONOUNS = frozenset("it them em 'em they this that these those her him she he both ones".split())

BE = frozenset("am is are was were be been being 's 're 'm ai s".split())
HAVE = frozenset(["have", "has", "had", "having", "'ve", "ve"])
DO = frozenset(["do", "does", "did"])
MODALS = frozenset("will would shall should can could may might must 'll 'd ca wo sha ought oughta gon got ll".split())
AUXILIARIES = BE | HAVE | DO | MODALS
NEGATIONS = frozenset(["not", "n't", "never", "nt"])

PREPOSITIONS = frozenset(
    "of in on at by with without from to into onto off out up down over under underneath beneath behind beside "
    "besides between through throughout across along around round against towards toward inside outside near "
    "above below within past upon until till during for about as like via per outta alongside amongst among "
    "opposite except despite regardless including excluding".split()
)
#: Words that go with a verb ("take off", "slide it back") or tell the result ("pull it clear").
PARTICLES = frozenset(
    "off out up down away back in on over apart aside loose open through together along around round home free "
    "clear forward forwards backward backwards upward upwards downward downwards inward inwards outward outwards "
    "sideways straight tight flush shut upright".split()
)
SUBORDINATORS = frozenset(
    "if when whenever once while whilst because cause cos cuz since as unless until till although though before "
    "after where wherever whether that which who whereas lest 'cause so provided how why what".split()
)
CONJUNCTIONS = frozenset(["and", "or", "but", "nor", "plus", "&"])
ADVERBS = frozenset(
    "now then next first firstly second secondly third thirdly finally lastly just only also too again always "
    "ever already still even here there afterwards afterward subsequently instead well very quite really pretty "
    "likewise otherwise meanwhile maybe perhaps please so simply usually normally almost nearly rather soon later "
    "once twice thereafter beforehand before after about however therefore hence thus today tomorrow tonight "
    "yesterday furthermore moreover in-situ".split()
)
INTERJECTIONS = frozenset(
    "okay ok right alright well uh um er erm ah oh hey yeah yep lord cor hi hello hullo hiya aye yes gee whoa "
    "grand cheers ta thanks eh hmm uhm righto anyway anyhow basically obviously actually".split()
)
#: Words that open a new step or thought when nothing else marks the end of a sentence.
DISCOURSE_OPENERS = frozenset(
    "now then next first firstly finally lastly okay ok right alright so well subsequently".split()
)

#: Verbs after which an object pronoun takes a bare verb ("let it drain", "help it come").
CAUSATIVES = frozenset("let lets letting help helps make makes made watch see hear have lemme".split())

#: What a speaker calls the recording that is being made; what it does is a verb ("this film shows how …").
RECORDINGS = frozenset("film video recording clip session lesson instruction demonstration module talk".split())
#: Words that are nouns only behind an article or a preposition.
VERBS_FIRST = frozenset(
    "go goes get gets want wants come comes put puts take takes keep keeps need needs let lets make makes give "
    "gives look looks leave leaves".split()
)
