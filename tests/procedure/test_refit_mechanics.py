"""What the mechanics of the trade decide in the refit (common practice, no source)."""

from __future__ import annotations

from bench_talk import Bench, again, do, note, renew, texts, thing, tighten


def test_hoses_closed_after_they_came_apart_are_unplugged_and_connected_again() -> None:
    bench = Bench()
    bench.say("Disconnect the two pipes of the ram.", do("disconnect", thing("pipes", 2, "of the ram")))
    bench.say("Close the pipes with plugs.", do("close", thing("pipes", 2)))
    assert texts(bench.draft()) == ["Remove the plugs from the two pipes.", "Connect the two pipes of the ram."]


def test_a_lid_that_was_opened_and_closed_again_needs_nothing() -> None:
    bench = Bench()
    bench.say("Open the lid.", do("open", thing("lid")))
    bench.say("Close the lid again.", do("close", thing("lid")))
    assert texts(bench.draft()) == []


def test_a_general_rule_for_bolts_does_not_tighten_pins() -> None:
    bench = Bench()
    bench.say("Take the bolt out.", do("take", thing("bolt"), particle="out"))
    bench.say("Drive the pin out.", do("drive", thing("pin"), particle="out"))
    bench.say("Any bolt is on the chart.", tighten("bolt", reference="chart", scope="all"), role="torque_note")
    assert texts(bench.draft()) == ["Fit the pin.", "Fit the bolt. Tighten it to the value in the chart."]


def test_a_bent_tab_that_is_renewed_is_fitted() -> None:
    bench = Bench()
    bench.say("Knock the tab flat.", do("knock", thing("tab"), particle="back", sense="bend"))
    bench.say("That tab is a new one.", renew("tab", 1), role="refit_note")
    assert texts(bench.draft()) == ["Fit a new tab."]


def test_a_guard_undone_and_hung_up_is_fitted_again() -> None:
    bench = Bench()
    bench.say("Undo the chain guard.", do("undo", thing("chain guard")))
    bench.say("Hang the chain guard on the bar.", do("hang", thing("chain guard", direction="on the bar")))
    assert texts(bench.draft()) == ["Fit the chain guard."]


def test_a_puller_is_off_before_what_it_drew_off_goes_back() -> None:
    bench = Bench()
    bench.say("Screw the puller onto the hub.", do("screw", thing("puller", kind="tool", direction="onto the hub")))
    bench.say("Draw the hub off.", do("draw", thing("hub"), particle="off"))
    assert texts(bench.draft()) == ["Take the puller off.", "Fit the hub."]


def test_a_refit_told_in_full_is_worked_in_the_order_of_its_telling() -> None:
    bench = Bench()
    for part in ("hose", "belt", "cover", "fan"):
        bench.say(f"Take the {part} off.", do("take", thing(part), particle="off"))
    for part in ("hose", "fan", "belt", "cover"):
        bench.say(f"Put the {part} on.", again("put", thing(part), particle="on"), role="refit_note")
    assert texts(bench.draft()) == ["Fit the hose.", "Fit the fan.", "Fit the belt.", "Fit the cover."]


def test_a_note_on_the_unions_stands_at_each_union_nut() -> None:
    bench = Bench()
    bench.say("Slacken the upper union nut.", do("slacken", thing("upper union nut")))
    bench.say("Slacken the lower union nut.", do("slacken", thing("lower union nut")))
    bench.say("Oil the unions.", note("Oil the unions.", "unions", "treat"), role="refit_note")
    assert [len(step.notes) for step in bench.draft().refit] == [1, 1]


def test_a_replacement_pump_is_fitted_where_the_pump_came_off() -> None:
    bench = Bench()
    bench.say("Lift the pump off its feet.", do("lift", thing("pump", direction="off its feet"), particle="off"))
    bench.say("We fit the replacement pump.", again("fit", thing("replacement pump")), role="refit_note")
    draft = bench.draft()
    assert [step.undoes for step in draft.refit] == [(draft.steps[0].id,)]
    assert draft.flags == ()


def test_what_is_filled_without_an_object_is_the_material_of_the_sentence() -> None:
    bench = Bench()
    bench.say("Take the lid off.", do("take", thing("lid"), particle="off"))
    bench.say("Top up with treated water.", again("top", particle="up", sense="fill", plain="top up"),
              renew("treated water", kind="consumable"), role="refit_note")  # fmt: skip
    assert texts(bench.draft())[-1] == "Top up with fresh treated water."


def test_what_is_backed_off_in_a_sentence_of_its_own_stays_with_its_joint() -> None:
    bench = Bench()
    bench.say("Unscrew the hub nut.", do("unscrew", thing("hub nut", kind="fastener")))
    bench.say(
        "Tighten the hub nut.", again("tighten", thing("hub nut", kind="fastener")),
        tighten("hub nut", 40.0), role="refit_note",
    )  # fmt: skip
    bench.say("Then back it off a sixth of a turn.", again("back", thing("hub nut", pronoun="it", kind="fastener"),
              particle="off", sense="loosen"), role="refit_note")  # fmt: skip
    (step,) = bench.draft().refit
    assert [one.text for one in step.notes] == ["After tightening, back the hub nut off a sixth of a turn."]


def test_a_gland_that_comes_out_with_its_rod_goes_on_the_rod_first_and_is_screwed_in_last() -> None:
    bench = Bench()
    bench.say("Unscrew the gland.", do("unscrew", thing("gland")))
    bench.say("Pull the rod out.", do("pull", thing("rod"), particle="out"))
    bench.say("Slide the gland off.", do("slide", thing("gland"), particle="off"))
    assert texts(bench.draft()) == ["Slide the gland on.", "Fit the rod.", "Tighten the gland."]


def test_a_fan_that_was_unplugged_and_lifted_off_is_fitted_and_plugged_in() -> None:
    bench = Bench()
    bench.say("Unplug the fan.", do("unplug", thing("fan")))
    bench.say("Lift the fan off.", do("lift", thing("fan"), particle="off"))
    assert texts(bench.draft()) == ["Fit the fan.", "Plug the fan in."]


def test_bolts_that_no_step_names_are_tightened_where_their_part_goes_back() -> None:
    bench = Bench()
    bench.say("Lift the bearing caps off.", do("lift", thing("bearing caps", 2), particle="off"))
    bench.say("The bearing bolts get thirty.", tighten("bearing bolts", 30.0), role="torque_note")
    assert texts(bench.draft()) == ["Fit the two bearing caps. Tighten the bearing bolts to 30 N·m."]


def test_the_slack_of_a_belt_is_told_where_its_tensioner_is_tightened() -> None:
    bench = Bench()
    bench.say("Slacken the tensioner.", do("slacken", thing("tensioner")))
    bench.say("Take the belt off.", do("take", thing("belt"), particle="off"))
    bench.say("Ten of slack.", note("Leave 10 mm of slack in the belt.", "belt", "check"), role="refit_note")
    assert [len(step.notes) for step in bench.draft().refit] == [0, 1]


def test_plug_it_in_means_what_has_a_plug() -> None:
    bench = Bench()
    bench.say("Pull the mains plug out.", do("pull", thing("mains plug"), particle="out"))
    bench.say("Take the lid off.", do("take", thing("lid"), particle="off"))
    bench.say("Put the lid on.", again("put", thing("lid"), particle="on"), role="refit_note")
    bench.say("Plug it in.", again("plug", thing("lid", pronoun="it"), particle="in"), role="refit_note")
    assert texts(bench.draft()) == ["Fit the lid.", "Connect the mains plug."]


def test_a_shaft_tapped_down_through_its_housing_is_out() -> None:
    bench = Bench()
    bench.say("Tap the shaft through.", do("tap", thing("shaft", direction="through the housing"), sense="fit"))
    assert texts(bench.draft()) == ["Fit the shaft."]


def test_thread_lock_is_put_on_its_screw_and_never_poured_in() -> None:
    bench = Bench()
    bench.say("Slacken the lock screw.", do("slacken", thing("lock screw", kind="fastener")))
    bench.say("Drain the tank.", do("drain", thing("oil", kind="fluid")))
    bench.say(
        "On the lock screw you put thread lock.", again("put", thing("thread lock", kind="material")),
        renew("thread lock", kind="consumable"), role="refit_note",
    )  # fmt: skip
    bench.say(
        "Fill the tank with oil.", again("fill", thing("tank")), renew("oil", kind="consumable"), role="refit_note"
    )
    draft = bench.draft()
    screw = next(step for step in draft.refit if "lock screw" in step.text)
    assert [one.text for one in screw.notes] == ["Put thread lock on the lock screw."]
    assert [one.refit for one in draft.renewals][0] == screw.id


def test_a_new_part_is_not_the_one_that_comes_off_only_later_under_a_shorter_name() -> None:
    bench = Bench()
    bench.say("Disconnect the hose.", do("disconnect", thing("hose")))
    bench.say("The hose has a copper seal, always new.", renew("copper seal", 1), role="refit_note")
    bench.say("Take the seal off.", do("take", thing("seal", kind="seal"), particle="off"))
    assert texts(bench.draft()) == ["Fit the seal.", "Connect the hose with a new copper seal."]


def test_a_rod_closed_in_the_jaws_is_not_plugged() -> None:
    bench = Bench()
    bench.say("Pull the rod out.", do("pull", thing("rod"), particle="out"))
    bench.say("Close the rod in the jaws.", do("close", thing("rod", position="in the soft jaws")))
    assert texts(bench.draft()) == ["Fit the rod."]


def test_a_nut_turned_back_after_it_was_run_down_is_a_note_at_its_step() -> None:
    bench = Bench()
    bench.say("Undo the spindle nut.", do("undo", thing("spindle nut", kind="fastener")))
    bench.say(
        "The nut is run down, then it's turned back a quarter.",
        again("run", thing("spindle nut", kind="fastener"), particle="down", sense="fit", plain="screw in"),
        again("turn", thing("spindle nut", kind="fastener", pronoun="it"), particle="back", sense="turn"),
        role="refit_note",
    )
    (step,) = bench.draft().refit
    assert [one.text for one in step.notes] == ["After tightening, turn the spindle nut back a quarter."]
