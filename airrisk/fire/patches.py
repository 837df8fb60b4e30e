"""What strikes a part's wall where it is not the same all over: patches with their exposures.

A wall in a fire has a zone in the flames and one at ambient. A wall that a source of radiation
strikes, or flames of another kind, is cut into up to four patches instead. The first one in the
flames and the first one at ambient take the places of the two zones, the others are records of
their own (see ``layout``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from airrisk.installation.model import Fire
from airrisk.kernel import layout as at
from airrisk.kernel.flames import COOLING_CONVECTION
from airrisk.messages import Message, said

Floats = NDArray[np.float64]
ExposureKind = Literal["flames", "radiation", "ambient"]

MOST_PATCHES = 4
NO_END = 1e12  # s: a source that burns as long as the fire
_CODES = {"flames": at.IN_FLAMES, "radiation": at.IN_RADIATION, "ambient": at.IN_AMBIENT}
_ZONES = {"flames": at.FLAMES_PATCH, "ambient": at.AMBIENT_PATCH}


@dataclass(frozen=True)
class Exposure:
    """What a patch of a wall stands in.

    Attributes
    ----------
    kind
        "flames" of the fire's curve; "radiation" that falls on it while it loses heat to ambient;
        "ambient": out of the fire.
    emissivity
        Of the surface, or of flames and surface; None: that of the fire.
    convection
        Flames to wall, or wall to ambient under radiation [W/m2/K]; None: that of the fire, or
        that of a face out of the fire.
    flux
        Radiation that falls on the patch [W/m2].
    begins, ends
        When its source burns [s]; no end: as long as the fire.
    """

    kind: ExposureKind
    emissivity: float | None = None
    convection: float | None = None
    flux: float = 0.0
    begins: float = 0.0
    ends: float | None = None

    def emissivity_in(self, fire: Fire) -> float:
        """The emissivity that counts."""
        return fire.emissivity if self.emissivity is None else self.emissivity

    def convection_in(self, fire: Fire) -> float:
        """The heat transfer outside that counts, W/m2/K."""
        if self.convection is not None:
            return self.convection
        return float(fire.convection if self.kind == "flames" else COOLING_CONVECTION)


@dataclass(frozen=True)
class Patch:
    """A share of a part's surface and metal with one exposure."""

    name: str
    share: float
    exposure: Exposure


Exposures = Mapping[str, Sequence[Patch]]  # by part


@dataclass(frozen=True)
class Laid:
    """Where a patch stands in a case: the number that a plug names it by, and its share."""

    place: int
    share: float
    exposure: Exposure | None  # None: a zone as the fire says


def laid_out(patches: Sequence[Patch], first: int) -> dict[str, Laid]:
    """Where the patches of a part stand, by name; ``first`` is the next free record."""
    found: dict[str, Laid] = {}
    taken: set[int] = set()
    free = at.FIRST_PATCH + first
    for patch in patches:
        place = _ZONES.get(patch.exposure.kind, -1)
        if place < 0 or place in taken:
            place = free
            free += 1
        taken.add(place)
        found[patch.name] = Laid(place, patch.share, patch.exposure)
    return found


def fault_of(patches: Sequence[Patch], fire: Fire) -> Message | None:
    """What is wrong with the patches of a part; None: nothing."""
    if not 1 <= len(patches) <= MOST_PATCHES:
        return said("patches-out-of-range", count=len(patches), most=MOST_PATCHES)
    if len({patch.name for patch in patches}) < len(patches):
        return said("patches-of-one-name")
    shares = [patch.share for patch in patches]
    if not min(shares) > 0.0 or abs(math.fsum(shares) - 1.0) > 1e-9:
        told = ", ".join(f"{share:g}" for share in shares)
        return said("patch-shares-out-of-range", shares=told)
    for patch in patches:
        fault = _fault_of_exposure(patch.exposure, fire)
        if fault is not None:
            return said("patch-at-fault", name=patch.name, fault=fault)
    return None


def _fault_of_exposure(exposure: Exposure, fire: Fire) -> Message | None:
    if exposure.kind == "ambient":
        return None
    emissivity, convection = exposure.emissivity_in(fire), exposure.convection_in(fire)
    if not 0.0 < emissivity <= 1.0:
        return said("patch-emissivity-out-of-range", value=f"{emissivity:g}")
    if not 0.0 <= convection < math.inf:
        return said("patch-convection-out-of-range", value=f"{convection:g}")
    if exposure.kind == "flames":
        return None
    if not 0.0 <= exposure.flux < math.inf:
        return said("patch-flux-out-of-range", value=f"{exposure.flux:g}")
    ends = fire.duration if exposure.ends is None else exposure.ends
    if not 0.0 <= exposure.begins < ends <= fire.duration:
        # the run looks for its end when the fire is over
        return said(
            "patch-source-outlasts-fire",
            begins=f"{exposure.begins:g}",
            ends=f"{ends:g}",
            fire=f"{fire.duration:g}",
        )
    return None


def patch_row(exposure: Exposure, fire: Fire, area: float, mass: float) -> Floats:
    """The floats of a patch that is a record of its own."""
    row = np.zeros(at.Q_SIZE)
    row[at.Q_AREA], row[at.Q_MASS] = area, mass
    row[at.Q_EMISSIVITY] = exposure.emissivity_in(fire)
    row[at.Q_CONVECTION] = exposure.convection_in(fire)
    row[at.Q_FLUX] = exposure.flux
    row[at.Q_BEGINS] = exposure.begins
    row[at.Q_ENDS] = NO_END if exposure.ends is None else exposure.ends
    return row


def exposure_code(exposure: Exposure) -> int:
    """The kind of an exposure as the kernel knows it."""
    return _CODES[exposure.kind]


def by_severity(laid: Iterable[Laid]) -> list[Laid]:
    """The patches that a fire strikes: those in flames, then under radiation, most first."""
    struck = [one for one in laid if one.exposure is not None and one.exposure.kind != "ambient"]

    def rank(one: Laid) -> tuple[bool, float, int]:
        assert one.exposure is not None
        return one.exposure.kind != "flames", -one.exposure.flux, one.place

    return sorted(struck, key=rank)


def standing_on(laid: Mapping[str, Laid], struck: bool) -> int:
    """Patch of a plug that nobody has placed: of those that may be, the one that heats it least.

    ``struck``: its head is named among those that the fire strikes.
    """
    severe = by_severity(laid.values())
    at_ambient = [one.place for one in laid.values() if one not in severe]
    if at_ambient and not (struck and severe):
        return min(at_ambient)
    flames = [one for one in severe if one.exposure is not None and one.exposure.kind == "flames"]
    if struck and flames:
        return flames[0].place
    return severe[-1].place


def spread_over(wetted: Floats, areas: Sequence[Floats]) -> list[Floats]:
    """How much of a wetted surface each of some areas heats [m2]: the fire is where water stands.

    Parameters
    ----------
    wetted
        Surface over the liquid [m2].
    areas
        Those that the fire strikes, the worst first [m2].
    """
    found = []
    left = np.asarray(wetted, dtype=float)
    for area in areas:
        here = np.minimum(left, area)
        found.append(here)
        left = left - here
    return found


def shrunk(patches: Sequence[Patch], less: float) -> tuple[Patch, ...]:
    """Patches with ``less`` of all that a fire strikes; what is left stands out of it."""
    kept = [
        Patch(one.name, less * one.share, one.exposure)
        for one in patches
        if one.exposure.kind != "ambient"
    ]
    rest = 1.0 - math.fsum(one.share for one in kept)
    ambient = next((one for one in patches if one.exposure.kind == "ambient"), None)
    name = "away" if ambient is None else ambient.name
    exposure = Exposure("ambient") if ambient is None else ambient.exposure
    return (*kept, Patch(name, rest, exposure))
