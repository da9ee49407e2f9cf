from extract.procedure.states import Met, follow, same_part


def met(part, act, sense, text, **more) -> Met:
    return Met(part=part, act=act, sense=sense, text=text, **more)


def test_shorter_name_is_the_same_part():
    parts = follow([met("a", 0, "loosen", "rear cover"), met("b", 1, "remove", "cover")])
    assert len(parts) == 1 and same_part(parts) == {"b": "a"}
    assert parts[0].state == "removed" and parts[0].off


def test_place_tells_parts_apart():
    parts = follow([met("a", 0, "remove", "front hose"), met("b", 1, "remove", "rear hose")])
    assert len(parts) == 2


def test_counted_bolts_after_bolts_that_are_out_are_other_bolts():
    parts = follow(
        [
            met("a", 0, "remove", "bolts", quantity=2, kind="fastener"),
            met("b", 1, "remove", "bolts", quantity=3, kind="fastener"),
            met("c", 2, "remove", "bolts", quantity=3, kind="fastener", pronoun=True),
        ]
    )
    assert [part.quantity for part in parts] == [2, 3]
    assert len(parts[1].mets) == 2


def test_loosened_bolts_that_are_run_out_are_the_same():
    parts = follow(
        [
            met("a", 0, "loosen", "bolts", quantity=9, position="around the flange", kind="fastener"),
            met("b", 1, "remove", "bolts", kind="fastener"),
        ]
    )
    assert len(parts) == 1 and parts[0].out() is None and parts[0].quantity == 9


def test_fuller_name_after_the_short_one_was_taken_is_another_part():
    parts = follow([met("a", 0, "move", "pipe"), met("b", 1, "move", "return pipe")])
    assert len(parts) == 2


def test_the_other_pins_are_not_the_first_pin():
    parts = follow(
        [
            met("a", 0, "remove", "shear pin", quantity=1),
            met("b", 1, "remove", "pins", quantity=3, quantity_text="other three"),
        ]
    )
    assert len(parts) == 2


def test_two_of_six_bolts_are_still_in():
    loosened = met("a", 0, "loosen", "cover bolts", quantity=6, kind="fastener")
    out = met("b", 1, "remove", "cover bolts", quantity=4, kind="fastener", pronoun=True, utterance=1)
    assert follow([loosened, out])[0].still_in() == 2
    assert follow([loosened, met("b", 1, "remove", "cover bolts", quantity=6, kind="fastener")])[0].still_in() is None
    assert follow([loosened])[0].still_in() is None


def test_what_is_fitted_again_is_no_longer_off():
    parts = follow([met("a", 0, "remove", "plug"), met("b", 1, "fit", "plug")])
    assert parts[0].state == "fitted" and not parts[0].off


def test_untouched_part_counts_as_fitted():
    assert follow([met("a", 0, "inspect", "hub")])[0].state == "fitted"
