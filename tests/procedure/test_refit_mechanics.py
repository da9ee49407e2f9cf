"""What the mechanics of the trade decide in the refit (common practice, no source)."""

from __future__ import annotations

from bench_talk import Bench, do, renew, texts, thing, tighten


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
