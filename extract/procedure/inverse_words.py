"""Words that decide what an act leaves behind: what is clamped, locked, brought in, mounted, worked, put away.

Trade facts here are common practice, no source.
"""

from __future__ import annotations

from extract.wordforms import word_set

FASTENER_HEADS = word_set("bolt nut screw stud capscrew setscrew screws cotter pin rivet fastener bung wingnut locknut")
CLAMPING = word_set(
    "clamp clip strap union gland connection connector fitting coupling tie knob wingnut thumbscrew lever catch"
)
VALVES = word_set("cock seacock valve tap stopcock supply gate isolator faucet petcock")
ENGINES = word_set("engine ignition key machine tractor vehicle car truck van bus coach")
STOPS = word_set("stop emergency inspection isolator isolating kill breaker")
TAGS = word_set("tag notice sign label")
LOCKS = word_set("padlock lock hasp")
STANDS = word_set("stand block cribbing trestle jack ramp lift chock timber prop axle support sleeper")
SLINGS = word_set("strap sling chain rope hoist lanyard shackle eyebolt hook")
#: What is brought in for the job and stands there until it is taken away; tools in the hand are none of it.
EQUIPMENT = SLINGS | word_set(
    "tray pan basin bucket container vessel bowl tub drip rag cloth plug cap bung cover sheet blank tape plate jack stand "
    "prop block chock tag padlock clamp wedge board bag support mat cardboard film cord barrier cone fence"
)
HOLDING = word_set(
    "locking timing holding alignment setting retaining winding jacking forcing caging transport dummy slave extractor"
)
WIRED = word_set("wire lead cable connector loom harness terminal wiring")
PIPE_NUTS = word_set("compression union flare olive gland pipe coupling")
SCREWED = word_set("plug nipple sensor injector jet stopper sender switch nozzle")
#: Where things go that are not used again.
BINS = word_set("bin trash waste scrap skip tip rubbish garbage dustbin can drum")
#: Tools that leave nothing to be fitted again.
DESTROYING = word_set("grinder hacksaw saw torch")
BROKEN = word_set("crack split break smash cut burst")
#: Tools that hold on to the part by themselves and are taken off again.
MOUNTED = word_set("puller compressor spreader extractor separator")
#: How a tool is joined to the machine, so that it stays there without a hand.
JOINED = word_set("screw bolt mount attach thread clamp wind")
IN_HAND = word_set("socket spanner wrench screwdriver key driver bit bar ratchet extension")
#: What is wound or cranked up and down as a whole.
CRANKED = word_set("wind crank jack")
#: What closes an open port for the time of the job.
BLANKS = word_set("cap plug bung blank")
TURNED_OVER = word_set("turn flip roll")
#: Air and pressure come back in service; nobody fills them in.
PRESSURES = word_set("air pressure steam vapour vapor")
#: Plugs that shut an opening; all other plugs are electrical.
STOPPERS = word_set(
    "drain filler fill level oil sump spark glow core dust blanking bleed bung gearbox case expansion magnetic radiator "
    "wheel rubber dowel hub bottom top"
)
LINES = word_set("hose line pipe tube pipework hoses lines pipes")
MARKERS = word_set("tape tag label sticker tie paint dot ribbon")
FIXTURES = word_set("stand vice vise bench jig trestle jaw")
GRIPPED = word_set("clamp close grip pinch fix")
#: Loads that a machine carries; set down, they stay down until it works again.
CARRIED = word_set("load bucket boom fork implement attachment blade platform cage bale")
#: How the tab of a lock washer is bent away from its nut.
BENT = word_set("knock tap bend fold prise pry hammer straighten lever flatten")
TWISTED = word_set("screw wind spin")
FEEDING = word_set("feed insert thread poke wedge jam push stick stuff")
CARRIERS = word_set("jack prop block stand support trestle timber")
#: What is pushed or pulled to work it, not to move it aside.
WORKED = word_set("piston button switch pedal lever handle trigger wire rod brush valve")
WEAR = word_set("protection goggle glove mask glasses visor respirator apron overall boot hat shield guard")
DIRT = word_set(
    "residue residues dirt rust debris bit fragment remain remains swarf carbon grime muck sludge deposit deposits burr burrs scale paint grease "
    "oil dust sealant corrosion chip chips mud soot rubbish shaving shavings filings bead seal"
)
STORED = word_set(
    "bench tin box tray bag container blanket mat towel table ground side aside shelf rack floor cardboard basin bucket paper drawer trolley pallet "
    "string nail magnet peg tub jar cup bowl"
)
