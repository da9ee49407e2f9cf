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
from extract.procedure.names import PartName, content, part_name, singular, words
from extract.speech import Action, Mention
from extract.wordforms import word_set

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

FASTENER_HEADS = word_set("bolt nut screw stud capscrew setscrew screws cotter pin rivet fastener bung wingnut locknut")
_CLAMPING = word_set(
    "clamp clip strap union gland connection connector fitting coupling tie knob wingnut thumbscrew lever catch"
)
_VALVES = word_set("cock seacock valve tap stopcock supply gate isolator faucet petcock")
_ENGINES = word_set("engine ignition key machine tractor vehicle car truck van bus coach")
_STOPS = word_set("stop emergency inspection isolator isolating kill breaker")
_TAGS = word_set("tag notice sign label")
_LOCKS = word_set("padlock lock hasp")
_STANDS = word_set("stand block cribbing trestle jack ramp lift chock timber prop axle support sleeper")
_SLINGS = word_set("strap sling chain rope hoist lanyard shackle eyebolt hook")
#: What is brought in for the job and stands there until it is taken away; tools in the hand are none of it.
_EQUIPMENT = _SLINGS | word_set(
    "tray pan basin bucket container vessel drip rag cloth plug cap bung cover sheet blank tape plate jack stand "
    "prop block chock tag padlock clamp wedge board bag support mat cardboard film cord"
)
_HOLDING = word_set(
    "locking timing holding alignment setting retaining winding jacking forcing caging transport dummy slave extractor"
)
_WIRED = word_set("wire lead cable connector loom harness terminal wiring")
_PIPE_NUTS = word_set("compression union flare olive gland pipe coupling")
_SCREWED = word_set("plug nipple sensor injector jet stopper sender switch nozzle")
#: Where things go that are not used again.
_BINS = word_set("bin trash waste scrap skip tip rubbish garbage dustbin can drum")
#: Tools that leave nothing to be fitted again.
_DESTROYING = word_set("grinder hacksaw saw torch")
_BROKEN = word_set("crack split break smash cut burst")
#: Tools that hold on to the part by themselves and are taken off again.
_MOUNTED = word_set("puller compressor spreader extractor")
#: What closes an open port for the time of the job.
_BLANKS = word_set("cap plug bung blank")
_TURNED_OVER = word_set("turn flip roll")
#: Air and pressure come back in service; nobody fills them in.
_PRESSURES = word_set("air pressure steam vapour vapor")
#: Plugs that shut an opening; all other plugs are electrical.
_STOPPERS = word_set(
    "drain filler fill level oil sump spark glow core dust blanking bleed bung gearbox case expansion magnetic radiator "
    "wheel rubber dowel hub bottom top"
)
_LINES = word_set("hose line pipe tube pipework hoses lines pipes")
_MARKERS = word_set("tape tag label sticker tie paint dot ribbon")
_FIXTURES = word_set("stand vice vise bench jig trestle")
#: How the tab of a lock washer is bent away from its nut.
_BENT = word_set("knock tap bend fold prise pry hammer straighten lever flatten")
_TWISTED = word_set("screw wind spin")
_FEEDING = word_set("feed insert thread poke wedge jam push stick stuff")
_CARRIERS = word_set("jack prop block stand support trestle timber")
#: What is pushed or pulled to work it, not to move it aside.
_WORKED = word_set("piston button switch pedal lever handle trigger wire rod brush")
_WEAR = word_set("protection goggle glove mask glasses visor respirator apron overall boot hat shield guard")
_DIRT = word_set(
    "residue residues dirt rust debris bit fragment remain remains swarf carbon grime muck sludge deposit deposits burr burrs scale paint grease "
    "oil dust sealant corrosion chip chips mud soot rubbish shaving shavings filings bead seal"
)
_STORED = word_set(
    "bench tin box tray bag container blanket mat towel table ground side aside shelf rack floor cardboard basin bucket paper drawer trolley pallet"
)
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
    "turn": "The movement is over when the step is done.",
    "hold": "Holding ends with the step.",
    "operate": "The act is over when it is done.",
    "run": "The run is over when it is done.",
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
    `near` holds what the act was done to, for equipment ("the strap round the turbo").
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
        return Undoing("none", reason=_REASONS.get(action.sense, "The act leaves nothing to undo."), rule=rule)
    inverse = entry.inverse if entry and entry.sense == action.sense else ""
    verb = _PLAIN_INVERSE.get(inverse, inverse) or _DEFAULT_INVERSE.get(action.sense, "")
    effect = _EFFECT_OF.get(action.sense, "none")
    if (
        effect == "off"
        and action.verb in _TWISTED
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
    return Undoing(effect, verb, rule=rule) if verb else Undoing(effect, "", rule=rule)


def _clipped(first: Mention) -> bool:
    """Pins and belts that pop off are fitted; what has clips is clipped on."""
    head = part_name(first.text).head
    return not (is_fastener(first) or head in ("belt", "chain", "ring")) or head in _CLAMPING


def _usual(sense: str) -> str:
    return "yes" if sense in _DEFAULT_INVERSE and sense not in ("hold", "straighten") else "no"


def _comes_out(action: Action, first: Mention) -> bool:
    """Fasteners that are "undone" are out; clamps, unions and knobs that are undone are loose."""
    head = part_name(first.text).head
    screwed = is_fastener(first) or head in _SCREWED
    return action.verb in ("undo", "unscrew", "unbolt", "unfasten") and screwed and not _captive(first)


def _captive(first: Mention) -> bool:
    """True for what stays where it is once it is undone: clamps, unions, and the nuts of pipe fittings."""
    name = part_name(first.text, first.position)
    return (
        name.head in _CLAMPING
        or "terminal" in name.qualifiers
        or (name.head == "nut" and bool(name.qualifiers & _PIPE_NUTS or name.place & _LINES))
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
        action.verb in ("put", "pull", "wear") and particle == "on" and name.all & _WEAR and first.kind != "part"
    ):
        return Undoing("none", reason=_REASONS["wear"])
    if sense in ("isolate", "close", "operate", "turn", "hold", "place", "secure", "support", "cover", "move", "fit"):
        found = _isolation(action, name.head, content(first.text), set(toward), tools)
        if found is not None:
            return found
    if sense in ("drain", "vent", "release") and name.head in _PRESSURES:
        return Undoing("none", reason=_REASONS["vent"])
    if sense == "discard" and toward[:1] and toward[0] in ("in", "into", "on", "onto") and not set(toward) & _BINS:
        return Undoing("none", reason="The part is put away.") if is_off else Undoing("off", "fit")
    sawn = tools & _DESTROYING and sense in ("loosen", "remove", "open", "operate")
    if sawn or "chisel" in tools and action.verb in _BROKEN:
        return Undoing("destroyed", "fit")
    if particle == "over" and action.verb in _TURNED_OVER and first.kind not in ("tool", "material", "fluid"):
        return Undoing("moved", "turn back")
    if name.head == "tab" and action.verb in _BENT:
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
        return Undoing("none", reason="The part is off the machine when this is done.")
    fed = sense in ("operate", "move") and action.verb in _FEEDING
    if not is_off and (fed or sense in ("place", "secure", "support", "cover", "fit", "adjust", "raise")):
        found = _equipment(action, first, name, set(toward), tools)
        if found is not None:
            return found
    if sense in ("place", "adjust", "remove") and _puts_away(action, first, toward):
        return Undoing("stowed", "fit")
    return _by_kind(action, first, name, toward)


def _by_kind(action: Action, first: Mention, name: PartName, toward: Sequence[str]) -> Undoing | None:
    sense, particle = action.sense, action.particle or ""
    dirty = first.kind not in ("seal", "fluid", "fastener") and name.head in _DIRT
    if dirty and sense in ("clean", "remove", "drain", "collect"):
        return Undoing("none", reason=_REASONS["clean"])
    wired = name.head in _WIRED or (name.head == "plug" and not name.all & _STOPPERS)
    pulled = action.verb not in ("draw", "withdraw", "slide", "thread", "feed")
    if sense in ("remove", "loosen", "release") and wired and pulled and first.kind != "fastener":
        return Undoing("parted", "plug in" if name.head == "plug" and particle != "apart" else "connect")
    if sense == "loosen" and toward[:1] and toward[0] in ("off", "from") and not {"turn", "turns"} & set(toward):
        return Undoing("parted", "connect") if name.head in _LINES else Undoing("off", "fit")
    if sense == "loosen" and name.head in _LINES:
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
    if sense in ("move", "operate") and name.head in _WORKED and not set(toward) & {"aside", "side", "way"}:
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
        if toward[0] == "through" or name.head in _WORKED:
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
    if sense == "isolate" and verb == "turn" and action.particle == "off" and head not in _ENGINES:
        return Undoing("isolated", "turn on")
    if sense == "isolate" and head in _ENGINES and not (content(action.objects[0].position) & _STOPS):
        return Undoing("none", reason="It is started again only when the refit is complete.")
    if head in _TAGS and verb in ("hang", "put", "fit", "place", "attach", "tie", "fix", "fasten"):
        return Undoing("isolated", "take down")
    if verb == "lock":
        lock = next((tool.text for tool in action.tools if tool.head in _LOCKS), None)
        return Undoing("isolated", "remove" if lock else "unlock", equipment=lock)
    if head in _LOCKS and sense in ("place", "secure", "cover", "fit"):
        return Undoing("isolated", "remove")
    if sense in ("close", "isolate", "turn") and head in _VALVES and verb in ("shut", "close", "turn"):
        closes = verb in ("shut", "close") or (action.particle or "") in ("off",)
        on = head in ("isolator", "faucet", "water", "gas", "mains", "electricity")
        return Undoing("isolated", "turn on" if on else "open") if closes else None
    if sense == "isolate" and verb in ("shut", "turn", "close") and head in ("water", "gas", "mains", "fuel"):
        return Undoing("isolated", "turn on")
    if verb == "isolate":
        return Undoing("isolated", "switch on")
    if sense in ("operate", "fit") and verb in ("press", "push", "hit") and named & _STOPS:
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
    if action.verb == "clamp" and {singular(word) for word in toward} & _FIXTURES:
        return Undoing("held", "take out" if toward & {"in", "into"} else "take off")
    if action.sense == "secure" and action.verb in ("clamp", "pinch"):
        clamp = next((tool.text for tool in action.tools if tool.head in ("clamp", "grip", "grips", "pliers")), None)
        if clamp is None and name.head in ("hose", "line", "pipe"):
            clamp = f"{name.head} clamp"
        return Undoing("equipped", "take off", equipment=clamp) if clamp else None
    if action.sense in ("place", "fit") and name.head in _MARKERS and "on" in toward:
        return Undoing("none", reason=_REASONS["mark"])
    if action.sense == "support" and first.kind not in ("tool", "machine"):
        carrier = next((tool.text for tool in action.tools if tool.head in _SLINGS | _CARRIERS), None)
        if carrier is not None:
            return Undoing("equipped", "take away", equipment=carrier)
    if (
        action.sense in ("place", "adjust", "support", "raise")
        and {singular(word) for word in toward} & _STANDS
        and first.kind != "tool"
    ):
        inside = bool(toward & {"in", "into"})
        return Undoing("held", "take out" if inside else "lower")
    brought = first.kind in ("tool", "material") or first.kind not in ("part", "seal", "fastener", "assembly")
    feeding = action.verb in _FEEDING
    holding = bool(name.qualifiers & _HOLDING) and (feeding or action.sense in ("place", "fit", "secure"))
    sling = name.head in _SLINGS and bool(toward & {"round", "around", "under", "through", "to"})
    blank = name.head in _BLANKS and action.sense == "place" and bool(toward & {"on", "onto", "over", "in", "into"})
    if name.head in _MOUNTED and action.sense in ("place", "fit", "secure"):
        return Undoing("equipped", "take off")
    if not (((brought or feeding) and name.head in _EQUIPMENT) or holding or sling or blank):
        foreign = first.kind == "tool" and action.sense in ("place", "fit", "secure")
        return Undoing("none", reason="A tool in use leaves nothing to undo.") if foreign else None
    if action.sense in ("place", "secure", "cover", "support", "fit") or action.verb in _FEEDING:
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
        {singular(word) for word in toward} & _STORED
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
