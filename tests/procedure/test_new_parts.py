"""New parts that nothing took off, treatments of parts that stay on, and values that find their joint."""

from __future__ import annotations

from bench_talk import Bench, again, do, note, renew, texts, thing, tighten


def winch() -> Bench:
    return (
        Bench()
        .say("Undo the four cover screws.", do("undo", thing("cover screws", 4)))
        .say("Lift the cover away.", do("lift", thing("cover"), particle="away"))
        .say("Draw the drum off.", do("draw", thing("drum"), particle="off"))
    )


def test_new_part_named_only_for_the_refit_goes_in_before_what_covers_it():
    draft = winch().say("There are two new bumpers.", renew("bumper", 2), role="refit_note").draft()
    assert texts(draft)[:2] == ["Fit two new bumpers.", "Fit the drum."]
    assert draft.renewals[0].refit == draft.refit[0].id


def test_new_seal_that_is_oiled_has_its_step_and_its_treatment():
    draft = (
        winch()
        .say("A new ring for the drum.", renew("ring"), role="refit_note")
        .say("Oil the ring.", again("oil", thing("ring", kind="seal")), role="refit_note")
        .draft()
    )
    assert texts(draft)[0] == "Fit a new ring."
    assert [one.text for one in draft.refit[0].notes] == ["Oil the ring."]


def test_part_that_stays_on_is_greased_in_a_step_before_the_one_that_covers_it():
    draft = (
        winch()
        .say("Grease the gear wheel before the drum goes on.", again("grease", thing("gear wheel", kind="part")),
             role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft)[:2] == ["Grease the gear wheel.", "Fit the drum."]
    assert [one.text for one in draft.refit[0].notes] == ["Do this before the drum goes on."]


def test_what_is_not_used_again_only_if_it_has_to_be_is_one_step_with_its_choice():
    draft = (
        winch()
        .say("If it is cracked, press it out and fit a new liner.",
             again("press", thing("liner", pronoun="it"), particle="out"), again("fit", thing("liner", new=True)),
             renew("liner", only_if="if it is cracked"), role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft)[0] == "Inspect the liner; if it is cracked, fit a new one."
    assert not any("press" in text.lower() for text in texts(draft))


def test_value_for_several_nuts_does_not_land_on_one():
    draft = (
        Bench()
        .say("Loosen the five wheel nuts.", do("loosen", thing("wheel nuts", 5)))
        .say("Undo the hub nut.", do("undo", thing("hub nut")))
        .say("The hub nut gets forty.", tighten("hub nut", 40), role="torque_note")
        .say("Then the nuts get ninety.", tighten("nuts", 90), role="torque_note")
        .draft()
    )
    values = {step.objects[0].text: step.text for step in draft.refit}
    assert values["hub nut"] == "Fit the hub nut. Tighten it to 40 N·m."
    assert "90 N·m" in values["wheel nuts"]


def test_value_without_a_joint_is_asked_about():
    draft = winch().say("The anchor studs get thirty.", tighten("anchor studs", 30), role="torque_note").draft()
    asked = [flag for flag in draft.flags if flag.code == "missing_object"]
    assert len(asked) == 1 and "anchor studs" in asked[0].message and asked[0].severity == "check"


def test_both_nuts_undone_one_by_one_get_the_value_told_for_both():
    draft = (
        Bench()
        .say("Slacken the union nut of the feed pipe.", do("slacken", thing("union nut", position="of the feed pipe")))
        .say("Slacken the union nut at the tank.", do("slacken", thing("union nut", position="at the tank")))
        .say("Both union nuts get twenty-seven.", tighten("union nuts", 27), role="torque_note")
        .draft()
    )
    assert len(draft.refit) == 2 and all("27 N·m" in text for text in texts(draft))


def test_step_and_note_that_say_the_same_are_one_sentence():
    draft = (
        winch()
        .say("Last of all, spin the wheel backwards by hand.", again("spin", thing("wheel")),
             note("Spin the wheel backwards by hand.", "wheel", "handle"),
             role="refit_note")
        .draft()
    )  # fmt: skip
    assert texts(draft)[-1] == "Spin the wheel backwards by hand."
    assert [one.kind for one in draft.refit[-1].notes] == ["order"]


def test_tag_and_lock_are_off_before_the_motor_is_run():
    draft = (
        Bench()
        .say("Lock the isolator with a padlock.", do("lock", thing("isolator"), tools=(thing("padlock"),)))
        .say("Hang a tag on the isolator.", do("hang", thing("tag", direction="on the isolator")))
        .say("Lift the guard off.", do("lift", thing("guard"), particle="off"))
        .say("Run the motor.", again("run", thing("motor", kind="machine")), role="refit_note")
        .draft()
    )
    assert texts(draft) == ["Fit the guard.", "Take the tag down.", "Remove the padlock.", "Run the motor."]


def test_part_broken_out_with_a_chisel_is_asked_about_and_not_tightened():
    draft = (
        Bench().say("Crack the old cage with a chisel.", do("crack", thing("cage"), tools=(thing("chisel"),))).draft()
    )
    assert texts(draft) == ["Settle how the cage is put back."]
    assert [flag.code for flag in draft.flags] == ["no_refit"]


def test_split_pin_goes_in_after_the_pin_that_it_secures_and_is_the_new_one():
    draft = (
        Bench()
        .say("Pull the split pin of the lever.", do("pull", thing("split pin", position="of the lever"), particle="out"))
        .say("Knock the hinge pin out.", do("knock", thing("hinge pin"), particle="out"))
        .say("Split pins are cheap, so fit a new one.", renew("Split pin", 1),
             again("fit", thing("hinge pin", pronoun="new one", new=True)), role="refit_note")
        .say("Lift the lever off.", do("lift", thing("lever"), particle="off"))
        .draft()
    )  # fmt: skip
    assert texts(draft) == ["Fit the lever.", "Fit the hinge pin.", "Fit a new split pin of the lever."]
    assert [one.item for one in draft.renewals] == ["split pin"]
