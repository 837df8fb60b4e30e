"""Names, numbers and sentences of the what-if study."""

from __future__ import annotations

import math

from airrisk import quantities
from airrisk.installation.inputs import is_yes_or_no
from airrisk.installation.spreads import DIFFERENCES
from airrisk.messages import Texts
from airrisk.study.sampling import Share, SobolIndices
from airrisk.study.what_if_records import (
    LEAST_SWING,
    BoreSpread,
    Distributed,
    PlugInspections,
    Point,
    Sampled,
    Subject,
    Sweep,
    Tornado,
    TornadoBar,
    VariedInput,
    WhatIf,
)
from airrisk.wording import labels
from airrisk.wording.margins import corner_pieces
from airrisk.wording.sentences import NOTABLE_DAMAGE
from airrisk.wording.translation import tr
from airrisk.wording.units import (
    NOT_COMPUTED,
    Units,
    and_list,
    least_bore_text,
    localised,
    number_text,
    percent_text,
    quantity_text,
    time_text,
)

LEAST_FELT = 0.05  # of the variance: less is not named
MOST_NAMED = 3
LEAST_SPREAD = 1e-3  # of the strength use, below it the samples are all alike

# every input of the register by its key
INPUT_WORDS: Texts[dict[str, str]] = {
    "wall_thickness": "wall thickness", "pressure": "pressure at the start",
    "temperature": "temperature", "volume": "volume",
    "strength_factor": "strength over that of the basis", "weld_factor": "weld factor",
    "creep_life": "life under creep over that of the lower bound",
    "condensate": "condensate",
    "exposed_share": "share in the fire",
    "bore": "bore", "body_mass": "mass of the body", "core_length": "length of the core",
    "boss_mass": "mass of the boss",
    "discharge_coefficient": "discharge coefficient", "fouling": "fouling",
    "contact_conductance": "heat contact", "exposed_area": "area in the flames",
    "emissivity": "emissivity", "outlet_length": "outlet length",
    "outlet_diameter": "outlet diameter", "melting": "melting temperature",
    "works": "works at all", "opening_share": "share of the bore that opens",
    "set_pressure": "set pressure", "area": "flow area",
    "burst_pressure": "burst pressure", "length": "length", "inside_diameter": "inside diameter",
    "loss": "loss of fittings", "delivery": "delivery", "cut_in_pressure": "cut-in pressure",
    "convection": "convection of the flames", "flux_factor": "heat flux over that of the curve",
    "temperature_shift": "flame temperature over that of the curve",
    "inner_convection_factor": "factor on inner convection",
    "flux": "heat flux",
    "duration": "duration", "ambient_pressure": "pressure of the atmosphere",
}  # fmt: skip
ATMOSPHERE = "site.ambient_pressure"  # the one pressure that is typed and told absolute
DISTRIBUTION_WORDS: Texts[dict[str, str]] = {
    "uniform": "evenly from {low} to {high}",
    "triangular": "triangle from {low} over {mode} to {high}",
    "normal": "normal about {mean}, standard deviation {deviation}",
    "lognormal": "lognormal about {median}, factor {spread_factor}",
    "chance": "yes with {probability}",
}
_METHODS: Texts[dict[str, str]] = {"latin hypercube": "latin hypercube", "sobol": "sobol"}
_STANDINGS: Texts[dict[str, str]] = {"P": "published", "M": "from memory", "J": "judgement"}


def input_kind(kind: str, key: str) -> str:
    """The kind that axes and numbers of an input are shown in; the atmosphere is absolute."""
    if key == ATMOSPHERE:
        return "absolute_pressure"
    return kind if kind in quantities.UNIT_SETS["metric"] or kind == "ratio" else "number"


def input_name(key: str) -> str:
    """An input in words: "R1.wall_thickness" gives "R1 wall thickness"."""
    part, _, name = key.partition(".")
    plain, _, other = name.partition(".")
    words = tr(INPUT_WORDS[plain])
    where = tr(" of {part}").format(part=other) if other else ""
    return f"{part} {words}{where}"


def input_text(value: float, kind: str, key: str, units: Units, digits: int = 4) -> str:
    """A value of an input with its unit."""
    return quantity_text(value, input_kind(kind, key), units, digits)


def range_text(bar: TornadoBar, units: Units) -> str:
    """The two ends of an input: "7.62 mm to 8.22 mm"."""
    if is_yes_or_no(bar.key):
        return tr("no to yes")
    return tr("{low} to {high}").format(
        low=input_text(bar.low, bar.kind, bar.key, units),
        high=input_text(bar.high, bar.kind, bar.key, units),
    )


def distribution_text(item: VariedInput, units: Units) -> str:
    """A spread in words: "evenly from 7.6 mm to 8.24 mm"."""
    numbers = {}
    for name, value in item.parameters.items():
        if name == "probability":
            numbers[name] = percent_text(value)
        elif name == "spread_factor":
            numbers[name] = number_text(value)
        elif name == "deviation":
            numbers[name] = input_text(
                value, DIFFERENCES.get(item.kind, item.kind), item.key, units
            )
        else:
            numbers[name] = input_text(value, item.kind, item.key, units)
    pattern = tr(DISTRIBUTION_WORDS[item.distribution])
    if item.distribution == "triangular" and item.parameters["mode"] == item.parameters["high"]:
        pattern = tr("triangle that rises from {low} to {high}")
    text = pattern.format(**numbers)
    if item.distribution == "normal" and {"low", "high"} & numbers.keys():
        ends = [numbers[name] for name in ("low", "high") if name in numbers]
        text += tr(", cut at {ends}").format(ends=and_list(ends))
    if item.interval is not None:
        low, high = (percent_text(end) for end in item.interval)
        text += tr(" (95 % interval of the count: {low} to {high})").format(low=low, high=high)
    return text


def source_text(item: VariedInput) -> str:
    """Where a spread comes from."""
    if item.origin == "typed":
        return tr("stated in the system file")
    standing = tr(_STANDINGS.get(item.standing, item.standing))
    shown = tr(item.source)
    return shown if shown.casefold().startswith(standing) else f"{standing}: {shown}"


def subject_sentence(subject: Subject, units: Units) -> str:
    """Which run is varied and what stays fixed."""
    doubted = labels.named("plug", subject.uncredited_plugs) if subject.uncredited_plugs else ""
    pieces = corner_pieces(subject.corner, subject.fire_class, doubted, units)
    text = tr(
        "One run is varied: {fire} on {section}, {run}; inner radiation {radiation}, strength basis"
        " {basis}, limit {limit}. What is called safe here is safe in that run; the verdict of the"
        " assessment answers for every run of the fire."
    ).format(
        fire=subject.fire,
        section=subject.section,
        run=", ".join(pieces) or tr("as stated"),
        radiation=subject.inner_radiation,
        basis=labels.basis(subject.strength_basis),
        limit=number_text(subject.strength_use_limit, 3),
    )
    if not subject.plugs:
        text += " " + tr("No fusible plug stands on this section.")
    if subject.uncredited_plugs:
        text += " " + tr("Without credit and taken as shut: {plugs}.").format(
            plugs=and_list(subject.uncredited_plugs)
        )
    return " ".join([text, *insulation_cautions(subject)])


def insulation_cautions(subject: Subject) -> list[str]:
    """That insulation is varied by nothing and covers what the heat flux would do; else empty."""
    if not subject.insulated:
        return []
    parts = labels.named_all(list(subject.insulated), subject.insulated)
    return [
        tr("The insulation of {parts} is taken as certain, as stated: no sample and no sweep varies"
           " it.").format(parts=parts),
        tr("The factor on the heat flux hardly reaches a covered wall; what it shows here is no"
           " measure of the doubt about the insulation."),
    ]  # fmt: skip


def point_sentence(point: Point) -> str:
    """What the run as stated gives."""
    if point.outcome == "not converged":
        return tr("With no input varied the calculation did not converge; nothing can be said.")
    text = tr("With no input varied: {shape} {outcome}, highest strength use {use}").format(
        shape=labels.answer_shape(point.outcome, point.safe),
        outcome=labels.answer(point.outcome, point.safe),
        use=number_text(point.peak_strength_use or 0.0, 3),
    )
    if point.creep_damage >= NOTABLE_DAMAGE:
        text += tr(", creep damage {damage}").format(
            damage=number_text(min(point.creep_damage, 1.0), 3)
        )
    if point.time_margin_s is not None:
        text += tr(", first vent {margin} before the rupture that it forestalls").format(
            margin=time_text(point.time_margin_s)
        )
    return text + "."


def tornado_sentence(tornado: Tornado) -> str:
    """Which input matters most and which can turn the answer."""
    if tornado.by_time:
        moving = [bar for bar in tornado.bars if bar.time_swing_s > 0.0][:3]
        return tr(
            "No single input within its spread changes the highest strength use; the time to"
            " rupture without any plug depends most on {what}."
        ).format(what=and_list([input_name(bar.key) for bar in moving]))
    bars = [bar for bar in tornado.bars if bar.swing >= LEAST_SWING]
    if not bars:
        return tr("No single input within its spread changes the highest strength use.")
    text = tr("The highest strength use depends most on {what}.").format(
        what=and_list([input_name(bar.key) for bar in bars[:3]])
    )
    flips = [input_name(bar.key) for bar in tornado.bars if bar.flips]
    if flips:
        text += " " + tr("Alone able to turn the verdict: {what}.").format(what=and_list(flips))
    else:
        text += " " + tr("None of them alone turns safe to unsafe or back.")
    return text


def sweep_sentence(sweep: Sweep, units: Units) -> str:
    """Where safe turns to unsafe along a sweep."""
    name = input_name(sweep.swept.key)
    failed = sweep.outcomes.count("not converged")
    text = ""
    if sweep.crossings:
        places = [
            input_text(value, sweep.swept.kind, sweep.swept.key, units) for value in sweep.crossings
        ]
        pattern = (
            tr("{name}: safe below, unsafe above {places}.")
            if len(places) == 1 and sweep.safe[0]
            else tr("{name}: unsafe below, safe above {places}.")
            if len(places) == 1
            else tr("{name}: the answer turns at {places}.")
        )
        text = pattern.format(name=name, places=and_list(places))
    elif all(sweep.safe):
        text = tr("{name}: safe over the whole range.").format(name=name)
    else:
        text = tr("{name}: unsafe over the whole range.").format(name=name)
    if failed:
        text += " " + tr("{count} of {total} runs did not converge and count as unsafe.").format(
            count=failed, total=len(sweep.outcomes)
        )
    return text


def share_text(found: Share) -> str:
    """A share with its 95 % interval: "97.2 % (96.9 % to 97.5 %)"."""
    if found.total == 0:
        return tr(NOT_COMPUTED)
    return tr("{value} ({low} to {high})").format(
        value=percent_text(found.value),
        low=percent_text(found.low),
        high=percent_text(found.high),
    )


def index_text(value: float) -> str:
    """A Sobol index; an estimate may lie a little below nothing."""
    return localised(f"{value + 0.0:.3f}".replace("-0.000", "0.000"))


def index_interval(value: float, low: float, high: float) -> str:
    """A Sobol index with the ends of its interval."""
    return f"{index_text(value)} ({index_text(low)} – {index_text(high)})"


def index_rows(found: SobolIndices) -> dict[str, tuple[str, str, str]]:
    """Name, first-order and total index of each input by its key, the largest total first.

    Inputs that hardly matter have one row together, without a key, behind the others.
    """
    order = sorted(range(len(found.keys)), key=lambda n: (-found.total[n], found.keys[n]))
    rows = {
        found.keys[n]: (
            input_name(found.keys[n]),
            index_interval(found.first_order[n], found.first_low[n], found.first_high[n]),
            index_interval(found.total[n], found.total_low[n], found.total_high[n]),
        )
        for n in order
    }
    rest = together_texts(found)
    return rows if rest is None else {**rows, "": (rest[0], "–", rest[1])}


def together_texts(found: SobolIndices) -> tuple[str, str] | None:
    """The inputs that hardly matter and their total index together; None: there are none."""
    rest = found.together
    if rest is None:
        return None
    name = tr("{count} others together").format(count=len(rest.keys))
    return name, index_interval(rest.total, rest.total_low, rest.total_high)


def bore_text(value: float | None, units: Units) -> str:
    """A smallest adequate bore."""
    if value is None:
        return tr("none is enough")
    return least_bore_text(value, units)


def varies(sampled: Sampled) -> bool:
    """Whether the highest strength use differs between the samples; else it has no shares."""
    use = sampled.peak_strength_use
    if use is None or use.deviation <= LEAST_SPREAD:
        return False
    return use.quantiles["0.01"] < 1.0 - LEAST_SPREAD  # from 1 on the metal has ruptured


def no_shares_sentence() -> str:
    """Why there are no Sobol indices where the samples are all alike."""
    return tr(
        "The highest strength use is the same in all samples: no input changes it, so that no"
        " shares can be worked out."
    )


def _use_sentence(use: Distributed) -> str:
    middle, high = use.quantiles["0.5"], use.quantiles["0.95"]
    if high < 1.0 - LEAST_SPREAD:
        pattern = tr("Highest strength use: median {middle}, 95 % of the samples below {high}.")
    elif use.quantiles["0.01"] >= 1.0 - LEAST_SPREAD:
        pattern = tr("Highest strength use: at 1, where the metal ruptures, in all samples or"
                     " nearly all.")  # fmt: skip
    else:
        pattern = tr("Highest strength use: median {middle}; in more than 5 % of the samples it is"
                     " at 1, where the metal ruptures.")  # fmt: skip
    return pattern.format(middle=number_text(middle, 3), high=number_text(high, 3))


def in_one_look(sampled: Sampled) -> list[str]:
    """The share that counts, what it hangs on, and what would settle it."""
    share = sampled.plug_acts_first
    if share.total == 0:
        return []
    told = [
        tr("The plug acts first in {value} of the samples ({low} to {high}).").format(
            value=percent_text(share.value, 2),
            low=percent_text(share.low, 2),
            high=percent_text(share.high, 2),
        )
    ]
    working = sampled.acts_first_if_all_work
    if working is not None and working.total:
        told.append(
            tr("Where every credited plug works: {share}.").format(share=share_text(working))
        )
    found = sampled.indices_if_all_work or sampled.indices
    if found is None or not varies(sampled):
        return told
    order = sorted(range(len(found.keys)), key=lambda n: (-found.total[n], found.keys[n]))
    felt = [n for n in order if found.total[n] >= LEAST_FELT][:MOST_NAMED]
    if felt:
        pattern = (
            tr("The highest strength use hangs most on {inputs} (shares of its variance).")
            if sampled.indices_if_all_work is None
            else tr(
                "With every credited plug working, the highest strength use hangs most on {inputs} "
                "(shares of its variance)."
            )
        )
        named = [f"{input_name(found.keys[n])} {percent_text(found.total[n], 2)}" for n in felt]
        told.append(pattern.format(inputs=and_list(named)))
    return [*told, *_what_would_settle(found)]


def _what_would_settle(found: SobolIndices) -> list[str]:
    """By how much the doubt falls once the input that matters most alone is known."""
    most = max(range(len(found.keys)), key=lambda n: (found.first_order[n], found.keys[n]))
    if found.first_low[most] <= 0.0:
        return []
    left = [
        math.sqrt(max(1.0 - min(share, 1.0), 0.0))
        for share in (found.first_order[most], found.first_high[most], found.first_low[most])
    ]
    return [
        tr(
            "Were {input} known, the doubt about the strength use (its standard deviation) would "
            "fall to {left} of what it is ({low} to {high})."
        ).format(
            input=input_name(found.keys[most]),
            left=percent_text(left[0], 2),
            low=percent_text(left[1], 2),
            high=percent_text(left[2], 2),
        )
    ]


def sampled_sentences(sampled: Sampled) -> list[str]:
    """What the samples say, one fact a sentence."""
    found = [
        tr(
            "The plug acts first in {share} of {count} samples: it opens, and the metal stays"
            " within its limit (in brackets: 95 % confidence)."
        ).format(share=share_text(sampled.plug_acts_first), count=sampled.samples),
        *_if_all_work(sampled),
        *_at_ends(sampled),
        tr("Safe in any way, with or without a plug: {share}.").format(
            share=share_text(sampled.safe)
        ),
    ]
    if sampled.not_converged:
        found.append(
            tr("{count} samples did not converge; they count as unsafe.").format(
                count=sampled.not_converged
            )
        )
    use = sampled.peak_strength_use
    if use is not None:
        found.append(_use_sentence(use))
    if sampled.by_creep:
        found.append(
            tr(
                "In {count} samples the strength use stays within its limit, but the metal creeps"
                " for too long; they are unsafe."
            ).format(count=sampled.by_creep)
        )
    margin = sampled.time_margin_s
    if margin is not None:
        found.append(
            tr(
                "Time between the first vent and the rupture that it forestalls: median {middle},"
                " 5 % of the samples below {low} (of {count} samples in which both happen)."
            ).format(
                middle=time_text(margin.quantiles["0.5"]),
                low=time_text(margin.quantiles["0.05"]),
                count=margin.count,
            )
        )
    found.append(
        tr(
            "Of {count} samples, nothing that the air of the deciding vessel can reach opened in"
            " {vent}; run without any plug, the metal outlasted the fire in {rupture}."
        ).format(count=sampled.time_samples, vent=sampled.no_vent, rupture=sampled.no_rupture)
    )
    return [*found, *inspection_sentences(sampled)]


def _if_all_work(sampled: Sampled) -> list[str]:
    given = sampled.acts_first_if_all_work
    if given is None:
        return []
    return [
        tr("Where every credited plug works, it acts first in {share} of {count} samples.").format(
            share=share_text(given), count=given.total
        )
    ]


def _at_ends(sampled: Sampled) -> list[str]:
    """The same share, were the chance that a plug works at the ends of its interval."""
    ends = sampled.at_ends
    if ends is None:
        return []
    chances, shares = (
        [percent_text(one) for one in pair] for pair in (ends.chances, ends.acts_first)
    )
    return [
        tr(
            "That a plug works at all was counted on few: with {low} or {high} working, it acts"
            " first in {least} or {most}."
        ).format(low=chances[0], high=chances[1], least=shares[0], most=shares[1])
    ]


def _inspection_sentence(one: PlugInspections) -> str:
    """What the register says about a plug, and that it does not change its chance."""
    if one.inspections == 0:
        return tr("{plug}: no inspection since its fitting is recorded.").format(
            plug=labels.sentence(labels.named("plug", [one.plug]))
        )
    pattern = (
        tr("{plug}: {count} inspection(s) since its fitting, {faults} of them with a fault. The"
           " last, on {last}, found it {condition}.")
        if one.last_condition
        else tr("{plug}: {count} inspection(s) since its fitting, {faults} of them with a fault."
                " The last, on {last}, states no condition.")
    )  # fmt: skip
    return pattern.format(
        plug=labels.sentence(labels.named("plug", [one.plug])),
        count=one.inspections,
        faults=one.faults,
        last=one.last,
        condition=one.last_condition,
    )


def inspection_sentences(sampled: Sampled) -> list[str]:
    """The plugs' own inspections beside the chance of the register."""
    if not sampled.inspections:
        return []
    return [
        *(_inspection_sentence(one) for one in sampled.inspections),
        tr("A look from outside does not show whether a core melts free: the chance stays that"
           " of the old register."),
    ]  # fmt: skip


def bore_sentence(one: BoreSpread, units: Units) -> str:
    """What bore one plug needs over the samples, and how often the fitted one is enough."""
    text = tr("{plug}, taken as working, in {count} samples:").format(
        plug=one.plug, count=one.samples
    )
    if one.bores is not None:
        text += " " + tr("smallest adequate bore median {middle}, 95 % up to {high};").format(
            middle=bore_text(one.bores.quantiles["0.5"], units),
            high=bore_text(one.bores.quantiles["0.95"], units),
        )
    text += " " + tr("no bore is enough in {none}; the fitted {bore} is enough in {share}.").format(
        none=one.none_enough,
        bore=quantity_text(one.fitted_m, "length", units, 3),
        share=share_text(one.enough),
    )
    if one.not_converged:
        text += " " + tr("{count} searches did not converge.").format(count=one.not_converged)
    return text


def method_sentences(answer: WhatIf) -> list[str]:
    """How the study was made and what it leaves out."""
    found = [
        tr(
            "Inputs are taken as independent of each other. Spreads stand in the system file or are"
            " the defaults listed with their source; most defaults are judgement."
        )
    ]
    if answer.unused_spreads:
        found.append(
            tr(
                "Spreads of the file that this run does not feel, as it has no such part or does"
                " not answer to the value: {keys}."
            ).format(keys=and_list(answer.unused_spreads))
        )
    sampled = answer.sampled
    if sampled is not None:
        found.append(
            tr(
                "Samples: {method}, seed {seed}. Interval of shares: Wilson, 95 %. It covers the"
                " number of samples only, not doubt about the spreads themselves."
            ).format(method=tr(_METHODS.get(sampled.method, sampled.method)), seed=sampled.seed)
        )
        if sampled.clipped:
            found.append(
                tr("{count} drawn values lay outside what their field allows and were moved to the"
                   " bound.").format(count=sampled.clipped)
            )  # fmt: skip
        if sampled.indices is not None and varies(sampled):
            text = tr(
                "Sobol indices of the highest strength use, which ends at 1 where the metal"
                " ruptures; base sample {count}, estimators of Saltelli et al. 2010 and Jansen"
                " 1999, intervals by bootstrap."
            ).format(count=sampled.indices.samples)
            if sampled.indices.together is not None:
                text += " " + tr(
                    "Inputs that, varied alone, hardly move the strength use were varied together:"
                    " none of them has a total index above theirs together."
                )
            if sampled.indices_not_converged:
                text += " " + tr("{count} runs that did not converge entered with 1.").format(
                    count=sampled.indices_not_converged
                )
            found.append(text)
    return found
