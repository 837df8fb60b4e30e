"""The method of the calculation, step by step, each with its source and the source's standing."""

from __future__ import annotations

from dataclasses import dataclass

from airrisk.messages import Texts
from airrisk.wording.translation import tr


@dataclass(frozen=True)
class MethodStep:
    """One part of the method."""

    title: str
    text: str
    source: str
    standing: str


_READ: Texts[str] = "read in published text"
_MEMORY: Texts[str] = "from memory"
_JUDGEMENT = "judgement"

_STEPS: Texts[tuple[tuple[str, ...], ...]] = (
    (
        "Air",
        "Real gas. Pressure follows density and temperature along the density that was shut in.",
        "Lemmon, Jacobsen, Penoncello and Friend 2000, through CoolProp tables",
        _READ,
    ),
    (
        "Strength of hot metal",
        "Carbon steel by four bases side by side: tensile strength reduced by temperature, annex A "
        "on the yield strength, yield strength with its factors, and tensile strength with the "
        "factors of the yield strength for comparison. The verdict is on the "
        "chosen basis; the yield basis is the cautious one. Other metals have a curve of the "
        "tensile strength and one of the proof strength. The cold strength is that of the "
        "thickness as ordered.",
        "EN 1993-1-2, table 3.1 and annex A; for other metals see the material table",
        _READ,
    ),
    (
        "Burst pressure",
        "The least of shell and heads, times the weld factor. Shell by the chosen formula; "
        "hemispherical heads as a sphere, ellipsoidal and torispherical as the cylinder times 1.0 "
        "and 0.8, flat heads as a plate. Aluminium counts as welded unless its grade says "
        "seamless: the metal that welding has softened decides, and the weld factor is about the "
        "soundness of the seams alone.",
        "mean-diameter, Faupel and thick-wall formulas; EN 1999-1-1 beside welds; head factors "
        "are judgement",
        _MEMORY,
    ),
    (
        "Fire",
        "Nominal temperature curves, a constant flame temperature, a heat flux or a table; "
        "radiation and convection on the outside. After the fire the surroundings are at ambient.",
        "EN 1991-1-2, EN 1363-2",
        _READ,
    ),
    (
        "Wall",
        "Two zones a part, in and out of the fire, with the specific heat of hot steel; natural "
        "convection inside, Nu = 0.13 Ra^(1/3); radiation across the inside on and off, the worse "
        "one counts.",
        "EN 1993-1-2; common handbook form of the convection law",
        _MEMORY,
    ),
    (
        "Fusible plug",
        "One body that takes heat from the wall it is screwed into, from the flames if it stands "
        "in them, and from the air behind it; it opens when all of the alloy is molten.",
        "enthalpy method; data of the alloys with their sources in the alloy table",
        _JUDGEMENT,
    ),
    (
        "Condensate",
        "A pool that the fire heats: the wetted metal hands on the whole flux into cold metal, "
        "the hottest metal and the gas warm the surface. The vapour follows the saturation "
        "pressure of the liquid, joins the gas as so many moles of air, and leaves with it in its "
        "share. The heat that the dry metal and the gas give is not taken off them.",
        "Wagner and Pruss 1993 for the pressure, Watson's rule for the heat of evaporation; "
        "where the water stands and what heats it is judgement",
        _JUDGEMENT,
    ),
    (
        "Outflow",
        "Isentropic real-gas flow, critical or not, times discharge coefficient and area. Lines "
        "with friction.",
        "gas dynamics; Haaland 1983 for friction",
        _READ,
    ),
    (
        "Creep",
        "Damage is the sum of time over rupture life. The life comes from the Larson-Miller curve "
        "of the class of steel, the lower bound of the tests, from 400 °C; the stress is the gauge "
        "pressure times strength over burst pressure. Above 727 °C the curves are drawn on. The "
        "mean of the tests and the Omega rate of a cylinder stand beside it.",
        "WRC 541 as used in API 579-1 and API 530, read in one transcription; the class of each "
        "steel is judgement",
        _JUDGEMENT,
    ),
    (
        "Outcome of a fire",
        "Strength use is gauge pressure over burst pressure at the metal's present temperature. "
        "What reaches 1 ruptures; what goes above its limit passes the limit. Limits are 0.667 on "
        "the tensile basis, 0.8 on annex A and yield, 0.533 on tensile with yield factors. Creep "
        "damage adds up the time at temperature over the life that the hottest metal has there: it "
        "ruptures at 1, and its limit is 0.5. Within the limits it "
        "vents in time if a plug or disc opens that the air of every vessel can reach, else it "
        "outlasts the fire. A run goes on after the fire until its vessels are past danger, at "
        "most two hours.",
        "no published limit",
        _JUDGEMENT,
    ),
    (
        "What a verdict answers for",
        "Every fire up to the one named, not one run. Where all is in the flames it starts from "
        "the stated pressure and from the highest that can stand there, with the whole heat and "
        "half of it, and a very slow fire is looked at. Where plugs are out of the flames it also "
        "starts from 0.7 and 0.5 of the highest, and heats smaller shares of the shell. Devices "
        "that nobody may count on stay shut in some runs and work in others. Near the limit the "
        "worst is sought between the runs.",
        "own choice of runs",
        _JUDGEMENT,
    ),
    (
        "Sure or not sure",
        "A safe verdict is sure if it stays safe with each doubtful assumption turned the other "
        "way, one at a time: relief valves that stay shut, the yield strength, convection inside "
        "times 0.6 and 1.4, a third of the contact of the plug, no flame on it or its boss, 0.5 kg "
        "more metal at it, creep by the Omega rate, half of what insulation resists.",
        "own choice of doubts",
        _JUDGEMENT,
    ),
    (
        "Stored energy",
        "Five measures and ASME PCC-2 side by side; the TNT equivalent is the isentropic one over "
        "the chosen energy of TNT.",
        "ASME PCC-2; thermodynamics",
        _READ,
    ),
    (
        "Blast",
        "Bursting vessel by a table from a one-dimensional spherical solution of the Euler "
        "equations; TNT curves beside it.",
        "Kingery and Bulmash 1984 for TNT; own solution for vessels, not validated by a test",
        _MEMORY,
    ),
    (
        "Fragments",
        "Bounded apart from blast: 0.2 of the energy likely, 0.6 at most; flight with drag.",
        "Baum; Moore 1967",
        _MEMORY,
    ),
)


def method_steps() -> tuple[MethodStep, ...]:
    """The method in the order of the calculation."""
    return tuple(MethodStep(tr(a), tr(b), tr(c), tr(d)) for a, b, c, d in _STEPS)
