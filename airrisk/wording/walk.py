"""The questions of the walk sheet, and what to write down at each stop."""

from __future__ import annotations

from airrisk.messages import Texts
from airrisk.wording.translation import tr

_QUESTIONS: Texts[dict[str, str]] = {
    "shut-off": "Is it open? Who may shut it, and does shutting it cut a vessel off from its plug?",
    "locked-open": "Is it open and locked, and is the key where it should be?",
    "non-return": "Does its arrow point with the flow? Does it hold?",
    "plug": "Stamp, alloy and date readable? Clean metal, no paint, scale, oil or plug of another "
    "kind? Outlet clear and pointing away from people?",
    "relief-valve": "Set pressure on the plate as in the file? Sealed, free to lift, outlet clear?",
    "bursting-disc": "Burst pressure on the tag as in the file? Right way round, outlet clear?",
    "compressor": "Pressure and temperature switch-offs as in the file? Oil, deposits, air intake?",
    "part-without-plug": "No plug here: is there really none? What stands around it that can burn? "
    "Thickness, corrosion, drain?",
}


def question(key: str) -> str:
    """What to look at on a stop of the walk.

    Parameters
    ----------
    key : str
        Question key of the stop; an unknown one is shown as it is.
    """
    return tr(_QUESTIONS.get(key, key.replace("-", " ")))
