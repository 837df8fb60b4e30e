"""The two answers about a fire in which devices have values that nobody has confirmed."""

from __future__ import annotations

from airrisk.study.records import FireRecord
from airrisk.wording import labels
from airrisk.wording.reasons import kinds_of, with_kind
from airrisk.wording.sentences import broken_when_nothing_opens
from airrisk.wording.translation import tr
from airrisk.wording.units import and_list


def offered_devices(fire: FireRecord) -> tuple[str, ...]:
    """Devices of a fire that the program offered and nobody has confirmed."""
    return tuple(name for name, why in fire.uncredited.items() if why == "offered")


def waiting_parts(fire: FireRecord) -> tuple[str, ...]:
    """Parts and devices of a fire with values that wait to be confirmed."""
    return (*offered_devices(fire), *fire.unconfirmed)


def offered_sentences(fire: FireRecord) -> list[str]:
    """What happens without any device and with those offered, and what has to be confirmed.

    Parameters
    ----------
    fire : FireRecord
        One fire.

    Returns
    -------
    list of str
        Empty where everything is confirmed.
    """
    waiting, devices = waiting_parts(fire), offered_devices(fire)
    if not waiting:
        return []
    found = []
    if devices:
        found.append(_without_devices(fire))
        working = None if fire.envelope is None else fire.envelope.outcome_working
        if working is not None:
            pattern = tr("With {devices} as offered: {outcome}, in the worst of all runs.")
            if len(devices) < len(fire.uncredited):
                pattern = tr(
                    "With {devices} as offered, and all others working: {outcome}, in the worst of "
                    "all runs."
                )
            found.append(
                pattern.format(
                    devices=with_kind(list(devices), kinds_of(fire)),
                    outcome=labels.outcome(working),
                )
            )
    found.append(
        tr("Nobody has confirmed the values of {parts}: the program filled them in.").format(
            parts=and_list(list(waiting))
        )
    )
    return found


def _without_devices(fire: FireRecord) -> str:
    """What comes of the fire as stated when nothing opens."""
    broken = broken_when_nothing_opens(fire)
    if broken is None:
        return tr("Without any device, no rupture is found in the run as stated.")
    return tr("Without any device, {part} ruptures {time}, as stated.").format(**broken)
