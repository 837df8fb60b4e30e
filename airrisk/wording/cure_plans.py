"""Changes, causes and cure plans in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from airrisk.study.records import Assessment
from airrisk.wording import labels
from airrisk.wording.acceptances import work_sentences
from airrisk.wording.cures import alloy_text
from airrisk.wording.findings import finding_cure, finding_place, finding_text, finding_title
from airrisk.wording.free_heads import freed_sentence
from airrisk.wording.matrix import Cell as ShownCell
from airrisk.wording.matrix import class_heads, matrix_rows, short_title, shortest_away_sentences
from airrisk.wording.translation import ntr, tr
from airrisk.wording.units import (
    Units,
    and_list,
    kept_distance,
    number_text,
    quantity_text,
    time_text,
)

if TYPE_CHECKING:  # the search itself is not needed to speak of it
    from airrisk.study.causes import CauseRecord
    from airrisk.study.cure_changes import Change
    from airrisk.study.cure_plan import PlanRecord, PlanSearch
    from airrisk.study.cure_trials import Cell

Kinds = Mapping[str, str]
FEW = 2  # changes that one sentence names


def change_sentence(change: Change, kinds: Kinds, units: Units) -> str:
    """What a change asks to do."""
    values = change.values
    place = {
        "part": labels.named_all([change.part], kinds),
        "on": labels.named_all([str(values.get("on", ""))], kinds),
    }
    if "alloy" in values:
        place["alloy"] = alloy_text(values["alloy"], units)
    if "bore_m" in values:
        place["bore"] = quantity_text(values["bore_m"], "length", units, 3)
    patterns = {
        "renew": tr("Renew {part}, so that it is clean and in date."),
        "move": tr("Renew {part} and move it to the top of {on}."),
        "reach": tr("Move {part} to where the flames of {fires} reach it."),
        "turn": tr("Move {part} to the other end of {on}."),
        "stop": tr("Stop {part} by the fire alarm."),
        "set": tr("Set {part} to {pressure}, the design pressure."),
        "drain": tr("Keep {part} drained, for example by an automatic drain: it holds {water}."),
        "confirm": tr("Confirm the offered values of {part}, or type the right ones."),
        "outlet": tr("Lead the outlet of {part} outdoors, where nobody passes."),
        "lock": tr("Lock {valves} open."),
        "alloy": tr("Give {part} the metal {alloy}.")
        if "bore_m" not in values
        else tr("Give {part} the metal {alloy} and a bore of {bore}."),
        "enlarge": tr("Give {part} a bore of {bore}."),
        "fit": tr("Fit a plug of {alloy} with a bore of {bore} on top of {part}, piped outdoors.")
        if not values.get("fires")
        else tr("Fit a plug of {alloy} with a bore of {bore} on top of {part}, in the flames of "
                "{fires}, piped outdoors."),
        "away": tr("Move {part} so that its edge is {gap} from the shell of {on}."),
        "lower": tr("Let {machines} cut out at {pressure}, and set {relief} to {set}."),
        "insulate": _insulate(len(values.get("plugs", ()))),
        "wall": tr("Put a wall of {height} between {part} and {on}, rated for {time} in a fire."),
        "keep_away": tr("Keep what can burn so far from every vessel and line that at most {flux} "
                        "fall on it, not {was}."),
    }  # fmt: skip
    if "fires" in values:
        place["fires"] = labels.named("fire", list(values["fires"])) if values["fires"] else ""
    if "valves" in values:
        place["valves"] = labels.named("valve", list(values["valves"]))
    if "pressure_pa" in values:
        place["pressure"] = quantity_text(values["pressure_pa"], "pressure", units, 3)
    if "water_m3" in values:
        place["water"] = quantity_text(values["water_m3"], "volume", units, 3)
    if "layer" in values:
        place["parts"] = labels.named_all(list(values["parts"]), kinds)
        place["thickness"] = quantity_text(values["thickness_m"], "length", units, 3)
        place["layer"] = tr(values["layer"])
        place["limit"] = quantity_text(values["holds_to_k"], "temperature", units, 3)
        place["plugs"] = labels.named_all(list(values["plugs"]), kinds)
    if "gap_m" in values:
        place["gap"] = kept_distance(values["gap_m"], units, 3)
    if "set_pa" in values:
        place["machines"] = labels.named("compressor", list(values["machines"]))
        place["relief"] = labels.named("relief valve", list(values["relief_valves"]))
        place["set"] = quantity_text(values["set_pa"], "pressure", units, 3)
    if "height_m" in values:
        place["height"] = quantity_text(values["height_m"], "distance", units, 3)
        place["time"] = time_text(values["resists_s"])
    if "flux_w_m2" in values:
        place["flux"] = quantity_text(values["flux_w_m2"], "flux", units, 2)
        place["was"] = quantity_text(values["from_w_m2"], "flux", units, 2)
    return freed_sentence(patterns[change.kind].format(**place), change)


def _insulate(plugs: int) -> str:
    """The sentence on insulation, with so many plugs on what is insulated."""
    if plugs == 0:
        return tr("Insulate {parts} all over with {thickness} of {layer}, whole to {limit}; "
                  "any plug there stands free of it.")  # fmt: skip
    return ntr(
        "Insulate {parts} all over with {thickness} of {layer}, whole to {limit}; the head of "
        "{plugs} stands free of it.",
        "Insulate {parts} all over with {thickness} of {layer}, whole to {limit}; the heads of "
        "{plugs} stand free of it.",
        plugs,
    )


def cause_heading(cause: CauseRecord) -> str:
    """Severity, and the gravest finding of a cause: "◆ danger: vessel D1, not safe in a fire"."""
    first = cause.findings[0]
    return tr("{shape} {severity}: {part}, {title}").format(
        shape=labels.severity_shape(cause.severity),
        severity=labels.severity(cause.severity),
        part=labels.named_all([first.part], first.kinds) if first.part else tr("the installation"),
        title=labels.uncapitalised(finding_title(first)),
    )


def cause_cure(cause: CauseRecord, kinds: Kinds, units: Units) -> str:
    """The change after which the findings of a cause are gone; or what the gravest asks for."""
    if not cause.changes:
        asked = finding_cure(cause.findings[0], units, brief=True)
        return tr("No change that was tried cures all of this. What it asks for: {deed}").format(
            deed=asked
        )
    told = " ".join(change_sentence(change, kinds, units) for change in cause.changes)
    count = len(cause.findings)
    gone = ntr("{count} finding is gone then", "{count} findings are gone then", count).format(
        count=count
    )
    cells = len(cause.cured)
    if cells:
        gone += tr("; verdicts that are safe then: {cells}").format(cells=cells)
    if len(cause.changes) == 2:
        gone += tr("; only both together cure it")
    elif len(cause.changes) > 2:
        gone += tr("; only all of them together cure it")
    return f"{told} {labels.sentence(gone)}."


def cause_deed(cause: CauseRecord, kinds: Kinds, units: Units) -> str:
    """What is to be done about a cause: its changes, else the cure of its gravest finding."""
    if cause.changes:
        return " ".join(change_sentence(change, kinds, units) for change in cause.changes)
    return finding_cure(cause.findings[0], units)


def cause_work(cause: CauseRecord, assessment: Assessment) -> tuple[str, ...]:
    """Who already has to see to a cause, in sentences; empty: nobody."""
    return work_sentences(cause.findings, assessment)


def cause_lines(cause: CauseRecord, units: Units) -> list[str]:
    """Every finding of a cause in a line: none is lost."""
    return [
        tr("{shape} {part}: {text}").format(
            shape=labels.severity_shape(one.severity),
            part=finding_place(one),
            text=finding_text(one, units),
        )
        for one in cause.findings
    ]


def causes_sentence(answer: Assessment) -> str:
    """How many causes the findings come to."""
    return tr("{findings} findings come to {causes} causes, the gravest first.").format(
        findings=len(answer.findings), causes=len(answer.causes or ())
    )


def plan_heading(number: int, plan: PlanRecord) -> str:
    """A plan as a heading with its cost, and whether it leans on a promise."""
    count = len(plan.changes)
    pattern = (
        ntr(
            "Plan {number}: {count} change, relative cost {cost}, only while a promise is kept",
            "Plan {number}: {count} changes, relative cost {cost}, only while a promise is kept",
            count,
        )
        if plan.on_the_place
        else ntr(
            "Plan {number}: {count} change, relative cost {cost}",
            "Plan {number}: {count} changes, relative cost {cost}",
            count,
        )
    )
    return pattern.format(number=number, count=count, cost=number_text(plan.cost, 3))


def plan_sentences(plan: PlanRecord) -> list[str]:
    """What a plan is proven for, and what it leans on."""
    found = []
    if plan.on_the_place:
        found.append(
            tr("It helps only while a promise about the place is kept, which nobody has checked: "
               "fires stay away, or a wall stands.")
        )  # fmt: skip
    found.append(
        tr("The changed file was assessed as a whole: every verdict is safe, with the changed "
           "values as if they were confirmed.")
    )  # fmt: skip
    unsure = sum(1 for one in plan.after.verdicts if one.safe and not one.sure)
    if unsure:
        found.append(tr("Safe verdicts that are not sure: {number}.").format(number=unsure))
    found += shortest_away_sentences(plan.after)
    left = sum(1 for one in plan.after.findings if one.counts and one.severity != "note")
    found.append(tr("Findings above a note that stay: {number}.").format(number=left))
    return found


def unwritten_sentences(changes: Sequence[Change], kinds: Kinds, units: Units) -> list[str]:
    """What is not written with a plan, because the file could not hold it as offered."""
    if not changes:
        return []
    return [
        tr("Not written, because a file cannot hold it as offered; enter it when it is done:"),
        *(change_sentence(change, kinds, units) for change in changes),
    ]


def search_sentences(search: PlanSearch, answer: Assessment) -> list[str]:
    """How much was tried, and why there is no plan, or none of plugs alone."""
    found = []
    if not search.cells:
        return [tr("Every verdict is safe already: there is nothing to plan.")]
    tried = tr(
        "Tried: {singles} changes, {pairs} pairs, {groups} groups of more for one section, {sets} "
        "whole sets. The first plan is the cheapest that was found. Costs are relative and "
        "judgement: renewing one plug usually counts 1."
    )
    found.append(
        tried.format(
            singles=search.singles, pairs=search.pairs, groups=search.groups, sets=search.sets
        )
    )
    if search.incurable:
        found.append(tr("No plan: nothing that was tried makes these safe."))
        found += _cells(search.incurable, answer)
    elif answer.failures:
        found.append(tr("No plan: calculations failed, see the list."))
    elif not search.plans:
        found.append(tr("No plan: no set that was assessed as a whole makes every verdict safe."))
    if search.without_place:
        found.append(
            tr("No plug, valve or compressor that was tried makes these safe. Only a promise "
               "about the place does: fires kept away, or a wall.")
        )  # fmt: skip
        found += _cells(search.without_place, answer)
    return found


def _cells(cells: Sequence[Cell], answer: Assessment) -> list[str]:
    """Verdicts by their section: "Vessel R1 and line L1: fire beside it"."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for cell in cells:
        key = tuple(sorted(cell.holders))
        groups.setdefault(key, []).append(labels.fire_class(cell.fire_class))
    return [
        tr("{section}: {classes}.").format(
            section=labels.sentence(labels.named_all(parts, answer.kinds)),
            classes=and_list(classes),
        )
        for parts, classes in groups.items()
    ]


def before_and_after(answer: Assessment, plan: PlanRecord) -> list[tuple[str, str, str, str]]:
    """Section, class, verdict before and after a plan, of what was not safe."""
    after = {
        (member, head): cell
        for row, members in _with_members(plan.after)
        for head, cell in zip(class_heads(), row, strict=True)
        for member in members
    }
    found = []
    for row, members in _with_members(answer):
        title = next(iter(members))
        shown = short_title(members, (), answer.kinds)
        for head, cell in zip(class_heads(), row, strict=True):
            if cell.safe is False:
                then = after.get((title, head))
                found.append((shown, head, cell.text, tr("not run") if then is None else then.text))
    return found


def _with_members(answer: Assessment) -> list[tuple[tuple[ShownCell, ...], tuple[str, ...]]]:
    """The cells of each row with the vessels and lines of its section, vessels first."""
    members = {(one.section, one.closed_valves): one.members for one in answer.verdicts}
    found = []
    for row in matrix_rows(answer):
        inside = [name for name in members[row.section, row.closed_valves] if name in answer.parts]
        inside.sort(
            key=lambda name: (
                answer.parts[name].kind != "vessel",
                -answer.parts[name].stored_energy_j.isentropic,
            )
        )
        if inside:
            found.append((row.cells, tuple(inside)))
    return found


def changes_in_short(changes: Sequence[Change], kinds: Kinds, units: Units) -> str:
    """Changes in sentences, or how many they are where those would be too many to read."""
    if len(changes) > FEW:
        return tr("{count} changes of a plan.").format(count=len(changes))
    return " ".join(change_sentence(one, kinds, units) for one in changes)


def tried_sentences(plan: PlanRecord, whole: bool) -> list[str]:
    """What is known of a cure that is tried: what its plan is proven for, or that it is a piece.

    Parameters
    ----------
    plan
        The plan that it is, or is one change of.
    whole
        Whether all of the plan is tried.
    """
    if whole:
        return plan_sentences(plan)
    return [
        tr("It is one of {count} changes of a plan: alone it was not assessed as a whole file.")
        .format(count=len(plan.changes)),
        tr("It is tried as if it were done and confirmed."),
    ]  # fmt: skip


def cheapest_cure_sentence(answer: Assessment, units: Units) -> str:
    """The cheapest proven plan in one sentence; empty: none was sought."""
    search: PlanSearch | None = answer.plans
    if search is None or not search.cells:
        return ""
    if not search.plans:
        return tr("No cure plan was found.")
    plan = search.plans[0]
    if len(plan.changes) > FEW:
        text = tr("Cheapest proven cure: {count} changes, see the cure plans.").format(
            count=len(plan.changes)
        )
    else:
        told = " ".join(change_sentence(one, answer.kinds, units) for one in plan.changes)
        text = tr("Cheapest proven cure: {changes}").format(changes=told)
    if plan.on_the_place:
        text += " " + tr("It helps only while a promise about the place is kept.")
    return text
