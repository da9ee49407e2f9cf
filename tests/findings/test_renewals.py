"""Renewals: what must be new, what replaces what, what is used up, and what only sounds like it."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

from extract.findings.renewals import find_renewals, said_for_refit
from extract.findings.replacing import find_replace_flags
from extract.rules import Rule, load_rules
from extract.speech import RenewalFound

RULES = load_rules("renewals")


def renewals(*sentences: str) -> tuple[RenewalFound, ...]:
    heard, phases, actions = hear_sentences(sentences)
    return find_renewals(heard, phases, actions, frozenset())


def items(*sentences: str) -> list[tuple[str, str, int | None]]:
    return [(one.kind, one.item, one.quantity) for one in renewals(*sentences)]


def replace_flags(*sentences: str) -> list[str]:
    heard, phases, _ = hear_sentences(sentences)
    return [flag.message for flag in find_replace_flags(heard, phases, frozenset())]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_rules_hit_and_miss_their_sentences(rule: Rule):
    assert len(rule.hits) >= 3 and len(rule.misses) >= 2
    assert [text for text in rule.hits if not rule.pattern.search(text.lower())] == []
    assert [text for text in rule.misses if rule.pattern.search(text.lower())] == []


@pytest.mark.parametrize(
    ("gate", "kinds"),
    [
        ("gate", ("renew", "new", "substitute", "too", "too-here")),
        ("gate-consumable", ("consumable", "staying", "joining")),
    ],
)
def test_the_gates_let_through_what_the_rules_hit(gate, kinds):
    pattern = next(rule.pattern for rule in RULES if rule.text("kind") == gate)
    told = [text for rule in RULES if rule.text("kind") in kinds for text in rule.hits]
    assert [text for text in told if not pattern.search(text.lower())] == []


@pytest.mark.parametrize(
    ("sentence", "item", "quantity"),
    [
        ("Renew the belt.", "belt", 1),
        ("Both guide bolts have to be renewed.", "guide bolt", 2),
        ("The six pump screws carry a coating and are in each case to be renewed.", "pump screw", 6),
        ("The lip seal must always be renewed once it has been disturbed.", "lip seal", 1),
        ("There's two seal rings on that piston, and they both want renewing.", "seal ring", 2),
        ("Those three circlips have to be new going back.", "circlip", 3),
        ("the nyloc nut off that joint wants to be a new one going back", "nyloc nut", 1),
        ("split pin's a new one every time", "split pin", 1),
        ("it's a new split pin every time you put it back", "split pin", 1),
        ("Fit a new cork gasket every time.", "cork gasket", 1),
        ("There's two new copper washers go on that.", "copper washer", 2),
        ("the drain plug gets a new o ring too", "o ring", 1),
        ("For the refitting two new hose clamps must be provided.", "hose clamp", 2),
        ("You'll want a couple of new crush washers.", "crush washer", 2),
        ("We always fit new shear pins here, all four of them.", "shear pin", 4),
        ("You need a new set of piston rings.", "piston ring", None),
        ("Don't reuse those two little hose washers.", "hose washer", 2),
        ("you never put an old cartridge back on", "cartridge", 1),
        ("Never use the circlip a second time.", "circlip", 1),
        ("Both self-locking nuts may be used one time only.", "self-locking nut", 2),
        ("A split pin is only ever used once.", "split pin", 1),
        ("The fibre washer on the plug is a throwaway job.", "fibre washer", 1),
        ("These clips are single use.", "clip", None),
        ("The drive shaft nut is a one-time nut.", "drive shaft nut", 1),
        ("Throw that seal away.", "seal", 1),
        ("Remove and discard the cotter pin.", "cotter pin", 1),
        ("toss that snap ring and use a new one", "snap ring", 1),
        ("In the bin with the old gasket.", "gasket", 1),
        ("The two arms are exchanged complete.", "arm", 2),
        ("all three of them nuts get replaced with new ones", "nut", 3),
        ("The gasket is in ribbons, so that has to be replaced with a new one.", "gasket", 1),
        ("the hoses are replaced as a pair never the one", "hose", 2),
        ("Replace the gasket every time.", "gasket", 1),
        ("each flange gets a new o ring so you need two for the job", "o ring", 2),
        ("A new nylon washer is fitted under each screw.", "nylon washer", None),
    ],
)
def test_one_renewal(sentence, item, quantity):
    assert items(sentence) == [("renew", item, quantity)]


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Fit a new cork gasket, and three new fibre washers under the cap nuts.", [("cork gasket", 1), ("fibre washer", 3)]),
        ("The piston seal, the rod seal, the wiper and the wear rings are renewed.", [("piston seal", 1), ("rod seal", 1), ("wiper", 1), ("wear ring", None)]),
        ("The wiper ring has to be renewed, and so has the guide strip.", [("wiper ring", 1), ("guide strip", 1)]),
        ("Both bearings and the seal get replaced with new ones.", [("bearing", 2), ("seal", 1)]),
        ("New pads go in with the new disc, always.", [("pad", None), ("disc", 1)]),
        ("You need: a new gasket, two new O-rings and four new locking plates.", [("gasket", 1), ("O-ring", 2), ("locking plate", 4)]),
    ],
)  # fmt: skip
def test_lists_with_counts(sentence, expected):
    assert [(item, quantity) for _, item, quantity in items(sentence)] == expected


def test_a_count_said_of_the_new_ones_belongs_to_the_part():
    assert items("Those nuts are copper plated and you never use them twice, so it's four new ones going on.") == [
        ("renew", "nut", 4)
    ]
    assert items("Stretched bolts are never used twice, so it's ten new head bolts every time.") == [
        ("renew", "head bolt", 10)
    ]


def test_a_new_one_stands_for_the_part_spoken_of():
    assert items("The retaining ring loses its spring once it's off, so always a new one.") == [
        ("renew", "retaining ring", 1)
    ]


def test_this_one_too_goes_on_with_the_renewal_before():
    assert items("The wiper ring has to be renewed.", "Same goes for the two backup rings.")[1] == (
        "renew",
        "backup ring",
        2,
    )
    assert items("The oil seal is renewed.", "And the paper gasket as well.")[1] == ("renew", "paper gasket", 1)
    assert items("Undo the union.", "And the paper gasket as well.") == []


def test_how_the_count_is_known():
    told = [renewals(text)[0].count_from for text in ("Renew both seals.", "Renew the seal.", "Renew the seals.")]
    assert told == ["spoken", "singular", "unknown"]


@pytest.mark.parametrize(
    ("sentence", "only_if"),
    [
        ("Renew the seal if it is scored.", "if it is scored"),
        ("If the bush is worn, fit a new one.", "if the bush is worn"),
        ("if any of em are chewed up you're gonna want a new sleeve", "if any of em are chewed up"),
        ("A cracked boot is always renewed.", "if it is cracked"),
        ("Both bushes get renewed even if one of them is worn less.", None),
        ("When it goes back on, fit a new split pin.", None),
    ],
)
def test_renewed_only_after_a_finding(sentence, only_if):
    assert [one.only_if for one in renewals(sentence)] == [only_if]


@pytest.mark.parametrize(
    ("sentence", "old", "quantity", "new"),
    [
        ("On reassembly these two rivets are replaced by M5 screws.", "rivet", 2, "M5 screw"),
        ("The tab washer has been superseded, a self-locking washer is fitted in its place.", "tab washer", 1, "self-locking washer"),
        ("In place of the old clevis pin you fit an M10 bolt.", "clevis pin", 1, "M10 bolt"),
        ("Swap the spring clips for proper screw clamps when you put it back.", "spring clip", None, "screw clamp"),
        ("Replace the two washers with thicker ones.", "washer", 2, "thicker washer"),
        ("The crimped ferrule is replaced by a compression fitting.", "crimped ferrule", 1, "compression fitting"),
    ],
)  # fmt: skip
def test_one_kind_takes_the_place_of_another(sentence, old, quantity, new):
    assert [(one.kind, one.item, one.quantity, one.replaced_by) for one in renewals(sentence)] == [
        ("substitute", old, quantity, new)
    ]
    assert replace_flags(sentence) == []


@pytest.mark.parametrize(
    ("sentence", "item", "amount"),
    [
        ("On assembly put a smear of brake grease on the guide pins.", "brake grease", "a smear"),
        ("All nine bolts get a drop of thread lock.", "thread lock", "a drop"),
        ("Two dabs of grease on the needle bearing, no more than that.", "grease", "Two dabs"),
        ("put blue thread locker on those flange bolts when they go in", "thread locker", None),
        ("Run a bead of silicone around the groove.", "silicone", "a bead"),
        ("wet the lip with gear oil before you tap the seal in", "gear oil", None),
        ("Top the reservoir up with fresh fluid.", "fluid", None),
        ("Pour clean oil into the oil inlet before you connect the feed.", "oil", None),
        ("It's fresh oil only going back into her.", "oil", None),
        ("The old coolant may not be used again, new coolant is to be filled in.", "coolant", None),
        ("Soak the friction plates in clean transmission oil for an hour before you use them.", "transmission oil", None),
        ("spray the air fittings with leak detector and look for bubbles", "leak detector", None),
        ("put two wraps of thread tape on that plug", "thread tape", "two wraps"),
    ],
)  # fmt: skip
def test_materials_that_are_used_up(sentence, item, amount):
    assert [(one.kind, one.item, one.amount_text) for one in renewals(sentence)] == [("consumable", item, amount)]


@pytest.mark.parametrize(
    ("sentences", "value", "unit"),
    [
        (["Put four and a half litres of gear oil in."], 4.5, "l"),
        (["Fill the gearbox with one point two litres of gear oil."], 1.2, "l"),
        (["then fill it up with fresh gear oil it takes three and a half quarts"], 3.5, "qt"),
        (["Fill it with new gear oil.", "It takes about four litres."], 4, "l"),
        (["Fill her with new gear oil, about three hundred and fifty mils."], 350, "ml"),
    ],
)
def test_amounts_of_materials(sentences, value, unit):
    found = renewals(*sentences)
    assert [(one.amount_value, one.amount_unit) for one in found] == [(value, unit)]


@pytest.mark.parametrize(
    "sentence",
    [
        "The circlip can be used again if it isn't stretched.",
        "You don't have to renew the bearing.",
        "Do not discard the shims.",
        "It comes up like new after a good polish.",
        "Don't drop it or you'll be buying a new one.",
        "That's a new one on me.",
        "The new model has a different cover.",
        "I've just put a new blade in this knife.",
        "In a new engine the clearance is different.",
        "Let's start a new section.",
        "Throw it in the parts washer.",
        "We're replacing the fuel pump today.",
        "To replace the pump you first need to drain the system.",
        "Drain the oil into a pan.",
        "Wipe the old grease off the shaft.",
        "Spray penetrating oil on the nuts and leave it ten minutes.",
        "Oil and grease attack the elastomers and must not be used.",
        "Keep oil and grease away from the drum.",
        "Oil the seal rings.",
        "Undo the two bolts and lift the bracket away.",
        "Never mix old and new belts.",
        "Today we're fitting a new belt to the thresher.",
    ],
)
def test_what_is_no_renewal(sentence):
    assert items(sentence) == []


def test_the_new_part_that_is_known_already_is_not_another_renewal():
    sentences = ["The belt is renewed in every case.", "When the new belt is fitted, its toothed side faces inwards."]
    assert items(*sentences) == [("renew", "belt", 1)]
    assert items("Fit a new impeller.", "Wet the new impeller with washing-up liquid before you push it in.")[1:] == [
        ("consumable", "washing-up liquid", None)
    ]


@pytest.mark.parametrize(
    "sentence",
    [
        "When you replace the tines, put them back on with the cutting edge to the front.",
        "Replace the cover and tighten the screws.",
        "Replace the bolts in their original holes.",
        "When the boot is back over the lip, replace the wire ring with its spring at the bottom.",
        "Replace the guard.",
    ],
)
def test_replace_that_means_put_back(sentence):
    assert items(sentence) == []
    assert replace_flags(sentence) == []


@pytest.mark.parametrize(
    "sentence",
    [
        "With that done, replace the spring and the tensioner.",
        "Then replace the grease nipple.",
        "Replace the impeller.",
    ],
)
def test_replace_that_nothing_decides_is_flagged(sentence):
    assert items(sentence) == []
    assert len(replace_flags(sentence)) == 1


def test_replace_that_means_a_new_one_has_no_flag():
    for sentence in (
        "If the chain guard's cracked, replace it.",
        "Replace the brushes as a pair.",
        "Replace the gasket.",
    ):
        assert replace_flags(sentence) == []
        assert [kind for kind, _, _ in items(sentence)] == ["renew"]


def test_words_that_cannot_be_trusted_give_nothing():
    heard, phases, actions = hear_sentences(["Renew the seal.", "Then replace the grease nipple."])
    assert find_renewals(heard, phases, actions, frozenset({0})) == ()
    assert find_replace_flags(heard, phases, frozenset({1})) == ()


def test_places_lie_in_the_words():
    for sentence in ("The six pump screws are to be renewed.", "Fit two new clips."):
        place = renewals(sentence)[0].place
        assert 0 <= place.start < place.end <= len(sentence)


def test_an_act_of_discarding_does_not_make_a_refit_note():
    heard, phases, actions = hear_sentences(["Remove and discard the split pin.", "Toss that clip and use a new one."])
    found = find_renewals(heard, phases, actions, frozenset())
    assert [one.item for one in found] == ["split pin", "clip"]
    assert [one.item for one in said_for_refit(found, actions)] == ["clip"]
