"""The refit written from a removal. Order and inverses in these examples: common practice, no source."""

from bench_talk import Bench, again, do, lexicon, measured, note, renew, texts, thing, tighten, when
from hypothesis import given, settings
from hypothesis import strategies as st

from extract.procedure.flags import steps_without_way_back
from extract.procedure.refit_text import tightenings


def pump() -> Bench:
    """A bilge pump: bolts out, pump off, hose with its clip."""
    return (
        Bench()
        .say(
            "Loosen the hose clip and pull the hose off.",
            do("loosen", thing("hose clip")),
            do("pull", thing("hose"), particle="off"),
        )
        .say(
            "Undo the four bolts at the base and lift the pump out.",
            do("undo", thing("bolts", 4, "at the base")),
            do("lift", thing("pump"), particle="out"),
        )
    )


def test_removal_is_undone_in_reverse_with_each_part_before_its_fasteners():
    assert texts(pump().draft()) == [
        "Fit the pump.",
        "Fit the four bolts at the base.",
        "Fit the hose.",
        "Tighten the hose clip.",
    ]


def test_every_refit_step_names_what_it_undoes_and_where_it_comes_from():
    draft = pump().draft()
    undone = [step.undoes for step in draft.refit]
    assert [len(steps) for steps in undone] == [1, 1, 1, 1]
    assert undone[0] == (draft.steps[3].id,)
    assert draft.refit[0].origin == "derived" and draft.refit[0].because[0].step == draft.steps[3].id


def test_bolts_that_were_out_long_before_go_in_right_after_their_part():
    draft = (
        Bench()
        .say("Wind the four nuts off the flange.", do("wind", thing("nuts", 4, "on the flange"), particle="off"))
        .say("Undo the V clamp and pull the duct back.", do("undo", thing("V clamp")),
             do("pull", thing("duct"), particle="back"))
        .say("Put one strap round the blower and lift it away.", do("put", thing("strap", direction="round the blower")),
             do("lift", thing("blower"), particle="away"))
        .draft()
    )  # fmt: skip
    assert texts(draft)[:3] == ["Fit the blower.", "Fit the four nuts on the flange.", "Take the strap away."]


def test_acts_on_one_part_that_belong_together_are_one_refit_step():
    draft = (
        Bench()
        .say("Straighten the split pin, then pull it out.", do("straighten", thing("split pin")),
             do("pull", thing("split pin", pronoun="it"), particle="out"))
        .say("Break loose the seven bolts around the neck.",
             do("break", thing("bolts", 7, "around the neck"), particle="loose"))
        .say("Now take them out.", do("take", thing("bolts", 7, pronoun="them"), particle="out"))
        .say("Lift the drive out and set it on the bench.", do("lift", thing("drive"), particle="out"),
             do("set", thing("drive", direction="on the bench", pronoun="it")))
        .draft()
    )  # fmt: skip
    assert texts(draft) == ["Fit the drive.", "Fit the seven bolts around the neck.", "Fit the split pin."]
    assert [len(step.undoes) for step in draft.refit] == [2, 2, 2]


def test_belt_taken_off_two_things_goes_back_on_both():
    draft = (
        Bench()
        .say("Take the old belt off the drum.", do("take", thing("belt", direction="off the drum"), particle="off"))
        .say("Withdraw the long belt from the rail.", do("withdraw", thing("belt", direction="from the rail")))
        .draft()
    )
    assert len(draft.refit) == 2


def test_work_that_the_talk_undoes_itself_is_not_undone_again():
    draft = (
        Bench()
        .say("Slacken the locknut.", do("slacken", thing("locknut")))
        .say("Turn the adjuster.", do("turn", thing("adjuster")))
        .say("Tighten the locknut.", do("tighten", thing("locknut")))
        .draft()
    )
    assert draft.refit == ()
    assert {one.step for one in draft.not_undone} == {step.id for step in draft.steps}
    assert all(one.reason for one in draft.not_undone)


def test_fluid_goes_in_after_its_plug_and_only_once_the_machine_is_level():
    draft = (
        Bench()
        .say("Tip the digger back and prop it.", do("tip", thing("digger", kind="machine"), particle="back"),
             do("prop", thing("digger", kind="machine", pronoun="it")))
        .say("Take the drain plug out and let all the oil run into a basin.",
             do("take", thing("drain plug"), particle="out"),
             do("let", thing("oil", direction="into a basin"), particle="away"))
        .draft()
    )  # fmt: skip
    assert texts(draft) == ["Fit the drain plug.", "Lower the digger.", "Fill with the oil."]


def test_rag_cap_and_clamp_come_off_before_the_part_goes_on():
    draft = (
        Bench()
        .say("Pull the hose off.", do("pull", thing("hose"), particle="off"))
        .say(
            "Cap the hose and push a rag in the port.",
            do("cap", thing("hose")),
            do("push", thing("rag", direction="in the port")),
        )
        .draft()
    )
    assert texts(draft) == ["Take the rag out.", "Remove the cap from the hose.", "Fit the hose."]


def test_isolation_reported_in_the_middle_is_restored_at_the_end():
    draft = (
        Bench()
        .say("Remove the cover.", do("remove", thing("cover")))
        .say("I've already switched the isolator off.", do("turn", thing("isolator"), particle="off", done=True))
        .say("Remove the board.", do("remove", thing("board")))
        .draft()
    )
    assert texts(draft)[-1] == "Turn the isolator on."


def test_seal_lies_under_the_part_with_which_its_renewal_was_told():
    draft = (
        Bench()
        .say("Lift the case cover away.", do("lift", thing("case cover"), particle="away"))
        .say("That gasket is always new.", renew("gasket"), role="refit_note")
        .say("Remove the lever.", do("remove", thing("lever")))
        .say(
            "Scrape the old gasket off the case.",
            do("scrape", thing("gasket", direction="off the case"), particle="off"),
        )
        .draft()
    )
    assert texts(draft) == ["Fit the lever.", "Fit a new gasket.", "Fit the case cover."]


def test_told_refit_leads_and_matches_what_was_removed():
    draft = (
        pump()
        .say("Push the hose back on.", again("push", thing("hose"), particle="back on"), role="refit_note")
        .say("Bleed the line afterwards.", again("bleed", thing("line")), role="refit_note")
        .draft()
    )
    assert texts(draft) == [
        "Fit the pump.",
        "Fit the four bolts at the base.",
        "Push the hose on.",
        "Tighten the hose clip.",
        "Bleed the line.",
    ]
    assert [step.origin for step in draft.refit] == ["derived", "derived", "spoken", "derived", "spoken"]


def test_order_told_as_a_list_leads():
    draft = (
        Bench()
        .say("Remove the guard.", do("remove", thing("guard")))
        .say("Remove the arm.", do("remove", thing("arm")))
        .say("Remove the roller.", do("remove", thing("roller")))
        .say("Going back it's arm, roller, guard.", role="refit_note")
        .draft()
    )
    assert texts(draft) == ["Fit the arm.", "Fit the roller.", "Fit the guard."]


def test_before_after_and_last_of_all_place_a_step():
    draft = (
        Bench()
        .say("Peel the blanket off.", do("peel", thing("blanket"), particle="off"))
        .say("Open the drain tap and drain the coolant.", do("open", thing("drain tap")), do("drain", thing("coolant")))
        .say("Remove the blower.", do("remove", thing("blower")))
        .say("The blanket goes back on last of all.", again("go", thing("blanket"), particle="on"), role="refit_note")
        .say("Before the filling close the drain tap.", again("close", thing("drain tap")), role="refit_note")
        .say("After the filling run the set for ten minutes.", again("run", thing("set")),
             measured("running time", 10, "min", "ten minutes"), role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft) == [
        "Fit the blower.",
        "Close the drain tap.",
        "Fill with the coolant.",
        "Run the set for 10 min.",
        "Fit the blanket.",
    ]
    assert [one.text for one in draft.refit[-1].notes] == ["Do this last of all."]


def test_battery_is_back_before_anything_runs():
    draft = (
        Bench()
        .say("The battery is disconnected already.", do("disconnect", thing("battery"), done=True))
        .say("Remove the filter.", do("remove", thing("filter")))
        .say(
            "Then run the engine and check for leaks.", again("run", thing("engine", kind="machine")), role="refit_note"
        )
        .draft()
    )
    assert texts(draft) == ["Fit the filter.", "Connect the battery.", "Run the engine."]


def test_renewals_torques_and_notes_stand_at_their_step():
    draft = (
        pump()
        .say("The bolts at the base are renewed, all four.", renew("bolt", 4), role="refit_note")
        .say("The base bolts go to 25 newton metres.", tighten("base bolts", 25), role="torque_note")
        .say(
            "Keep the arrow on the pump upwards.",
            note("Keep the arrow on the pump upwards.", "pump"),
            role="refit_note",
        )
        .draft()
    )
    fit_pump, fit_bolts = draft.refit[:2]
    assert fit_bolts.text == "Fit four new bolts at the base. Tighten them to 25 N·m."
    assert fit_bolts.renewals == (draft.renewals[0].id,) and draft.renewals[0].refit == fit_bolts.id
    assert draft.renewals[0].step == draft.steps[2].id
    assert draft.torques[0].refit == (fit_bolts.id,)
    assert [one.text for one in fit_pump.notes] == ["Keep the arrow on the pump upwards."]


def test_washer_goes_with_what_is_screwed_and_gasket_with_what_is_bolted_on():
    draft = (
        Bench()
        .say(
            "Undo the banjo bolt, then pull the hose away.",
            do("undo", thing("banjo bolt")),
            do("pull", thing("hose"), particle="away"),
        )
        .say("Two fresh copper washers go there.", renew("copper washer", 2), role="refit_note")
        .say(
            "Undo the three screws and take the cover off.",
            do("undo", thing("screws", 3)),
            do("take", thing("cover"), particle="off"),
        )
        .say("And a new paper gasket.", renew("paper gasket"), role="refit_note")
        .draft()
    )
    assert "Fit the cover with a new paper gasket." in texts(draft)
    assert "Fit the banjo bolt with two new copper washers." in texts(draft)


def test_substitute_takes_the_place_of_the_old_kind():
    draft = (
        Bench()
        .say("Drill the two rivets of the plate out and lift the plate off.",
             do("drill", thing("rivets", 2, "of the plate"), particle="out"),
             do("lift", thing("plate"), particle="off"))
        .say("M5 screws take the place of the rivets.",
             renew("rivet", 2, kind="substitute", replaced_by="M5 screw"), role="refit_note")
        .say("The screws of the plate get five newton metres.", tighten("screws of the plate", 5), role="torque_note")
        .draft()
    )  # fmt: skip
    assert texts(draft) == ["Fit the plate.", "Fit two M5 screws of the plate. Tighten them to 5 N·m."]
    assert draft.flags == ()


def test_renewal_with_a_condition_is_no_mandatory_one():
    draft = (
        pump()
        .say("Renew the hose only if it's cracked.", renew("hose", only_if="if it is cracked"), role="refit_note")
        .draft()
    )
    fit = next(step for step in draft.refit if step.objects[0].text == "hose" and step.undoes)
    assert fit.text == "Fit the hose."
    assert [one.text for one in fit.notes] == ["Inspect the hose; if it is cracked, fit a new one."]
    assert fit.notes[0].kind == "check"


def test_treatments_are_notes_where_the_part_goes_back():
    draft = (
        pump()
        .say("Grease the pump shaft before the pump goes in.",
             again("grease", thing("shaft", position="of the pump")),
             again("go", thing("pump"), particle="in"), role="refit_note")
        .draft()
    )  # fmt: skip
    assert [one.text for one in draft.refit[0].notes] == ["Grease the shaft of the pump."]


def test_marks_are_lined_up_where_the_part_goes_back():
    draft = (
        Bench()
        .say("Mark the coupling and the shaft.", do("mark", thing("coupling"), thing("shaft")))
        .say(
            "Pull the coupling off the shaft.", do("pull", thing("coupling", direction="off the shaft"), particle="off")
        )
        .draft()
    )
    assert [one.text for one in draft.refit[0].notes] == ["Line up the marks made in step 1."]


def test_part_that_cannot_be_used_again_and_has_no_successor_is_an_open_point():
    draft = Bench().say("Saw the shear pin off.", do("saw", thing("shear pin"), particle="off")).draft()
    assert draft.refit[0].text == "Settle how the shear pin is put back."
    assert [(flag.code, flag.severity) for flag in draft.flags] == [("no_refit", "stop")]
    assert draft.refit[0].flags == draft.steps[0].flags == (draft.flags[0].id,)


def test_variant_and_skip_govern_their_refit_steps():
    draft = (
        Bench()
        .say("On the tall one, undo the stay.", do("undo", thing("stay bolt")),
             when("variant", "On the tall one", (0,), axis="mast", value="tall", values=("tall",)))
        .say("If the motor stays in, leave this out.", when("skip", "If the motor stays in", (2,)), role="condition")
        .say("Remove the motor.", do("remove", thing("motor")))
        .draft()
    )  # fmt: skip
    motor, stay = draft.refit
    assert motor.applies_when == (draft.conditions[1].id,)
    assert stay.applies_when == (draft.conditions[0].id,) and stay.text == "If the mast is tall, fit the stay bolt."


def test_what_goes_back_without_having_come_off_is_flagged():
    draft = (
        pump()
        .say("Put the strainer back as well.", again("put", thing("strainer"), particle="back"), role="refit_note")
        .draft()
    )
    flag = next(flag for flag in draft.flags if flag.code == "state_conflict")
    assert "strainer" in flag.message and flag.segments == ("u2",)
    assert any(step.objects[0].text == "strainer" for step in draft.refit)


def test_counts_of_the_refit_are_held_against_the_removal():
    draft = pump().say("All five bolts get one drop of locking fluid.", role="refit_note").draft()
    flag = next(flag for flag in draft.flags if flag.code == "quantity_conflict")
    assert (flag.severity, flag.evidence["removed"], flag.evidence["said"]) == ("stop", 4, 5)
    assert not [
        one for one in pump().say("All four bolts.", role="refit_note").draft().flags if one.code == "quantity_conflict"
    ]


def test_bolts_that_stay_in_are_asked_about():
    draft = (
        Bench()
        .say("Loosen the six cover bolts.", do("loosen", thing("cover bolts", 6)))
        .say("Then take four of them out.", do("take", thing("cover bolts", 4, pronoun="them"), particle="out"))
        .draft()
    )
    assert [flag.evidence["still_in"] for flag in draft.flags if flag.code == "quantity_conflict"] == [2]


def test_valve_that_the_work_opens_again_is_not_opened_twice():
    draft = (
        Bench()
        .say("Shut the return valve.", do("shut", thing("return valve")))
        .say("Remove the strainer.", do("remove", thing("strainer")))
        .say("Open the return valve.", do("open", thing("return valve")))
        .draft()
    )
    assert texts(draft) == ["Fit the strainer."]


def test_the_same_named_part_taken_off_twice_is_flagged_and_an_unnamed_bolt_is_not():
    twice = (
        Bench()
        .say("Remove the fan cowl.", do("remove", thing("fan cowl")))
        .say("Undo the bolt.", do("undo", thing("bolt")))
        .say("Undo the bolt.", do("undo", thing("bolt")))
        .say("Remove the fan cowl.", do("remove", thing("fan cowl")))
        .draft()
    )
    assert [flag.steps for flag in twice.flags if flag.code == "state_conflict"] == [(twice.steps[3].id,)]


def test_parts_told_to_go_back_one_by_one_get_a_step_each():
    draft = (
        Bench()
        .say("Take out the piston seal and the wear rings.", do("take", thing("piston seal"), thing("wear rings"), particle="out"))
        .say("Stretch the seal over the piston.", again("stretch", thing("piston seal", direction="over the piston")),
             role="refit_note")
        .draft()
    )  # fmt: skip
    assert sorted(texts(draft)) == ["Fit the wear rings.", "Stretch the piston seal over the piston."]
    assert all(step.undoes == (draft.steps[0].id,) for step in draft.refit)


def test_what_came_off_together_goes_back_together():
    draft = (
        Bench()
        .say(
            "Draw the two sprockets off together with the chain.",
            do("draw", thing("sprockets", 2), thing("chain"), particle="off"),
        )
        .say("The chain goes on first.", again("go", thing("chain"), particle="on"), role="refit_note")
        .draft()
    )
    assert texts(draft) == ["Fit the two sprockets and the chain."]


def test_water_comes_back_by_its_supply():
    draft = (
        Bench()
        .say("I've shut the sea cock.", do("shut", thing("sea cock"), done=True))
        .say("Let the water out at the little tap.", do("let", thing("water"), particle="out"))
        .say("Shut the little tap, then open the sea cock again before it's started.",
             again("shut", thing("little tap"), sense="close", plain="close"), again("open", thing("sea cock")), role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft) == ["Close the little tap.", "Open the sea cock."]
    assert draft.refit[0].undoes == (draft.steps[1].id,)
    assert [note.text for note in draft.refit[1].notes] == ["Do this before the machine is started."]


def test_time_of_a_step_is_told_in_the_words_of_the_talk():
    draft = (
        Bench()
        .say("Undo the supply pipe and move the pipe aside.", do("move", thing("supply pipe"), particle="aside"))
        .say("Pour some clean oil into the port before you connect the supply pipe.",
             again("pour", thing("oil", direction="into the port")), again("connect", thing("supply pipe")), role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft)[0] == "Pour the oil into the port."
    assert [note.text for note in draft.refit[0].notes] == ["Do this before the supply pipe is connected."]


def test_renewal_and_note_of_a_variant_stay_with_it():
    draft = (
        Bench()
        .say("Pull the dust plug out.", do("pull", thing("dust plug"), particle="out"))
        .say("With the heated base unplug the heater plug.", do("unplug", thing("heater plug")),
             when("option", "With the heated base", (1, 2), value="heated base", values=("heated base",)))
        .say("There you smear contact grease in the plug.", note("Smear contact grease in the plug.", "plug", "treat"),
             role="refit_note")
        .draft()
    )  # fmt: skip
    noted = [step for step in draft.refit if step.notes]
    assert [step.objects[0].text for step in noted] == ["heater plug"]


def test_work_that_tightens_says_its_value():
    draft = (
        Bench()
        .say("Tighten the ten head bolts.", do("tighten", thing("head bolts", 10)), tighten("head bolts", 40, 75))
        .draft()
    )
    assert draft.steps[0].text == "Tighten the ten head bolts to 40 N·m, then to 75 N·m."
    assert draft.torques[0].steps == (draft.steps[0].id,) and draft.torques[0].refit == ()


def test_bolts_washers_and_part_of_one_act_go_back_part_first():
    draft = (
        Bench()
        .say(
            "Remove two cap screws, two washers and the access cover.",
            do("remove", thing("cap screws", 2), thing("washers", 2), thing("access cover")),
        )
        .say(
            "Remove four cap screws, the bracket and the access cover.",
            do("remove", thing("cap screws", 4), thing("bracket"), thing("access cover")),
        )
    )
    assert texts(draft.draft()) == [
        "Fit the access cover.",
        "Fit the bracket.",
        "Fit the four cap screws.",
        "Fit the access cover.",
        "Fit the two washers.",
        "Fit the two cap screws.",
    ]


_VERBS = sorted({(verb.base, particle) for verb in lexicon().verbs for particle in verb.particles})
_PARTS = ("cover", "bolts", "hose", "oil", "gasket", "rear lever", "strap", "drain plug", "nut", "pulley", "battery")


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(_VERBS),
            st.lists(st.sampled_from(_PARTS), min_size=1, max_size=3, unique=True),
            st.sampled_from([None, 2]),
            st.booleans(),
            st.booleans(),
        ),
        min_size=1,
        max_size=12,
    )
)
def test_nothing_removed_is_ever_silently_missing(acts):
    """Any talk: every step is undone by the refit, listed as not undone with a reason, or flagged."""
    bench = Bench()
    for (verb, particle), parts, count, is_refit, done in acts:
        bench.say(
            f"{verb} the {' and the '.join(parts)}.",
            do(
                verb,
                *(thing(part, count) for part in parts),
                particle=particle or None,
                phase="refit" if is_refit else "work",
                done=done,
            ),
            role="refit_note" if is_refit else "instruction",
        )
    draft = bench.draft()
    assert steps_without_way_back(draft.steps, draft.refit, draft.not_undone, draft.flags) == []
    assert [step.number for step in draft.refit] == list(range(1, len(draft.refit) + 1))
    known = {step.id for step in draft.steps}
    assert all(step in known for one in draft.refit for step in one.undoes)
    undone = {step for one in draft.refit for step in one.undoes}
    assert not undone & {one.step for one in draft.not_undone}
    for step in draft.steps:
        if step.id in undone:
            back = {part.text for one in draft.refit if step.id in one.undoes for part in one.objects}
            assert back, step.text
    assert not [flag for flag in draft.flags if flag.evidence.get("rule") == "refit.unaccounted"]


def test_another_joints_value_is_never_written_as_the_parts_own():
    draft = (
        Bench()
        .say("Take the casing nuts off.", do("remove", thing("casing nuts")))
        .say("Tighten the impeller nut to 110 Nm.", tighten("impeller nut", 110), role="torque_note")
        .say("The casing nuts get 25 Nm.", tighten("casing nuts", 25), role="torque_note")
        .draft()
    )
    impeller, casing = draft.torques
    assert tightenings(draft.steps[0].objects, [impeller, casing]) == [
        "Tighten them to 25 N·m.",
        "Tighten the impeller nut to 110 N·m.",
    ]
