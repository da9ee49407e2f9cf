"""Inflections of the verbs and plurals of the nouns, against lemminflect.

Source: lemminflect 0.2.3, whose forms come from the SPECIALIST lexicon of the US National Library of Medicine;
for verbs that it lacks ("unclip"), its learnt rules.
"""

from __future__ import annotations

import pytest
from lemminflect import getAllInflections, getAllInflectionsOOV, getInflection

from extract.lexicon import load
from extract.wordforms import plural_by_rule, regular_inflections, singular_by_rule

LEXICON = load()
TAGS = {"d": "VBD", "n": "VBN", "g": "VBG", "s": "VBZ"}

#: Forms that lemminflect lacks, with the reason. A dictionary form that it has beside them is listed too.
OTHER_FORMS = {
    "burn": "burnt is the British participle beside burned",
    "bust": "busted and bust are both used as participle",
    "dial": "one l in the US, two in the UK, in past and participle alike",
    "fit": "fitted in the UK, fit in the US, in past and participle alike",
    "re-fit": "as fit",
    "refit": "as fit",
    "dry-fit": "as fit",
    "trial-fit": "as fit",
    "gas": "gasses and gases are both written",
    "get": "got is the British participle of getting something off",
    "hang": "hanged is the form for people, and heard for parts",
    "prove": "proven is used beside proved",
    "saw": "sawed is the American participle",
    "hacksaw": "as saw; the rules know no compound",
    "shear": "bolts are sheared, sheep are shorn",
    "smell": "smelled in the US, smelt in the UK",
    "wet": "wetted and wet are both used as participle",
    "program": "two m everywhere; one m is an older American spelling",
    "counterhold": "compound of hold; the rules inflect it regularly",
    "recut": "compound of cut; the rules inflect it regularly",
    "regrind": "compound of grind; the rules inflect it regularly",
    "rehang": "compound of hang; the rules inflect it regularly",
    "unstick": "compound of stick; the rules inflect it regularly",
    "mic": "miced, micced and miked are all written; only the last two read right",
    "reeve": "rove is the seaman's past of reeve",
    "unreeve": "as reeve",
    "countersink": "sunk and sank are both used as past",
    "talc": "talcked keeps the hard c",
}


def listed(base: str) -> dict[str, tuple[str, ...]]:
    """lemminflect's forms: from its dictionary, for a hyphened verb from that of its last part, else by rule."""
    found = getAllInflections(base, upos="VERB")
    before, _, last = base.rpartition("-")
    if not found and before:
        found = {tag: tuple(f"{before}-{form}" for form in forms) for tag, forms in listed(last).items()}
    found = found or getAllInflectionsOOV(base, upos="VERB")
    return {**found, "VBN": found.get("VBN", found.get("VBD", ()))}


def own_forms() -> dict[str, set[tuple[str, str]]]:
    forms: dict[str, set[tuple[str, str]]] = {}
    for form, readings in LEXICON.verb_forms.items():
        for base, letter in readings:
            if letter != "b":
                forms.setdefault(base, set()).add((letter, form))
    return forms


def test_inflections_are_those_of_lemminflect():
    wrong = {}
    for base, forms in own_forms().items():
        theirs = listed(base)
        odd = sorted((letter, form) for letter, form in forms if form not in theirs.get(TAGS[letter], ()))
        if odd and base not in OTHER_FORMS:
            wrong[base] = odd
    assert not wrong


def test_every_explained_difference_is_one():
    forms = own_forms()
    for base in OTHER_FORMS:
        theirs = listed(base)
        assert any(form not in theirs.get(TAGS[letter], ()) for letter, form in forms[base]), base


def test_senses_of_one_verb_inflect_alike():
    seen: dict[str, tuple[str, ...]] = {}
    for verb in LEXICON.verbs:
        forms = (verb.past, verb.participle, verb.ing, verb.third)
        assert seen.setdefault(verb.base, forms) == forms, verb.id


@pytest.mark.parametrize(
    ("base", "forms"),
    [
        ("undo", ("undid", "undone", "undoing", "undoes")),
        ("unclip", ("unclipped", "unclipped", "unclipping", "unclips")),
        ("tie", ("tied", "tied", "tying", "ties")),
        ("put", ("put", "put", "putting", "puts")),
        ("cover", ("covered", "covered", "covering", "covers")),
        ("level", ("levelled", "levelled", "levelling", "levels")),
        ("crack", ("cracked", "cracked", "cracking", "cracks")),
    ],
)
def test_first_form_of_a_verb_is_the_british_one(base, forms):
    verb = LEXICON.verb_senses(base)[0]
    assert (verb.past, verb.participle, verb.ing, verb.third) == forms


@pytest.mark.parametrize("base", ["unclip", "grip", "press", "free", "tie", "pry", "lower", "heat", "fix", "mask"])
def test_regular_inflections_of_a_users_verb(base):
    theirs = listed(base)
    ours = regular_inflections(base)
    assert all(form in theirs[tag] for form, tag in zip(ours, ("VBD", "VBN", "VBG", "VBZ"), strict=True))


#: Plurals where the shop and lemminflect differ, with the reason.
OTHER_PLURALS = {
    "clevis": "clevides is a learned plural that no workshop uses",
    "interlock": "the dictionary has the noun without plural",
    "person": "people is the everyday plural",
    "groundsman": "the rules do not know the compound of man",
    "storeman": "the rules do not know the compound of man",
}


def head(noun: str) -> str:
    return noun.partition(" of ")[0].split()[-1].split("-")[-1]


def test_plurals_are_those_of_lemminflect():
    wrong = []
    for term in LEXICON.terms:
        one, many = head(term.term), head(term.plural) if term.plural else ""
        if many and many != one and one not in OTHER_PLURALS and many not in getInflection(one, "NNS"):
            wrong.append((term.term, term.plural))
    assert not wrong


def test_every_explained_plural_differs():
    plurals = {head(term.term): head(term.plural) for term in LEXICON.terms if term.plural}
    for one in OTHER_PLURALS:
        assert plurals[one] not in getInflection(one, "NNS"), one


@pytest.mark.parametrize("noun", ["bush", "box", "chassis", "half", "foot", "tooth", "key", "assembly", "gas", "valve"])
def test_plural_by_rule_and_back(noun):
    many = plural_by_rule(noun)
    assert many == noun or many in getInflection(noun, "NNS")
    assert singular_by_rule(many) == noun


def test_plural_of_a_compound_is_at_its_head():
    assert plural_by_rule("length of pipe") == "lengths of pipe"
    assert LEXICON.plural("block of wood") == "blocks of wood"
    assert LEXICON.plural("rocker cover bolt") == "rocker cover bolts"


def test_singular_of_frequent_english_plurals_is_that_of_the_dictionary():
    for word, found in ((word, LEXICON.english[word]) for word in list(LEXICON.english)[::37]):
        if found.classes[0] == "N" and found.lemma_noun != word and LEXICON.term(word) is None:
            assert LEXICON.singular(word) == found.lemma_noun
