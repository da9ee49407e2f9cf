"""Renewals: what must be new, what replaces what, what is used up, and what only sounds like it."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

from extract.findings.renewals import find_renewals, said_for_refit
from extract.findings.replacing import find_replace_flags
from extract.rules import load_rules
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
        ("Both trunnion bolts must be renewed.", "trunnion bolt", 2),
        ("The six bonnet screws have a coating and must in every case be renewed.", "bonnet screw", 6),
        ("The lip seal must always be renewed once it has been disturbed.", "lip seal", 1),
        ("There's two seal rings on that piston, and they both want renewing.", "seal ring", 2),
        ("The three dowels have to be brand new on assembly.", "dowel", 3),
        ("the self-locking nut off the arm should be a new one each time", "self-locking nut", 1),
        ("roll pin's always a new one", "roll pin", 1),
        ("it's a new linchpin whenever you hitch up", "linchpin", 1),
        ("Fit a new felt ring every time.", "felt ring", 1),
        ("There's two new wave washers go on here.", "wave washer", 2),
        ("the dipstick gets a new grommet too", "grommet", 1),
        ("For the assembly two new pipe collars are to be provided.", "pipe collar", 2),
        ("You'll want a couple of new crush washers.", "crush washer", 2),
        ("We always fit new shear pins here, all four of them.", "shear pin", 4),
        ("You need a new set of piston rings.", "piston ring", None),
        ("Don't reuse those two little hose washers.", "hose washer", 2),
        ("you never put an old cartridge back on", "cartridge", 1),
        ("Never use the circlip a second time.", "circlip", 1),
        ("Both castellated nuts can be used a single time.", "castellated nut", 2),
        ("A split pin is only ever used once.", "split pin", 1),
        ("The foil seal under the cap is a throwaway part.", "foil seal", 1),
        ("These clips are single use.", "clip", None),
        ("The drive shaft nut is a one-time nut.", "drive shaft nut", 1),
        ("Throw that seal away.", "seal", 1),
        ("Remove and discard the cotter pin.", "cotter pin", 1),
        ("toss that snap ring and use a new one", "snap ring", 1),
        ("In the bin with the old gasket.", "gasket", 1),
        ("The two arms are exchanged complete.", "arm", 2),
        ("all three of them nuts get replaced with new ones", "nut", 3),
        ("The gasket is in shreds, so replace that by a new one.", "gasket", 1),
        ("the hoses are replaced as a pair never the one", "hose", 2),
        ("Replace the gasket every time.", "gasket", 1),
        ("each port gets a new bonded seal so you need three for the job", "bonded seal", 3),
        ("A new nylon washer is fitted under each screw.", "nylon washer", None),
    ],
)
def test_one_renewal(sentence, item, quantity):
    assert items(sentence) == [("renew", item, quantity)]


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Fit a new felt ring, and five new fibre discs on the dome nuts.", [("felt ring", 1), ("fibre disc", 5)]),
        ("The shaft seal, the lip ring, the collar and the shims are renewed.", [("shaft seal", 1), ("lip ring", 1), ("collar", 1), ("shim", None)]),
        ("The wiper ring has to be renewed, and so has the guide strip.", [("wiper ring", 1), ("guide strip", 1)]),
        ("Both bearings and the seal get replaced with new ones.", [("bearing", 2), ("seal", 1)]),
        ("New shoes go on with the new drum, always.", [("shoe", None), ("drum", 1)]),
        ("You need: a new gasket, two new O-rings and four new locking plates.", [("gasket", 1), ("O-ring", 2), ("locking plate", 4)]),
    ],
)  # fmt: skip
def test_lists_with_counts(sentence, expected):
    assert [(item, quantity) for _, item, quantity in items(sentence)] == expected


def test_a_count_said_of_the_new_ones_belongs_to_the_part():
    assert items("These clips lose their tension and you never reuse them, so it's three new ones each time.") == [
        ("renew", "clip", 3)
    ]
    assert items("Elongated studs you never reuse, so six new cap studs go in.") == [("renew", "cap stud", 6)]


def test_a_figure_told_of_one_new_part_is_no_count_of_it():
    assert items("Put a new washer under the union before you do it up, and it's eighteen.") == [("renew", "washer", 1)]
    assert items("A new bolt goes in each, there's two of them.") == [("renew", "bolt", 2)]


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
        ("if one of those is chewed up you need a new cage", "if one of those is chewed up"),
        ("A cracked boot is always renewed.", "if it is cracked"),
        ("Both rollers are renewed even if the left looks better.", None),
        ("When she goes back together, fit a new linchpin.", None),
    ],
)
def test_renewed_only_after_a_finding(sentence, only_if):
    assert [one.only_if for one in renewals(sentence)] == [only_if]


@pytest.mark.parametrize(
    ("sentence", "old", "quantity", "new"),
    [
        ("At assembly the two nails are replaced by M4 screws.", "nail", 2, "M4 screw"),
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
        ("On assembly rub a smear of bearing grease over the trunnions.", "bearing grease", "a smear"),
        ("Each stud gets one drop of thread lock.", "thread lock", "one drop"),
        ("Two dabs of grease on the needle bearing, no more than that.", "grease", "Two dabs"),
        ("put green thread locker on these studs as you screw them in", "thread locker", None),
        ("Run a bead of silicone around the groove.", "silicone", "a bead"),
        ("wet the rim with spindle oil before you push the cup in", "spindle oil", None),
        ("Top the header tank up with fresh coolant.", "coolant", None),
        ("Pour clean oil in the filler before you connect the hose.", "oil", None),
        ("Only fresh oil goes back in this one.", "oil", None),
        ("The drained coolant must not be reused, fresh coolant is filled in.", "coolant", None),
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
    sentences = ["The strap is renewed every season.", "When the new strap is fitted, its rough side faces upwards."]
    assert items(*sentences) == [("renew", "strap", 1)]
    assert items("Fit a new impeller.", "Wet the new impeller with washing-up liquid before you push it in.")[1:] == [
        ("consumable", "washing-up liquid", None)
    ]


@pytest.mark.parametrize(
    "sentence",
    [
        "When you replace the paddles, put them back with the curved side down.",
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
        "Once that's done, replace the lever and the roller.",
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
    for sentence in ("The six bonnet screws are to be renewed.", "Fit two new clips."):
        place = renewals(sentence)[0].place
        assert 0 <= place.start < place.end <= len(sentence)


def test_an_act_of_discarding_does_not_make_a_refit_note():
    heard, phases, actions = hear_sentences(["Remove and discard the split pin.", "Toss that clip and use a new one."])
    found = find_renewals(heard, phases, actions, frozenset())
    assert [one.item for one in found] == ["split pin", "clip"]
    assert [one.item for one in said_for_refit(found, actions)] == ["clip"]


def test_a_kit_that_brings_everything_new_renews_what_is_listed() -> None:
    told = items(
        "Lift the cover off.", "The kit brings everything new, the two guide bands, the wiper and the rod seal."
    )
    assert told == [("renew", "guide band", 2), ("renew", "wiper", 1), ("renew", "rod seal", 1)]


@pytest.mark.parametrize(
    ("sentence", "material"),
    [
        ("The studs go in with blue thread locker.", "thread locker"),
        ("All the seals enter with hydraulic oil, never with grease.", "hydraulic oil"),
        ("A dab of white grease on the pin.", "white grease"),
    ],
)
def test_what_a_part_goes_in_with_is_used_up(sentence: str, material: str) -> None:
    told = renewals("Lift the cover off.", "Right, putting it back together.", sentence)
    assert [(found.kind, found.item) for found in told] == [("consumable", material)]


def test_so_begins_a_clause_of_its_own() -> None:
    assert items("Lift the cover off.", "The hose has perished so it wants replacing.") == [("renew", "hose", 1)]
