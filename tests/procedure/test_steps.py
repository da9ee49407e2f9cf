from bench_talk import Bench, do, measured, thing, tighten, when


def test_one_act_is_one_numbered_step_in_the_order_of_work():
    draft = (
        Bench()
        .say(
            "Undo the two bolts and lift the bracket off.",
            do("undo", thing("bolts", 2)),
            do("lift", thing("bracket"), particle="off"),
        )
        .say("Disconnect the plug.", do("disconnect", thing("plug")))
        .draft()
    )
    assert [step.number for step in draft.steps] == [1, 2, 3]
    assert [step.text for step in draft.steps] == [
        "Undo the two bolts.",
        "Lift the bracket off.",
        "Disconnect the plug.",
    ]
    assert [step.spoken_action for step in draft.steps] == ["undo", "lift off", "disconnect"]
    assert draft.segments[0].steps == (draft.steps[0].id, draft.steps[1].id)


def test_before_you_do_turns_the_words_round():
    draft = (
        Bench()
        .say(
            "Before you lift the pump out, drain the oil.",
            do("lift", thing("pump"), particle="out", order=1),
            do("drain", thing("oil"), order=0),
        )
        .draft()
    )
    assert [step.spoken_action for step in draft.steps] == ["drain", "lift out"]


def test_negated_refit_and_unclear_acts_are_no_steps():
    draft = (
        Bench()
        .say("Don't undo the union.", do("undo", thing("union"), negated=True))
        .say("Grease the shaft when it goes back.", do("grease", thing("shaft"), phase="refit"), role="refit_note")
        .say("the morning of the bolt is undo", do("undo", thing("bolt")), role="unclear")
        .say("Undo the drain plug.", do("undo", thing("drain plug")))
        .draft()
    )
    assert [step.objects[0].text for step in draft.steps] == ["drain plug"]


def test_spoken_verb_tool_and_evidence_are_kept():
    draft = (
        Bench()
        .say(
            "Whip the two guide bolts out with a fifteen spanner.",
            do("whip", thing("guide bolts", 2), particle="out", tools=[thing("fifteen spanner", size="15 mm")]),
        )
        .draft()
    )
    step = draft.steps[0]
    assert step.text == "Remove the two guide bolts with a 15 mm spanner."
    assert step.spoken_action == "whip out" and step.action == "remove"
    assert step.tools == ("15 mm spanner",)
    assert step.because[0].segment == "u0" and step.because[0].span == (0, 4)
    assert [tool.item for tool in draft.tools] == ["15 mm spanner"] and draft.tools[0].steps == (step.id,)


def test_second_act_of_an_utterance_starts_at_its_own_word():
    draft = (
        Bench()
        .say("Undo the nut and remove the washer.", do("undo", thing("nut")), do("remove", thing("washer")))
        .draft()
    )
    first, second = draft.steps
    assert first.start_s == 0.0 and first.end_s == second.start_s == 4 * 0.4
    assert second.end_s == 8.0


def test_an_act_told_after_a_later_one_keeps_its_own_time():
    said = "Undo the nut, but remove the washer before it."
    draft = Bench().say(said, do("remove", thing("washer")), do("undo", thing("nut"))).draft()
    first, second = draft.steps
    assert (first.action, second.action) == ("remove", "undo")
    assert second.start_s == 0.0 and second.end_s == first.start_s == 4 * 0.4
    assert first.end_s == 8.0


def test_measures_of_an_utterance_belong_to_the_act_before_them():
    draft = (
        Bench()
        .say(
            "Set the left valve to 12 thou and run the engine for five minutes.",
            do("set", thing("left valve")),
            measured("inlet valve clearance", 12, "thou", "12 thou"),
            do("run", thing("engine")),
            measured("running time", 5, "min", "five minutes"),
        )
        .draft()
    )
    assert [[one.value for one in step.measures] for step in draft.steps] == [[12], [5]]
    assert draft.steps[0].text == "Set the left valve to 12 thou."


def test_reported_act_is_a_step_done_before_the_camera():
    draft = Bench().say("I've already drained the oil.", do("drain", thing("oil"), done=True)).draft()
    assert draft.steps[0].done_before_camera


def test_later_mention_of_a_part_points_to_the_first():
    draft = (
        Bench()
        .say("Tap the rear cover.", do("tap", thing("rear cover")))
        .say("Lift the cover off.", do("lift", thing("cover"), particle="off"))
        .draft()
    )
    assert draft.steps[1].objects[0].same_as == draft.steps[0].objects[0].id
    assert draft.steps[0].objects[0].same_as is None


def test_condition_governs_its_steps_and_stands_first():
    draft = (
        Bench()
        .say(
            "If it's the automated gearbox, unplug the actuator.",
            do("unplug", thing("actuator")),
            when(
                "variant",
                "If it's the automated gearbox",
                (0,),
                axis="gearbox",
                value="automated",
                values=("automated",),
            ),
        )
        .say("Remove the lever.", do("remove", thing("lever")))
        .draft()
    )
    assert draft.steps[0].text == "If the gearbox is automated, unplug the actuator."
    assert draft.steps[0].applies_when == (draft.conditions[0].id,)
    assert draft.conditions[0].steps == (draft.steps[0].id,)
    assert draft.steps[1].applies_when == ()


def test_condition_after_and_holds_only_for_what_follows():
    draft = (
        Bench()
        .say(
            "Remove the lever, and on the automated one unplug the actuator.",
            do("remove", thing("lever")),
            do("unplug", thing("actuator")),
            when("variant", "on the automated one", (0,), axis="gearbox", value="automated", governs_from=22),
        )
        .draft()
    )
    assert draft.steps[0].applies_when == () and draft.steps[1].applies_when == (draft.conditions[0].id,)


def test_skip_says_where_it_lands():
    draft = (
        Bench()
        .say(
            "If the motor stays in, go on to the cleaning.",
            when("skip", "If the motor stays in", (1,), resumes_at=2),
            role="condition",
        )
        .say("Remove the motor.", do("remove", thing("motor")))
        .say("Clean the pulley.", do("clean", thing("pulley")))
        .draft()
    )
    skip = draft.conditions[0]
    assert skip.steps == (draft.steps[0].id,) and skip.resumes_at == draft.steps[1].id


def test_headings_make_sections_but_the_first_is_the_title():
    draft = (
        Bench()
        .say("This is the pump on the loader.", role="heading")
        .say("Undo the union.", do("undo", thing("union")))
        .say("Now for the drive belt.", role="heading")
        .say("Remove the belt.", do("remove", thing("belt")))
        .draft()
    )
    assert draft.title == "Pump on the loader: removal and refit"
    assert [section.title for section in draft.sections] == ["Drive belt"]
    assert draft.steps[0].section is None and draft.steps[1].section == draft.sections[0].id


def test_every_utterance_stays_a_segment_and_ids_are_stable():
    bench = Bench().say("Hello.", role="chatter").say("Undo the bolt.", do("undo", thing("bolt")))
    one, other = bench.draft(), bench.draft()
    assert [segment.text for segment in one.segments] == ["Hello.", "Undo the bolt."]
    assert one.model_dump_json() == other.model_dump_json()


def test_a_value_is_written_with_its_own_joint_only():
    said = "Tighten the drum nut to 40 Nm and the cover screws to 9 Nm."
    bench = Bench().say(said, do("tighten", thing("drum nut")), tighten("drum nut", 40), tighten("cover screws", 9))
    assert bench.draft().steps[0].text == "Tighten the drum nut to 40 N·m. Tighten the cover screws to 9 N·m."
    both = do("tighten", thing("drum nut"), thing("cover screws"))
    draft = Bench().say("Tighten the drum nut to 40 Nm and the cover screws.", both, tighten("drum nut", 40)).draft()
    assert draft.steps[0].text == "Tighten the drum nut and the cover screws. Tighten the drum nut to 40 N·m."
