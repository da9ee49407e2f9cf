"""What an act leaves behind, and what undoes it: the verb lexicon's inverse, settled by what the act was done to.

The verb alone does not decide. Bolts that are undone are out, a clamp that is undone is loose; a valve that is
shut for the job is opened again, an engine that was stopped is not started again; a part that is handled
while it is off leaves nothing behind. Trade facts here are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from extract.lexicon import Lexicon
from extract.procedure.inverse_words import (
    BENT,
    BINS,
    BLANKS,
    BROKEN,
    CARRIED,
    CARRIERS,
    CLAMPING,
    CRANKED,
    DESTROYING,
    DIRT,
    ENGINES,
    EQUIPMENT,
    FASTENER_HEADS,
    FEEDING,
    FIXTURES,
    GRIPPED,
    HOLDING,
    IN_HAND,
    JOINED,
    LINES,
    LOCKS,
    MARKERS,
    MOUNTED,
    PIPE_NUTS,
    PRESSURES,
    SCREWED,
    SLINGS,
    STANDS,
    STOPPERS,
    STOPS,
    STORED,
    TAGS,
    TURNED_OVER,
    TWISTED,
    VALVES,
    WEAR,
    WIRED,
    WORKED,
)
from extract.procedure.names import PartName, content, part_name, singular, words
from extract.speech import Action, Mention

Effect = Literal[
    "off",  # out of its place
    "destroyed",  # off, and cannot be used again
    "loose",  # in place, not tight
    "parted",  # disconnected, unclipped, open, uncovered, released
    "drained",  # without its fluid
    "moved",  # aside, up, down, out of shape
    "held",  # carried from outside
    "covered",  # capped, plugged, blanked
    "equipped",  # something stands there that is no part of the machine
    "isolated",  # without supply or locked
    "stowed",  # a part that is off was put somewhere
    "back",  # on, joined, tight, shut, full: what an earlier act left is undone already
    "none",
]

_OPPOSITE = {
    "up": "down", "down": "up", "left": "right", "right": "left", "forward": "back",
    "forwards": "back", "back": "forward",
    "in": "out", "out": "in", "upwards": "down", "downwards": "up", "backwards": "forward", "inwards": "out",
}  # fmt: skip
#: What stays as it is, in the words of the reason that the draft gives.
_REASONS = {
    "inspect": "An inspection leaves nothing to undo.",
    "measure": "A measurement leaves nothing to undo.",
    "clean": "Cleaning is not undone.",
    "mark": "A mark is needed for the refit.",
    "note": "A record is needed for the refit.",
    "tighten": "Tightening is part of the work.",
    "adjust": "A setting is part of the work.",
    "apply": "What was applied stays.",
    "fill": "Filling is part of the work.",
    "fit": "Fitting is part of the work.",
    "connect": "Connecting is part of the work.",
    "close": "Closing is part of the work.",
    "restore": "Restoring the supply is part of the work.",
    "renew": "Renewing is part of the work.",
    "replace": "Replacing is part of the work.",
    "prepare": "A preparation is not undone.",
    "wear": "Protective wear leaves nothing to undo.",
    "turn": "There is nothing to put back.",
    "hold": "Holding ends with the step.",
    "operate": "There is nothing to put back.",
    "run": "There is nothing to put back.",
    "wait": "Waiting leaves nothing to undo.",
    "pull_test": "A test leaves nothing to undo.",
    "vent": "Pressure that was let go comes back in service.",
    "place": "What was placed can stay.",
    "secure": "What was secured can stay.",
    "straighten": "What was straightened can stay.",
}
_BACK = frozenset({"fit", "connect", "tighten", "close", "fill", "restore", "renew", "replace"})
_EFFECT_OF: dict[str, Effect] = {
    "remove": "off", "destroy": "destroyed", "cut": "destroyed", "discard": "destroyed", "loosen": "loose",
    "disconnect": "parted", "unclip": "parted", "open": "parted", "uncover": "parted", "release": "parted",
    "drain": "drained",
    "move": "moved", "raise": "moved", "lower": "moved", "bend": "moved", "straighten": "moved", "support": "held",
    "cover": "covered", "isolate": "isolated", "hold": "isolated", "collect": "drained",
}  # fmt: skip
_DEFAULT_INVERSE = {
    "remove": "fit", "loosen": "tighten", "disconnect": "connect", "unclip": "clip on", "open": "close",
    "uncover": "cover",
    "release": "secure", "drain": "fill", "collect": "fill", "move": "move back", "raise": "lower", "lower": "raise",
    "bend": "bend back", "straighten": "bend", "support": "lower", "cover": "uncover",
    "isolate": "switch on", "hold": "release",
}  # fmt: skip
#: Senses with which something may be shut off, locked or tagged.
_ISOLATING = frozenset(
    {
        "isolate",
        "close",
        "operate",
        "turn",
        "hold",
        "place",
        "secure",
        "support",
        "cover",
        "move",
        "fit",
        "apply",
        "remove",
    }
)
#: Inverses of the lexicon that say the same in fewer ways ("screw in" a bolt is to fit it).
_PLAIN_INVERSE = {
    "screw in": "fit",
    "screw on": "fit",
    "join": "connect",
    "refit": "fit",
    "install": "fit",
    "renew": "fit",
}


@dataclass(frozen=True, slots=True)
class Undoing:
    """What an act leaves behind (`effect`), the verb that undoes it, and why nothing does, if so.

    `equipment` names what is taken away instead of the object of the act ("the padlock" of a locked isolator).
    """

    effect: Effect
    verb: str = ""
    reason: str | None = None
    rule: str = ""
    equipment: str | None = None


def is_fastener(mention: Mention) -> bool:
    """True for bolts, nuts, screws and pins, by the lexicon or by the head noun."""
    return mention.kind == "fastener" or part_name(mention.text).head in FASTENER_HEADS


def is_seal(mention: Mention) -> bool:
    """True for gaskets, rings and packings of the lexicon."""
    return mention.kind == "seal"


def undoing(action: Action, lexicon: Lexicon, *, is_off: bool = False) -> Undoing:
    """What the act leaves, and its inverse; `is_off`: its object was off the machine before this act."""
    first = action.objects[0] if action.objects else None
    kind = first.kind if first else None
    entry = lexicon.verb_sense(action.verb, action.particle, kind)
    rule = f"verb.{entry.id}" if entry else f"sense.{action.sense}"
    found = _by_object(action, first, is_off)
    if found is not None:
        return Undoing(found.effect, found.verb, found.reason, rule, found.equipment)
    if action.sense in _BACK:
        return Undoing("back", reason=_REASONS[action.sense], rule=rule)
    undone = entry.undone if entry and entry.sense == action.sense else _usual(action.sense)
    if undone == "no":
        return Undoing("none", reason=_REASONS.get(action.sense, "There is nothing to put back."), rule=rule)
    inverse = entry.inverse if entry and entry.sense == action.sense else ""
    verb = _PLAIN_INVERSE.get(inverse, inverse) or _DEFAULT_INVERSE.get(action.sense, "")
    effect = _EFFECT_OF.get(action.sense, "none")
    if (
        effect == "off"
        and action.verb in TWISTED
        and action.particle == "off"
        and first is not None
        and not is_fastener(first)
    ):
        verb = f"{action.verb} on"
    if action.sense in ("destroy", "cut", "discard"):
        return Undoing("destroyed", "fit", rule=rule)
    if action.sense == "vent" and undone == "yes":
        return Undoing("none", reason=_REASONS["vent"], rule=rule)
    if effect == "parted" and verb == "clip on" and first is not None and not _clipped(first):
        verb = "fit"
    if action.sense == "loosen" and first is not None and _comes_out(action, first):
        return Undoing("off", "fit", rule=rule)
    if effect == "moved":
        verb = _way_back(action, verb)
    return Undoing(effect, verb, rule=rule)


def _clipped(first: Mention) -> bool:
    """Pins and belts that pop off are fitted; what has clips is clipped on."""
    head = part_name(first.text).head
    return not (is_fastener(first) or head in ("belt", "chain", "ring")) or head in CLAMPING


def _usual(sense: str) -> str:
    return "yes" if sense in _DEFAULT_INVERSE and sense not in ("hold", "straighten") else "no"


def _comes_out(action: Action, first: Mention) -> bool:
    """Fasteners that are "undone" are out; clamps, unions and knobs that are undone are loose."""
    head = part_name(first.text).head
    screwed = is_fastener(first) or head in SCREWED
    return action.verb in ("undo", "unscrew", "unbolt", "unfasten") and screwed and not _captive(first)


def _captive(first: Mention) -> bool:
    """True for what stays where it is once it is undone: clamps, unions, and the nuts of pipe fittings."""
    name = part_name(first.text, first.position)
    return (
        name.head in CLAMPING
        or "terminal" in name.qualifiers
        or (name.head == "nut" and bool(name.qualifiers & PIPE_NUTS or name.place & LINES))
    )


def _by_object(action: Action, first: Mention | None, is_off: bool) -> Undoing | None:
    """Cases in which the object, the tool or the direction decides, not the verb."""
    if first is None:
        return None
    sense, particle = action.sense, action.particle or ""
    name = part_name(first.text)
    toward = words(first.direction) or words(first.position)
    tools = {tool.head for tool in action.tools}
    if sense == "wear" or (
        action.verb in ("put", "pull", "wear") and particle == "on" and name.all & WEAR and first.kind != "part"
    ):
        return Undoing("none", reason=_REASONS["wear"])
    if sense in _ISOLATING:
        found = _isolation(action, name.head, content(first.text), set(toward), tools)
        if found is not None:
            return found
    if action.verb in CRANKED and particle in ("up", "down") and first.kind not in ("fastener", "seal", "tool"):
        return Undoing("moved", f"{action.verb} {_OPPOSITE[particle]}")
    if sense in ("place", "lower") and name.head in CARRIED and set(toward) & {"ground", "floor", "deck"}:
        return Undoing("none", reason="It stays down until the machine is used again.")
    if (
        sense == "turn"
        and action.verb in ("turn", "wind", "screw")
        and particle in ("back", "out")
        and is_fastener(first)
    ):
        return Undoing("moved", f"{action.verb} {'in' if particle == 'out' else 'forward'} again")
    if sense == "fit" and toward[:1] and toward[0] in ("off", "from") and first.kind != "tool":
        return Undoing("off", "fit")
    if sense == "fit" and action.verb in ("tap", "drive", "knock", "press") and "through" in toward[:2] and not is_off:
        return Undoing("off", "fit")
    if action.verb == "drop" and {"position", "setting", "height"} & set(toward):
        return Undoing("moved", "raise")
    if action.verb == "carry" and not is_off and first.kind in ("part", "machine", "unknown"):
        return Undoing("off", "fit")
    if sense == "lower" and particle in ("out", "off") and first.kind != "machine":
        return Undoing("off", "fit")
    if sense in ("drain", "vent", "release") and name.head in PRESSURES:
        return Undoing("none", reason=_REASONS["vent"])
    if sense == "discard" and toward[:1] and toward[0] in ("in", "into", "on", "onto") and not set(toward) & BINS:
        return Undoing("none", reason="The part is put away.") if is_off else Undoing("off", "fit")
    sawn = tools & DESTROYING and sense in ("loosen", "remove", "open", "operate")
    if sawn or "chisel" in tools and action.verb in BROKEN:
        return Undoing("destroyed", "fit")
    if particle == "over" and action.verb in TURNED_OVER and first.kind not in ("tool", "material", "fluid"):
        return Undoing("moved", "turn back")
    if name.head == "tab" and action.verb in BENT:
        return Undoing("moved", "bend over")
    if first.kind == "fluid" and sense != "remove" and _lets_out(action, toward):
        return Undoing("drained", "fill")
    if is_off and _puts_away(action, first, toward):
        return Undoing("stowed", "fit")
    if is_off and sense in (
        "move",
        "bend",
        "raise",
        "lower",
        "turn",
        "operate",
        "hold",
        "support",
        "release",
        "open",
        "place",
    ):
        return Undoing("none", reason="It is done to a part that is off the machine.")
    fed = sense in ("operate", "move") and action.verb in FEEDING
    if not is_off and (fed or sense in ("place", "secure", "support", "cover", "fit", "adjust", "raise", "close")):
        found = _equipment(action, first, name, set(toward), tools)
        if found is not None:
            return found
    if sense in ("place", "adjust", "remove") and _puts_away(action, first, toward):
        return Undoing("stowed", "fit")
    return _by_kind(action, first, name, toward)


def _by_kind(action: Action, first: Mention, name: PartName, toward: Sequence[str]) -> Undoing | None:
    sense, particle = action.sense, action.particle or ""
    dirty = first.kind not in ("seal", "fluid", "fastener") and name.head in DIRT
    if dirty and sense in ("clean", "remove", "drain", "collect"):
        return Undoing("none", reason=_REASONS["clean"])
    wired = name.head in WIRED or (name.head == "plug" and not name.all & STOPPERS)
    pulled = action.verb not in ("draw", "withdraw", "slide", "thread", "feed")
    if sense in ("remove", "loosen", "release") and wired and pulled and first.kind != "fastener":
        return Undoing("parted", "plug in" if name.head == "plug" and particle != "apart" else "connect")
    if sense == "loosen" and toward[:1] and toward[0] in ("off", "from") and not {"turn", "turns"} & set(toward):
        return Undoing("parted", "connect") if name.head in LINES else Undoing("off", "fit")
    if sense == "loosen" and name.head in LINES:
        return Undoing("parted", "connect")
    if (
        action.verb in ("tie", "strap", "cable-tie", "wire")
        and sense in ("secure", "support", "move")
        and first.kind != "tool"
    ):
        return Undoing("moved", "untie")
    if sense == "operate" and particle in ("out", "off", "away") and first.kind in ("part", "fastener", "seal"):
        return Undoing("off", "fit")
    if sense == "clean" and is_seal(first) and action.verb in ("scrape", "peel", "pick", "cut", "strip"):
        return Undoing("off", "fit")
    if sense == "collect" and first.kind in ("part", "fastener", "seal"):
        return Undoing("off", "fit")
    if sense == "drain" and first.kind != "fluid" and is_fastener(first):
        return Undoing("off", "fit")
    if action.verb in ("undo", "unscrew", "unfasten") and _captive(first):
        return Undoing("loose", "tighten")
    if sense in ("move", "operate") and name.head in WORKED and not set(toward) & {"aside", "side", "way"}:
        return Undoing("none", reason=_REASONS["operate"])
    if sense == "lower" and set(toward) & {"ground", "floor", "deck"}:
        return Undoing("none", reason="It stays down until the machine is used again.")
    if (
        sense in ("lower", "raise", "move")
        and "way" not in toward
        and toward[1:2] != ("one",)
        and toward[:1]
        and toward[0] in ("from", "off", "out")
        and first.kind != "machine"
    ):
        return Undoing("off", "fit")
    if sense == "raise" and toward[-1:] in (("up",), ("off",), ("away",), ("clear",)) and "straight" in toward:
        return Undoing("off", "fit")
    if (
        sense == "operate"
        and action.verb in ("push", "pull", "slide", "move")
        and toward
        and first.kind not in ("tool", "material")
    ):
        if toward[0] == "through" or name.head in WORKED:
            return None
        return Undoing("moved", f"{action.verb} back")
    return None


def _lets_out(action: Action, toward: Sequence[str]) -> bool:
    """A fluid that is let, run or caught leaves its place."""
    if action.sense in ("drain", "collect"):
        return True
    away = (action.particle or "") in ("out", "away", "off", "down") or "into" in toward
    return action.verb in ("let", "run", "drop", "tip", "catch", "pour", "empty") and away and action.sense != "fill"


def _isolation(action: Action, head: str, named: frozenset[str], toward: set[str], tools: set[str]) -> Undoing | None:
    sense, verb = action.sense, action.verb
    if sense == "isolate" and verb == "turn" and action.particle == "off" and head not in ENGINES:
        return Undoing("isolated", "turn on")
    if (
        sense == "isolate"
        and head in ENGINES
        and verb != "isolate"
        and not (content(action.objects[0].position) & STOPS)
    ):
        return Undoing("none", reason="It is started again only when the refit is complete.")
    if head in TAGS and verb in ("hang", "put", "fit", "place", "attach", "tie", "fix", "fasten"):
        return Undoing("isolated", "take down")
    if verb == "lock":
        lock = next((tool.text for tool in action.tools if tool.head in LOCKS), None)
        return Undoing("isolated", "remove" if lock else "unlock", equipment=lock)
    if head in LOCKS and sense in ("place", "secure", "cover", "fit", "apply"):
        return Undoing("isolated", "remove")
    if sense == "remove":
        return Undoing("isolated", "push in") if head == "breaker" and verb in ("pull", "trip", "knock") else None
    if sense == "secure" and verb == "secure" and head in ("switch", "isolator", "breaker"):
        return Undoing("isolated", "release")
    if sense in ("close", "isolate", "turn") and head in VALVES and verb in ("shut", "close", "turn"):
        closes = verb in ("shut", "close") or (action.particle or "") in ("off",)
        on = head in ("isolator", "faucet", "water", "gas", "mains", "electricity")
        return Undoing("isolated", "turn on" if on else "open") if closes else None
    if sense == "isolate" and verb in ("shut", "turn", "close") and head in ("water", "gas", "mains", "fuel"):
        return Undoing("isolated", "turn on")
    if verb == "isolate":
        return Undoing("isolated", "switch on")
    if sense in ("operate", "fit") and verb in ("press", "push", "hit") and named & STOPS:
        return Undoing("isolated", "release")
    if (
        sense in ("operate", "isolate", "turn")
        and verb in ("switch", "turn", "set", "put")
        and "to" in toward
        and not action.particle
    ):
        return Undoing("isolated", f"{verb} back") if verb == "switch" else None
    return None


def _equipment(action: Action, first: Mention, name: PartName, toward: set[str], tools: set[str]) -> Undoing | None:
    """Trays, slings, rags, clamps and stands: what is brought in for the job is taken away again."""
    if action.verb in GRIPPED and {singular(word) for word in toward} & FIXTURES:
        return Undoing("held", "take out" if toward & {"in", "into"} else "take off")
    if action.sense == "secure" and action.verb in ("clamp", "pinch"):
        clamp = next((tool.text for tool in action.tools if tool.head in ("clamp", "grip", "grips", "pliers")), None)
        if clamp is None and name.head in ("hose", "line", "pipe"):
            clamp = f"{name.head} clamp"
        return Undoing("equipped", "take off", equipment=clamp) if clamp else None
    if action.sense in ("place", "fit") and name.head in MARKERS and "on" in toward:
        return Undoing("none", reason=_REASONS["mark"])
    if action.sense == "support" and first.kind not in ("tool", "machine"):
        carrier = next((tool.text for tool in action.tools if tool.head in SLINGS | CARRIERS), None)
        if carrier is not None:
            return Undoing("equipped", "take away", equipment=carrier)
    if (
        action.sense in ("place", "adjust", "support", "raise")
        and {singular(word) for word in toward} & STANDS
        and first.kind != "tool"
    ):
        inside = bool(toward & {"in", "into"})
        return Undoing("held", "take out" if inside else "lower")
    brought = first.kind in ("tool", "material") or first.kind not in ("part", "seal", "fastener", "assembly")
    feeding = action.verb in FEEDING
    holding = bool(name.qualifiers & HOLDING) and (feeding or action.sense in ("place", "fit", "secure"))
    sling = name.head in SLINGS and bool(toward & {"round", "around", "under", "through", "to"})
    blank = name.head in BLANKS and action.sense == "place" and bool(toward & {"on", "onto", "over", "in", "into"})
    joined = first.kind == "tool" and action.verb in JOINED and name.head not in IN_HAND
    if action.sense in ("place", "fit", "secure", "adjust") and (name.head in MOUNTED or joined):
        return Undoing("equipped", "take off")
    if not (((brought or feeding) and name.head in EQUIPMENT) or holding or sling or blank):
        foreign = first.kind == "tool" and action.sense in ("place", "fit", "secure")
        return Undoing("none", reason="A tool in use leaves nothing to undo.") if foreign else None
    if action.sense in ("place", "secure", "cover", "support", "fit") or action.verb in FEEDING:
        return Undoing("equipped", _taking_away(action))
    return None


def _taking_away(action: Action) -> str:
    if action.verb in ("hook", "hitch"):
        return "unhook"
    if action.verb == "wrap":
        return "unwrap"
    if action.verb in ("screw", "wind", "run", "thread"):
        return "unscrew"
    first = action.objects[0]
    inside = {"in", "into", "inside", "through"} & set(words(first.direction) or words(first.position))
    return "take out" if inside else "take away"


def _puts_away(action: Action, first: Mention, toward: Sequence[str]) -> bool:
    """True if a part is put away somewhere: on the bench, in a tin, aside, out of the way."""
    if first.kind in ("machine", "tool", "material", "fluid", "person"):
        return False
    particle = action.particle or ""
    if particle == "aside" or (action.verb in ("bag", "hang", "box") and action.sense != "move"):
        return True
    if action.verb in ("set", "lay", "put") and particle in ("down", "aside"):
        return True
    placed = bool({"in", "into", "on", "onto", "to", "over", "inside"} & set(toward)) and bool(
        {singular(word) for word in toward} & STORED
    )
    clear = action.sense == "move" and (
        "way" in toward or "side" in toward or "clear" in toward or particle in ("away", "clear")
    )
    return placed or clear


def _way_back(action: Action, verb: str) -> str:
    """ "Push down" is undone by "push up"; without an opposite the lexicon's way back holds."""
    if action.particle == "back":
        # What was slid back is not slid back again, but into its place.
        return verb.split()[0]
    opposite = _OPPOSITE.get(action.particle or "")
    if action.verb in ("push", "pull", "press") and opposite and opposite in ("up", "down"):
        return f"{'push' if action.verb == 'pull' else action.verb} {opposite}"
    return verb
