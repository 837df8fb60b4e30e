"""The questions of the walk sheet, and what to write down at each stop."""

from __future__ import annotations

from typing import Any

from airrisk.installation.fields import spec
from airrisk.installation.model import RECORDS, Installation
from airrisk.messages import Texts
from airrisk.study.records import WalkStop
from airrisk.study.upkeep import INSULATED
from airrisk.wording.choices import choice_word
from airrisk.wording.labels import field_name, uncapitalised
from airrisk.wording.origin import value_text
from airrisk.wording.translation import tr
from airrisk.wording.units import Units

_QUESTIONS: Texts[dict[str, str]] = {
    "shut-off": "Is it open? Who may shut it, and does shutting it cut a vessel off from its plug?",
    "locked-open": "Is it open and locked, and is the key where it should be?",
    "non-return": "Does its arrow point with the flow? Does it hold?",
    "plug": "Stamp, alloy and date readable? Clean metal, no paint, scale, oil or plug of another "
    "kind? Outlet clear and pointing away from people?",
    "relief-valve": "Set pressure on the plate as in the file? Sealed, free to lift, outlet clear?",
    "bursting-disc": "Burst pressure on the tag as in the file? Right way round, outlet clear?",
    "compressor": "Pressure and temperature switch-offs as in the file? Oil, deposits, air intake?",
    "vessel": "Name plate as in the file? Corrosion, dents, drain? What stands around it that can "
    "burn?",
    "part-without-plug": "No plug here: is there really none? What stands around it that can burn? "
    "Thickness, corrosion, drain?",
}


_OF_INSULATION: Texts[dict[str, str]] = {
    "plug": "Does its head stand free of the insulation?",
    "part": "Insulation whole, dry and fixed everywhere?",
}


def question(key: str) -> str:
    """What to look at on a stop of the walk.

    Parameters
    ----------
    key : str
        Question key of the stop; an unknown one is shown as it is. ``insulated-`` before a key
        asks about insulation too.
    """
    if key.startswith(INSULATED):
        plain = key.removeprefix(INSULATED)
        more = tr(_OF_INSULATION["plug" if plain == "plug" else "part"])
        return more if plain == "line" else f"{question(plain)} {more}"
    return tr(_QUESTIONS.get(key, key.replace("-", " ")))


# What the sheet prints of each thing, to be compared with its plate, tag or place.
_COMPARED: dict[str, tuple[str, ...]] = {
    "plug": ("alloy", "bore", "fitted", "renew_every"),
    "relief_valve": ("set_pressure", "area", "maker", "year_made"),
    "bursting_disc": ("burst_pressure", "area"),
    "valve": ("state",),
    "vessel": (
        "design_pressure",
        "test_pressure",
        "volume",
        "wall_thickness",
        "maker",
        "year_made",
    ),
    "compressor": ("discharge_pressure", "in_fire"),
}
_KIND_OF = {record: kind for kind, record in RECORDS.items()}


def file_says(installation: Installation, stop: WalkStop, units: Units) -> str:
    """What the file says of a stop, to be held against what is seen there.

    Parameters
    ----------
    installation
        Whose walk it is.
    stop
        One of its stops.
    units
        Unit set and atmosphere.
    """
    record: Any = installation.find(stop.place)
    kind = _KIND_OF.get(type(record), "")
    pieces = []
    for key in _COMPARED.get(kind, ()):
        field = spec(kind, key)
        if getattr(record, field.attr) in (None, ""):
            continue
        name = uncapitalised(field_name(kind, key))
        pieces.append(
            tr("{field}: {value}").format(field=name, value=value_text(record, field, units))
        )
    return "; ".join(pieces)


def found_words() -> dict[str, str]:
    """What may stand under "found" in the reader's language, folded -> word of the file."""
    words = {choice_word(word).casefold(): word for word in spec("inspection", "condition").choices}
    return {**words, tr("in order").casefold(): "clean"}
