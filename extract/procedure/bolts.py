"""Bolt mechanics: which tightening torques a fastener of a size and class can take.

This is a plausibility check of what was said or heard, and NEVER a source of tightening values. A torque depends on
the joint, the lubrication and the maker's test; only the manufacturer's data say what a fastener is tightened to.
A value that is too high for the fastener is implausible. A low one is normal: covers, light alloys and gaskets are
tightened far below what the bolt can take.

Formulas: thread geometry ISO 724; strengths ISO 898-1, ISO 3506-1 and SAE J429; preload and tightening torque
VDI 2230-1; the short formula M = K · d · F (nut factor K).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import pi, sqrt

from extract.model import TorqueCheck
from extract.procedure.threads import Thread, find_threads, sizes

PSI_MPA = 0.45359237 * 9.80665 / 25.4**2
#: Friction in thread and under the head: oiled with molybdenum disulphide to dry steel. VDI 2230-1 classes A to C.
FRICTION_LOW, FRICTION_HIGH = 0.08, 0.20
#: VDI 2230-1: the assembly preload uses up 90 % of the yield strength, torsion included.
UTILISATION = 0.9
#: Torques are rounded when they are written down and converted; a value this little above the band is no error.
_ROUNDING = 1.03


@dataclass(frozen=True, slots=True)
class Grade:
    """Least strengths of a property class in MPa: yield (or 0.2 % proof), proof stress, tensile."""

    name: str
    yield_mpa: float
    proof_mpa: float
    tensile_mpa: float


@dataclass(frozen=True, slots=True)
class Band:
    """Torques (N·m) that load a bolt to 90 % of its yield: at low friction, and at high friction.

    `proof_nm` is the torque that brings it to its proof load at high friction. `basis` says in words what was taken.
    """

    low_nm: float
    high_nm: float
    basis: str
    proof_nm: float


def _iso(name: str, *strengths: float) -> tuple[tuple[float, Grade], ...]:
    return ((float("inf"), Grade(name, *strengths)),)


def _sae(name: str, *limits: tuple[float, float, float, float]) -> tuple[tuple[float, Grade], ...]:
    # proof, yield, tensile in ksi up to a diameter in inches
    return tuple(
        (inches * 25.4 + 0.01, Grade(name, *(1000 * ksi * PSI_MPA for ksi in (yielding, proof, tensile))))
        for inches, proof, yielding, tensile in limits
    )


#: Grades by name, each up to a diameter in mm. 8.8, 10.9 and 12.9 from EN ISO 898-1:2013 Table 3, SAE 5 and 8 from
#: SAE J429 (as quoted in the table that the tests use); the others from memory.
_GRADES: dict[str, tuple[tuple[float, Grade], ...]] = {
    "4.6": _iso("4.6", 240, 225, 400),
    "4.8": _iso("4.8", 340, 310, 420),
    "5.6": _iso("5.6", 300, 280, 500),
    "5.8": _iso("5.8", 420, 380, 520),
    "6.8": _iso("6.8", 480, 440, 600),
    "8.8": ((16.0, Grade("8.8", 640, 580, 800)), (float("inf"), Grade("8.8", 660, 600, 830))),
    "9.8": _iso("9.8", 720, 650, 900),
    "10.9": _iso("10.9", 940, 830, 1040),
    "12.9": _iso("12.9", 1100, 970, 1220),
    "A2-50": _iso("A2-50", 210, 210, 500),
    "A2-70": _iso("A2-70", 450, 450, 700),
    "A2-80": _iso("A2-80", 600, 600, 800),
    "SAE 2": _sae("SAE 2", (0.75, 55, 57, 74), (1.5, 33, 36, 60)),
    "SAE 5": _sae("SAE 5", (1.0, 85, 92, 120), (1.5, 74, 81, 105)),
    "SAE 8": _sae("SAE 8", (1.5, 120, 130, 150)),
}
#: Strongest and weakest grade that a bolt of unknown grade may have.
_STRONGEST = {False: "12.9", True: "SAE 8"}
_WEAKEST = {False: "4.6", True: "SAE 2"}


def find_grade(text: str | None, thread: Thread) -> Grade | None:
    """The grade that a name such as "8.8", "10.9", "A4-70", "grade 8" or "SAE 5" stands for, at this diameter."""
    if not text:
        return None
    plain = text.lower().replace(",", ".")
    found = re.search(r"\b(4\.6|4\.8|5\.6|5\.8|6\.8|8\.8|9\.8|10\.9|12\.9)\b", plain)
    stainless = re.search(r"\ba[245][- ]?(50|70|80)\b", plain)
    sae = re.search(r"^(?:sae|grade|gr\.?|class)?[ -]*([258])$", plain.strip())
    if found:
        name = found[1]
    elif stainless:
        name = f"A2-{stainless[1]}"
    elif sae and thread.inch:
        name = f"SAE {sae[1]}"
    else:
        return None
    return next((grade for limit, grade in _GRADES[name] if thread.diameter <= limit), None)


def assembly_preload(thread: Thread, yield_mpa: float, friction: float, utilisation: float = UTILISATION) -> float:
    """Preload FM (N) at which tension and torsion use up a share of the yield strength (VDI 2230-1, eq. R8/1).

    FM = As · ν Rp0.2 / √(1 + 3 [3/2 · d2/d0 · (P / (π d2) + 1.155 µG)]²), with d0 the stress diameter.
    """
    torsion = 1.5 * thread.pitch_diameter / thread.stress_diameter
    torsion *= thread.pitch / (pi * thread.pitch_diameter) + 1.155 * friction
    return thread.stress_area * utilisation * yield_mpa / sqrt(1 + 3 * torsion**2)


def tightening_torque(thread: Thread, preload_n: float, friction: float) -> float:
    """Torque (N·m) for a preload: MA = FM (0.16 P + 0.58 d2 µG + DKm/2 µK), same friction in thread and head."""
    size = sizes()[thread.size]
    bearing_diameter = (size.bearing_face + size.clearance_hole) / 2
    arm = 0.16 * thread.pitch + 0.58 * thread.pitch_diameter * friction + bearing_diameter / 2 * friction
    return preload_n * arm / 1000


def nut_factor_torque(thread: Thread, preload_n: float, nut_factor: float) -> float:
    """Torque (N·m) by the short formula M = K · d · F."""
    return nut_factor * thread.diameter * preload_n / 1000


def torque_band(size: str, grade: str | None = None) -> Band | None:
    """The torques that a fastener of this size can take; null where the size is unknown.

    Without a known grade the band reaches from the weakest usual grade to the strongest; where the designation
    leaves the pitch open, it covers the pitches.
    """
    threads = find_threads(size)
    if not threads:
        return None
    lows, highs, proofs = [], [], []
    known = find_grade(grade, threads[0])
    for thread in threads:
        weak = known or find_grade(_WEAKEST[thread.inch], thread)
        strong = known or find_grade(_STRONGEST[thread.inch], thread)
        if weak is None or strong is None:
            return None
        lows.append(_at_yield(thread, weak, FRICTION_LOW))
        highs.append(_at_yield(thread, strong, FRICTION_HIGH))
        proofs.append(tightening_torque(thread, strong.proof_mpa * thread.stress_area, FRICTION_HIGH))
    name = threads[0].name if len(threads) == 1 else threads[0].size + (" inch" if threads[0].inch else "")
    grades = (
        f"class {known.name}"
        if known
        else f"grade unknown, {_WEAKEST[threads[0].inch]} to {_STRONGEST[threads[0].inch]} taken"
    )
    basis = f"{name}, {grades}; VDI 2230, friction {FRICTION_LOW:.2f} to {FRICTION_HIGH:.2f}, 90 % of yield"
    return Band(_rounded(min(lows)), _rounded(max(highs)), basis, _rounded(max(proofs)))


def proof_torque(size: str, grade: str | None = None) -> float | None:
    """Torque (N·m) above which even a dry bolt is beyond its proof load; null where the size is unknown."""
    band = torque_band(size, grade)
    return band.proof_nm if band else None


def check_torque(size: str | None, grade: str | None, value_nm: float | None) -> TorqueCheck:
    """Whether a torque is plausible for its fastener. Only too high is implausible; low is normal."""
    if value_nm is None:
        return TorqueCheck(status="no_value")
    band = torque_band(size, grade) if size else None
    if band is None:
        return TorqueCheck(status="not_checked", basis="size of the fastener unknown")
    status = "implausible" if value_nm > band.high_nm * _ROUNDING else "ok"
    return TorqueCheck(status=status, low_nm=band.low_nm, high_nm=band.high_nm, basis=band.basis)


def _at_yield(thread: Thread, grade: Grade, friction: float) -> float:
    return tightening_torque(thread, assembly_preload(thread, grade.yield_mpa, friction), friction)


def _rounded(value: float) -> float:
    return float(f"{value:.3g}")
