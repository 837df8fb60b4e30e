"""Which side a plug should face, and how far pools must stay by direction, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from airrisk.messages import Texts
from airrisk.study.keep_clear_table import DIRECTIONS, ClearRow
from airrisk.study.plug_sides import PlugSide, SidesOfVessel
from airrisk.wording import labels
from airrisk.wording.choices import choice_word
from airrisk.wording.translation import ntr, tr
from airrisk.wording.units import (
    Units,
    and_list,
    kept_number,
    percent_text,
    quantity_text,
    unit_of,
)

ALMOST = 1.0  # deg, so near to one of the eight directions counts as it
# in the order of DIRECTIONS
_NAMES: Texts[tuple[str, ...]] = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
_HEADS: Texts[tuple[str, ...]] = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def direction_heads() -> list[str]:
    """The eight directions as heads of narrow columns."""
    return [tr(one) for one in _HEADS]


def direction_name(number: int) -> str:
    """One of the eight directions."""
    return tr(_NAMES[number])


def angle_name(angle: float) -> str:
    """A direction on the plan [rad]: the nearest of the eight, with its angle if it is none."""
    degrees = math.degrees(angle)
    number = round((90.0 - degrees) / 45.0) % len(DIRECTIONS)
    off = abs(math.remainder(degrees - math.degrees(DIRECTIONS[number]), 360.0))
    if off <= ALMOST:
        return direction_name(number)
    return tr("{direction} ({angle}°)").format(
        direction=direction_name(number), angle=f"{degrees % 360.0:.0f}"
    )


def place_words(side: PlugSide) -> str:
    """Where a plug stands: "on top", "on the north side"."""
    if side.faces is None:
        return tr("on top")
    text = tr("on the {direction} end") if side.end else tr("on the {direction} side")
    return text.format(direction=angle_name(side.faces))


def pool_name(found: SidesOfVessel, units: Units) -> str:
    """What burns: "diesel pool of 2 m"."""
    diameter = quantity_text(found.diameter_m, "distance", units, 3)
    if found.fuel is None:
        return tr("goods of {diameter}").format(diameter=diameter)
    return tr("{fuel}, pool of {diameter}").format(fuel=choice_word(found.fuel), diameter=diameter)


def sides_sentences(found: SidesOfVessel, units: Units) -> tuple[str, ...]:
    """What the places of a plug on one vessel come to."""
    vessel = labels.sentence(labels.named("vessel", [found.vessel]))
    if found.failed:
        return (tr("{vessel} is not assessed: {why}.").format(vessel=vessel, why=tr(found.failed)),)
    if not found.like:
        return (
            tr("{vessel}: the file has no plug of a stated alloy to try.").format(vessel=vessel),
        )
    if not found.dangerous:
        text = tr("{vessel}: no place was found from which the fire is dangerous without a plug.")
        return (text.format(vessel=vessel),)
    best = found.sides[0]
    if not best.answered:
        text = ntr(
            "{vessel}: no place of a plug answers the {count} place from which the fire is "
            "dangerous.",
            "{vessel}: no place of a plug answers any of the {count} places from which the fire "
            "is dangerous.",
            found.dangerous,
        )
        return (text.format(vessel=vessel, count=found.dangerous),)
    return (*_best(found, vessel), *_more(found, best))


def _best(found: SidesOfVessel, vessel: str) -> tuple[str, ...]:
    alike = [one for one in found.sides if one.answered == found.sides[0].answered]
    told = {
        "vessel": vessel,
        "share": _share(found.sides[0].answered, found),
        "count": found.dangerous,
        "plug": found.like,
    }
    if len(alike) == len(found.sides):
        text = tr(
            "{vessel}: wherever it stands, a plug like {plug} answers {share} of the {count} "
            "places from which the fire is dangerous."
        )
    else:
        told["where"] = and_list([place_words(one) for one in alike])
        text = (
            tr(
                "{vessel}: a plug like {plug} answers most {where}: {share} of the {count} places "
                "from which the fire is dangerous."
            )
            if len(alike) == 1
            else tr(
                "{vessel}: one plug like {plug} answers most, and alike, {where}: {share} of the "
                "{count} dangerous places."
            )
        )
    return (text.format(**told),)


def _more(found: SidesOfVessel, best: PlugSide) -> tuple[str, ...]:
    told = []
    if best.answered < found.dangerous:
        missed = found.dangerous - best.answered
        told.append(
            tr("It leaves {count} unanswered; no other single place leaves fewer.").format(
                count=missed
            )
        )
    if best.blind:
        told.append(
            tr("From these sides it is missed: {directions}.").format(
                directions=and_list([direction_name(one) for one in best.blind])
            )
        )
    if found.pair is not None:
        first, second, together = found.pair
        told.append(
            tr("Two of them, for example one {first} and one {second}, answer {share}.").format(
                first=place_words(found.sides[first]),
                second=place_words(found.sides[second]),
                share=_share(together, found),
            )
        )
    if found.anywhere:
        told.append(
            tr("{share} are answered wherever the plug stands, by the heat of the wall.").format(
                share=_share(found.anywhere, found)
            )
        )
    return tuple(told)


def _share(count: int, found: SidesOfVessel) -> str:
    """A count with its share of the dangerous places: "51 (61 %)"; never rounded to all or none."""
    share = count / found.dangerous
    text = percent_text(min(max(share, 0.01), 0.99) if 0 < count < found.dangerous else share, 2)
    return tr("{count} ({share})").format(count=count, share=text)


def side_rows(found: Sequence[SidesOfVessel]) -> list[tuple[str, ...]]:
    """Heads, then a row for each place of a plug on each vessel."""
    rows: list[tuple[str, ...]] = [
        (tr("Vessel"), tr("Plug"), tr("Dangerous places"), tr("Fire reaches it"),
         tr("Answered"), tr("Missed from")),
    ]  # fmt: skip
    for one in found:
        for side in one.sides if one.dangerous else ():
            rows.append(
                (
                    labels.sentence(labels.named("vessel", [one.vessel])), place_words(side),
                    str(one.dangerous), str(side.reached), _share(side.answered, one),
                    ", ".join(direction_name(k) for k in side.blind) or "–",
                )
            )  # fmt: skip
    return rows


def sides_cautions(found: Sequence[SidesOfVessel], units: Units) -> tuple[str, ...]:
    """What the counts rest on."""
    told = [
        tr(
            "Each vessel is heated alone, in still air and behind the walls of the file, by a pool "
            "at places all around it; only those dangerous without a plug count."
        ),
        tr(
            "Answered means that every run is safe with that one plug, clean and in date. Its "
            "vessel's relief valves stay; all other plugs are left out."
        ),
        tr(
            "Wind or a smaller fire may miss a plug that the flames reach: one plug is never proof "
            "against a fire on the other side."
        ),
        tr(
            "Low places are left out: water and dirt gather there, and what a plug lets out would "
            "blow at the fire."
        ),
        tr("North is up on the plan: its y axis."),
    ]
    pitches = [one.pitch_m for one in found if one.places]
    if pitches:
        told.append(
            tr("The places stand at most {pitch} apart.").format(
                pitch=quantity_text(max(pitches), "distance", units, 2)
            )
        )
        told.append(_runs_sentence(sum(one.runs for one in found)))
    return tuple(told)


def _runs_sentence(count: int) -> str:
    return tr("It took {count} runs.").format(count=count)


def distances_sentence(units: Units) -> str:
    """What the numbers of the table of distances are."""
    return tr(
        "From the pool's edge to the shell, in {unit}, so that every run is safe. 0 is beside the "
        "vessel, not under it."
    ).format(unit=unit_of("distance", units))


def clear_rows(rows: Sequence[ClearRow], units: Units) -> list[tuple[str, ...]]:
    """Heads, then for each vessel, fuel and size a row with the plugs and one without.

    A star marks a distance that another part of the section decides.
    """
    told: list[tuple[str, ...]] = [
        (tr("Vessel"), tr("Fuel"), tr("Pool"), tr("Plugs"), *direction_heads(), tr("Worst")),
    ]
    for row in rows:
        first = (labels.sentence(labels.named("vessel", [row.vessel])), choice_word(row.fuel))
        if row.failed:
            told.append((*first, tr("not assessed"), *([""] * (len(DIRECTIONS) + 2))))
        for size in sorted(row.without_plugs_m):
            pool = quantity_text(size, "distance", units, 3)
            for plugs in (True, False) if row.has_plugs else (False,):
                words = tr("with") if plugs else tr("without") if row.has_plugs else tr("no plug")
                told.append((*first, pool, words, *_cells(row, size, plugs, units)))
    return told


def _cells(row: ClearRow, size: float, plugs: bool, units: Units) -> list[str]:
    """One distance for each direction, and the directions that need most."""
    found = (row.with_plugs_m if plugs else row.without_plugs_m)[size]
    cells = [
        _metres(one, units) + ("*" if (size, k, plugs) in row.others_decide else "")
        for k, one in enumerate(found)
    ]
    needs = [math.inf if one is None else one for one in found]
    worst = [direction_heads()[k] for k, one in enumerate(needs) if one == max(needs)]
    return [*cells, tr("all alike") if len(worst) == len(found) else ", ".join(worst)]


def clear_cautions(rows: Sequence[ClearRow]) -> tuple[str, ...]:
    """What the distances rest on."""
    return (
        tr(
            "The pool is moved straight away from the vessel in each direction, in still air and "
            "behind the walls of the file."
        ),
        tr(
            "The plugs count as heated by the wall only: wind or a smaller fire may miss them. "
            "Doubts are not counted: keep a margin."
        ),
        tr(
            "At each distance the worst runs are made again with the whole section in the heat. A "
            "star: another part of it needs more than the vessel."
        ),
        tr("A line farther out may need more than the vessel: see the map."),
        _runs_sentence(sum(row.runs for row in rows)),
    )


def _metres(value: float | None, units: Units) -> str:
    if value is None:
        return tr("none")
    return kept_number(value, units, 3)
