from bench_talk import Bench, caution, do, thing


def test_caution_stands_before_the_next_step():
    draft = (
        Bench()
        .say("Undo the plug.", do("undo", thing("drain plug")))
        .say("The spring is under load, so keep clear.", caution("Keep clear."), role="caution")
        .say("Unhook the spring.", do("unhook", thing("spring")))
        .draft()
    )
    assert draft.cautions[0].steps == (draft.steps[1].id,)


def test_caution_that_looks_back_stands_at_the_step_before():
    draft = (
        Bench()
        .say("Draw the disc off.", do("draw", thing("disc"), particle="off"))
        .say("It weighs more than you think, mind your toes.", caution("Mind your toes."), role="caution")
        .say("Clean the hub.", do("clean", thing("hub")))
        .draft()
    )
    assert draft.cautions[0].steps == (draft.steps[0].id,)


def test_caution_that_names_a_part_stands_at_its_step_and_its_refit():
    draft = (
        Bench()
        .say("Lower the motor from its shelf.", do("lower", thing("motor", direction="from its shelf")))
        .say("That motor is heavy.", caution("The motor is heavy."), role="caution")
        .draft()
    )
    assert draft.cautions[0].steps == (draft.steps[0].id,)
    assert draft.cautions[0].refit == (draft.refit[0].id,)


def test_usual_caution_stands_at_the_act_that_calls_for_it():
    draft = (
        Bench()
        .say("Open the filler cap.", do("open", thing("filler cap")), caution("Let it cool.", "hot coolant", "usual"))
        .draft()
    )
    assert (draft.cautions[0].origin, draft.cautions[0].steps) == ("usual", (draft.steps[0].id,))
