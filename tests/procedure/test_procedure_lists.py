"""Lists for stores and bench. Conversion: NIST SP 811 (2008), appendix B.8, 1 lbf·ft = 1.355 818 N·m."""

import csv
import io

from bench_talk import Bench, do, renew, thing, tighten, when

import reports
from extract.procedure.lists import combined, parts_list, sum_lists


def wheel_station(seals: int | None = 1) -> Bench:
    return (
        Bench()
        .say("This is the hub of the trailer.", role="heading")
        .say("Undo the six hub bolts and pull the hub off.", do("undo", thing("hub bolts", 6)),
             do("pull", thing("hub"), particle="off"))
        .say("The hub bolts are renewed.", renew("hub bolt"), role="refit_note")
        .say("And a new seal.", renew("seal", seals), role="refit_note")
        .say("Remember the new hub bolts.", renew("hub bolt", 6), role="refit_note")
        .say("Put a smear of grease on the spigot.", renew("grease", kind="consumable", amount_text="a smear"),
             role="refit_note")
    )  # fmt: skip


def test_the_same_part_named_twice_is_one_line_with_its_count_and_places():
    lines = parts_list(wheel_station().draft())
    assert [(line.kind, line.item, line.quantity) for line in lines] == [
        ("renew", "hub bolt", 6),
        ("renew", "seal", 1),
        ("consumable", "grease", None),
    ]
    assert lines[0].places == ("1", "R2") and lines[0].start_s == 20.0
    assert lines[2].amount == "a smear"


def test_count_without_a_word_is_that_of_what_came_off():
    draft = (
        Bench()
        .say("Slide both the pads out.", do("slide", thing("pads", 2), particle="out"))
        .say("New pads go in.", renew("pad"), role="refit_note")
        .say("Lift the disc off.", do("lift", thing("disc"), particle="off"))
        .say("The disc is new as well.", renew("disc"), role="refit_note")
        .say("Pull the hoses off.", do("pull", thing("hoses"), particle="off"))
        .say("New hoses.", renew("hose"), role="refit_note")
        .draft()
    )
    assert [(one.quantity, one.count_from) for one in draft.renewals] == [
        (2, "removed"),
        (1, "singular"),
        (None, "unknown"),
    ]


def test_vague_count_stays_open():
    draft = wheel_station().say("And a few new clips.", renew("clip", quantity_text="a few"), role="refit_note").draft()
    line = next(line for line in parts_list(draft) if line.item == "clip")
    assert line.quantity is None and line.quantity_text == "a few"


def test_what_holds_for_all_comes_before_each_variant():
    draft = (
        Bench()
        .say("On the long one remove the stay.", do("remove", thing("stay")), renew("stay"),
             when("variant", "On the long one", (0,), axis="frame", value="long", values=("long",)))
        .say("Remove the chain.", do("remove", thing("chain")))
        .say("The chain is always new.", renew("chain"), role="refit_note")
        .draft()
    )  # fmt: skip
    assert [(line.item, line.applies) for line in parts_list(draft)] == [
        ("chain", ()),
        ("stay", ("the frame is long",)),
    ]


def test_sums_add_counts_and_keep_an_open_count_open():
    lists = [parts_list(wheel_station().draft()), parts_list(wheel_station(2).draft())]
    bolts, seals, grease = sum_lists(lists)
    assert (bolts.quantity, seals.quantity, grease.kind) == (12, 3, "consumable")
    lists.append(parts_list(Bench().say("New seals.", renew("seal"), role="refit_note").draft()))
    seals = sum_lists(lists)[1]
    assert seals.quantity is None and seals.quantity_text == "3 and 1 not counted"


def test_sum_of_one_list_is_that_list():
    lines = parts_list(wheel_station().draft())
    assert sum_lists([lines]) == lines


def test_joint_without_value_names_the_document_that_a_general_rule_gives():
    draft = (
        wheel_station()
        .say("The hub bolts are in the manual too.", tighten("hub bolts"), role="torque_note")
        .say(
            "For everything else see sheet four.",
            tighten("all joints", reference="sheet four", scope="all"),
            role="torque_note",
        )
        .draft()
    )
    assert draft.torques[0].reference == "sheet four"
    assert not [flag for flag in draft.flags if flag.code == "torque_no_value"]


def test_rule_from_here_on_binds_only_joints_told_after_it():
    draft = (
        Bench()
        .say("Undo the two M6 bolts and lift the guard off.", do("undo", thing("M6 bolts", 2)),
             do("lift", thing("guard"), particle="off"))
        .say("From here on every M6 bolt gets ten.", tighten("M6 bolt", 10, scope="onward", size="M6"),
             role="torque_note")
        .say("Undo the three M6 bolts and lift the tray off.", do("undo", thing("M6 bolts", 3)),
             do("lift", thing("tray", kind="part"), particle="off"))
        .draft()
    )  # fmt: skip
    bound = [step.objects[0].quantity for step in draft.refit if step.id in draft.torques[0].refit]
    assert bound == [3]


def test_value_without_document_is_flagged_once():
    draft = wheel_station().say("Do the hub bolts up tight.", tighten("hub bolts"), role="torque_note").draft()
    assert [flag.message for flag in draft.flags if flag.code == "torque_no_value"] == [
        "No tightening value or document is named for: hub bolts."
    ]


def test_combined_lists_go_through_the_list_writers():
    draft = combined([wheel_station().draft(), wheel_station(2).draft()])
    written = reports.get_writer("csv").write(draft, reports.Options())["renewals.csv"].decode("utf-8-sig")
    rows = {row["item"]: row for row in csv.DictReader(io.StringIO(written)) if row["kind"] == "renew"}
    assert rows["hub bolt"]["quantity"] == "12" and rows["seal"]["quantity"] == "3"


def test_tools_are_listed_once_with_the_steps_that_use_them():
    draft = (
        Bench()
        .say("Undo the nut with a ring spanner.", do("undo", thing("nut"), tools=[thing("ring spanner", kind="tool")]))
        .say("Undo the bolt with the spanner.", do("undo", thing("bolt"), tools=[thing("spanner", kind="tool")]))
        .draft()
    )
    assert [(tool.item, len(tool.steps)) for tool in draft.tools] == [("ring spanner", 2)]
