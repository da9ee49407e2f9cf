"""What acts leave behind. Facts of the trade: common practice, no source."""

import pytest
from bench_talk import do, lexicon, thing

from extract.procedure.inverse import undoing


def left(maker, is_off=False):
    _, action = maker(0, "", 0)
    found = undoing(action, lexicon(), is_off=is_off)
    return found.effect, found.verb


@pytest.mark.parametrize(
    ("act", "effect", "verb"),
    [
        (do("remove", thing("cover")), "off", "fit"),
        (do("undo", thing("bolts", 2)), "off", "fit"),
        (do("undo", thing("union")), "loose", "tighten"),
        (do("slacken", thing("clamp screws", 2), particle=None), "loose", "tighten"),
        (do("disconnect", thing("battery")), "parted", "connect"),
        (do("unclip", thing("sleeve")), "parted", "clip on"),
        (do("open", thing("drain tap")), "parted", "close"),
        (do("drain", thing("oil")), "drained", "fill"),
        (do("catch", thing("coolant", direction="in a pan")), "drained", "fill"),
        (do("swing", thing("idler arm"), particle="back"), "moved", "swing"),
        (do("swing", thing("idler arm"), particle="up"), "moved", "swing back"),
        (do("push", thing("return pipe"), particle="down"), "moved", "push up"),
        (do("shut", thing("sea cock")), "isolated", "open"),
        (do("disable", thing("automatic start")), "isolated", "enable"),
        (do("press", thing("stop switch")), "isolated", "release"),
        (do("lock", thing("isolator"), tools=[thing("padlock")]), "isolated", "remove"),
        (do("hang", thing("warning tag"), particle="up"), "isolated", "take down"),
        (do("put", thing("tray", direction="underneath")), "equipped", "take away"),
        (do("clamp", thing("hose"), tools=[thing("hose clamp")]), "equipped", "take off"),
        (do("set", thing("front axle", direction="on stands")), "held", "lower"),
        (do("cap", thing("hose")), "covered", "uncap"),
        (do("saw", thing("shear pin"), particle="off"), "destroyed", "fit"),
        (do("lower", thing("motor", direction="from the bracket")), "off", "fit"),
        (do("scrape", thing("gasket"), particle="off"), "off", "fit"),
        (do("pull", thing("five-pin plug"), particle="out"), "parted", "plug in"),
        (do("pull", thing("motor wires", 3), particle="off"), "parted", "connect"),
        (do("undo", thing("drain plug")), "off", "fit"),
        (do("undo", thing("compression nut", position="on the delivery pipe")), "loose", "tighten"),
        (do("loosen", thing("air lines", 2, direction="off the chamber")), "parted", "connect"),
        (do("screw", thing("cartridge"), particle="off"), "off", "screw on"),
        (do("support", thing("bearing bracket"), tools=[thing("sling", kind="tool")]), "equipped", "take away"),
        (do("screw", thing("jacking bolts", 2, direction="into the flange"), particle="in"), "equipped", "unscrew"),
        (do("isolate", thing("motor")), "isolated", "switch on"),
        (do("tie", thing("switch", direction="to the frame")), "moved", "untie"),
        (do("clamp", thing("motor", kind="machine", direction="on the stand")), "held", "take off"),
        (do("feed", thing("starter cord", direction="into the cylinder")), "equipped", "take out"),
        (do("place", thing("bowl", kind="tool", position="under the tap")), "equipped", "take away"),
        (do("screw", thing("slide hammer", kind="tool", direction="on the nozzle")), "equipped", "take off"),
        (do("close", thing("plunger", position="in the soft jaws")), "held", "take out"),
        (do("isolate", thing("machine", kind="machine", position="at the wall switch")), "isolated", "switch on"),
        (do("apply", thing("padlock", kind="tool")), "isolated", "remove"),
        (do("pull", thing("breaker")), "isolated", "push in"),
        (do("wind", thing("conveyor", kind="machine"), particle="down"), "moved", "wind up"),
        (do("turn", thing("spring nut", kind="fastener"), particle="back"), "moved", "turn forward again"),
    ],
)
def test_act_and_its_undoing(act, effect, verb):
    assert left(act) == (effect, verb)


@pytest.mark.parametrize(
    "act",
    [
        do("inspect", thing("shaft")),
        do("clean", thing("hub face")),
        do("scrape", thing("residues"), particle="off"),
        do("mark", thing("pulley")),
        do("tap", thing("cover")),
        do("turn", thing("pulley")),
        do("shut", thing("engine"), particle="off"),
        do("put", thing("eye protection", kind="material"), particle="on"),
        do("oil", thing("threads")),
        do("drain", thing("air")),
        do("move", thing("levers")),
        do("lower", thing("boom", direction="to the ground")),
        do("put", thing("tape", kind="material", direction="on the pipe")),
    ],
)
def test_acts_that_leave_nothing_to_undo(act):
    assert left(act)[0] == "none"


@pytest.mark.parametrize(
    "act", [do("fit", thing("plug")), do("tighten", thing("locknut")), do("close", thing("valve"), sense="close")]
)
def test_work_that_puts_back_is_never_undone(act):
    assert left(act)[0] in ("back", "isolated")


def test_handling_a_part_that_is_off_leaves_nothing_and_putting_it_away_belongs_to_its_removal():
    assert left(do("bend", thing("chain")), is_off=True)[0] == "none"
    assert left(do("set", thing("drive", direction="on the bench")), is_off=True)[0] == "stowed"
    assert left(do("slide", thing("track", direction="out of the way"), particle="back"), is_off=True)[0] == "stowed"


def test_every_undone_verb_of_the_lexicon_has_a_way_back_or_counts_as_destroyed():
    """The inverse column of the verb lexicon: nothing that has to be undone is left without one."""
    missing = [
        verb.id
        for verb in lexicon().verbs
        if verb.undone == "yes"
        and not verb.inverse
        and left(do(verb.base, thing("bracket"), particle=verb.particles[0] or None))[1] == ""
    ]
    assert missing == []
