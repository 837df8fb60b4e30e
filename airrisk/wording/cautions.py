"""Cautions and limits that go with every result, and the assumptions of the method."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from airrisk.messages import Texts
from airrisk.wording.labels import named_all
from airrisk.wording.translation import tr

_CAUTIONS: Texts[tuple[str, ...]] = (
    "This is a screening calculation. It is not a certificate, a design approval or a licence to "
    "operate.",
    "Local codes, the law and licensed practice come first. Where they ask for more than this "
    "report, do what they ask.",
    "A plug or valve protects only if it is the right one, in its place, and works. The register "
    "and the walk sheet are part of the protection.",
    "Never test a fusible plug with a flame on a charged vessel; never close it with a bolt, a "
    "solid plug or paint.",
    "Nobody should go near a vessel in a fire to open or shut anything. Distances in this report "
    "are for flat open ground; walls and corners can throw more pressure and fragments one way.",
    "Air that has been let out feeds the fire and dilutes an extinguishing gas. It can hurt "
    "people near the outlet by force, noise and cold.",
)

_LIMITS: Texts[tuple[str, ...]] = (
    "Combustion of oil film, mist or deposits inside the system is left out. It can raise the "
    "pressure much faster than a fire outside; keep discharge temperature and deposits in check.",
    "Creep is counted by the lower bound of tests on tube steels, from 400 °C; above 727 °C "
    "there are no tests, and the curves are drawn on. The creep of aluminium and copper is left "
    "out.",
    "Each part has one wall zone in the fire and one out of it, lumped through the thickness, "
    "with no conduction between them. A flame on part of a shell, away from its plugs, is no "
    "part of the verdicts: practically no vessel survives it.",
    "The strength of the metal is that of its grade by the chosen basis, not of this plate. Heat "
    "treatment, dents, thinning that was not found and bad welds are not in it.",
    "Heat transfer to the air inside is uncertain by about 40 %; a safe verdict that turns with "
    "less or more of it is not sure.",
    "Fire curves stand for classes of fire. A jet flame or a fire in a closed room with plenty of "
    "fuel can be hotter.",
    "The bursting-vessel method has no measured air-vessel burst behind it that could be read; "
    "take distances as the right order of size.",
    "Fragments are bounded, not predicted; the far bound is what one lucky flat piece can do.",
)

_ASSUMPTIONS: Texts[tuple[str, ...]] = (
    "Air is a real gas after Lemmon et al. 2000 (CoolProp); its humidity is left out except for "
    "liquid condensate.",
    "Condensate stands in the lowest place of its part, where the fire burns. The metal over it "
    "hands on all the heat that the fire gives to cold metal, and the hot metal above it warms its "
    "surface. Its steam joins the air and leaves with it.",
    "Every isolating valve that is not locked open can be found shut when the fire starts.",
    "A fusible plug gets credit only if its alloy is known, its condition is good and its renewal "
    "not overdue. It must stand above the water, and its values must be confirmed.",
    "A relief valve answers pressure, not heat. It keeps the pressure at its set value while the "
    "metal loses its strength, so it does not count as the vent for a fire. On a part that is all "
    "in the fire it is taken to stay shut once the wall is above 400 °C (752 °F), for its spring "
    "and seat (judgement).",
    "Thickness that was not measured is reduced by the usual minus tolerance; a weld factor that "
    "was not given is 0.85.",
    "The wall starts at the temperature of the air inside.",
)


def steam_note(names: Sequence[str], kinds: Mapping[str, str]) -> str:
    """What is taken of the steam of condensate, to stand beside the numbers it changes.

    Parameters
    ----------
    names : sequence of str
        Parts with condensate that a fire reaches.
    kinds : mapping
        Id -> what it is.
    """
    return tr(
        "Condensate boils in {parts}. It stands in the lowest place, where the fire burns, and "
        "takes up all the heat that the fire gives to cold metal. Its steam joins the air, flows "
        "on with it and leaves with it. Steam is lighter than air and would leave a quarter "
        "faster: this is on the safe side."
    ).format(parts=named_all(names, kinds))


def cautions() -> tuple[str, ...]:
    """What a reader must not do with the report, and what comes before it."""
    return tuple(tr(text) for text in _CAUTIONS)


def model_limits() -> tuple[str, ...]:
    """What the calculation leaves out."""
    return tuple(tr(text) for text in _LIMITS)


def assumptions() -> tuple[str, ...]:
    """What the calculation takes for granted."""
    return tuple(tr(text) for text in _ASSUMPTIONS)
