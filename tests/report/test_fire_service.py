"""The page for the fire service: no time on it may be better than the worst fire gives."""

import dataclasses

from airrisk.report import blocks
from airrisk.report.content import build_report
from airrisk.report.fire_sections import fires_table
from airrisk.report.summary_sections import fire_service_section, summary_section
from airrisk.study.records import BoreSearch, Cure, EventRecord, Finding
from airrisk.wording.sentences import fire_sentence
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units()


def row(answer, installation):
    section = fire_service_section(answer, installation, UNITS)
    table = next(b for b in section.blocks if isinstance(b, blocks.Table))
    return dict(zip(table.columns, table.rows[0], strict=True))


def answered(*fires):
    return dataclasses.replace(hand_made.assessment(), fires=fires)


def test_the_vent_is_that_of_the_fire_that_waits_longest():
    early = hand_made.fire("F1")
    never = hand_made.fire("F2", first_vent_by_part_s={}, outcome="ruptures", safe=False)
    installation = hand_made.installation()
    assert row(answered(early), installation)["First vent after"].startswith("372")
    assert row(answered(early, never), installation)["First vent after"] == "none opens in F2"
    assert row(answered(never), installation)["First vent after"] == "none opens"
    failed = hand_made.fire("F3", outcome="not converged", safe=False)
    assert row(answered(early, failed), installation)["First vent after"] == "not known"


def test_a_plug_that_lets_no_air_out_of_the_vessel_is_no_vent():
    other = hand_made.fire(
        events=(EventRecord(136.0, "plug opens", "FP9"), EventRecord(880.0, "rupture", "R1")),
        first_vent_s=136.0,
        first_vent_by_part_s={"L1": 136.0},
        outcome="vents too late",
        safe=False,
    )
    assert row(answered(other), hand_made.installation())["First vent after"] == "none opens"
    text = fire_sentence(other).replace("\u00a0", " ")
    assert text.startswith("In F1 FP9 opens at 2.27 min, but lets no air out of R1; R1 ruptures")


def test_without_a_credited_plug_no_valve_may_be_shut():
    doubted = hand_made.fire(uncredited_plugs=("FP1",))
    assert row(answered(doubted), hand_made.installation())["May be shut"] == "none for this vessel"
    assert row(answered(hand_made.fire()), hand_made.installation())["May be shut"] == "V1"


def test_distances_to_keep_are_rounded_up():
    far = row(hand_made.assessment(), hand_made.installation())["Keep away"]
    whole = float(far.replace("\u00a0", " ").split(" ")[0])
    pieces = [
        way.range_90_m
        for case in hand_made.consequences()["R1"].values()
        for way in case.fragments.ways
    ]
    assert whole >= min(pieces)


def test_the_summary_says_which_fires_it_knows():
    section = summary_section(hand_made.assessment(), UNITS)
    table = next(b for b in section.blocks if isinstance(b, blocks.Table))
    assert "those in the file; no other was computed" in table.caption
    none = summary_section(answered(), UNITS)
    table = next(b for b in none.blocks if isinstance(b, blocks.Table))
    assert "no given fire reaches it" in table.rows[0]


def test_a_section_that_burns_with_its_valves_open_only_says_so():
    fire = hand_made.fire(section="C1+L1+R1", exposed=("L1", "R1"))
    section = summary_section(answered(fire), UNITS)
    table = next(b for b in section.blocks if isinstance(b, blocks.Table))
    assert "reached by F1 only, with these valves open" in table.rows[0]


def test_a_fire_of_the_file_with_valves_open_is_told_too():
    shut = hand_made.fire()
    other = hand_made.fire("F2", section="C1+L1+R1", members=("C1", "L1", "R1"))
    answer = answered(shut, other)
    told = [b for b in summary_section(answer, UNITS).blocks if isinstance(b, blocks.Bullets)][-1]
    assert [text.split(" ")[1] for text in told.items] == ["F1", "F2"]
    report = build_report(answer, hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    headings = [b.text for b in fires.blocks if isinstance(b, blocks.Heading)]
    assert headings == ["F1, L1+R1", "F2, C1+L1+R1"]


def test_a_plug_that_a_fire_does_not_need_is_said_to_be_so():
    def said(melting: float) -> str:
        search = BoreSearch(0.001, 0.0032, None, melting, None, None)
        fire = hand_made.fire(bores={"FP1": search}, smallest_bore_m={"FP1": 0.001})
        report = build_report(answered(fire), hand_made.installation())
        fires = next(chapter for chapter in report.sections if chapter.key == "fires")
        rows = [row for b in fires.blocks if isinstance(b, blocks.Table) for row in b.rows]
        return next(row[1] for row in rows if row[0] == "FP1 in this fire").replace("\u00a0", " ")

    assert said(1200.0) == "this fire passes even if it does not melt"
    assert said(573.15) == "passes with an alloy that melts at up to 300 °C"


def test_steam_is_said_beside_the_times_and_verdicts_that_count_it():
    dry = hand_made.assessment()
    wet = dataclasses.replace(
        dry, fires=tuple(dataclasses.replace(one, wet_parts=("R1",)) for one in dry.fires)
    )
    for answer, times in ((dry, 0), (wet, 3)):
        report = build_report(answer, hand_made.installation())
        notes = [
            block.text
            for chapter in report.sections
            for block in chapter.blocks
            if isinstance(block, blocks.Paragraph)
            and "holds condensate. Its steam counts" in block.text
        ]
        assert len(notes) == times


def test_a_relief_valve_in_the_fire_is_said_to_stay_shut_when_its_wall_is_too_hot():
    report = build_report(hand_made.assessment(), hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    rows = [row for b in fires.blocks if isinstance(b, blocks.Table) for row in b.rows]
    said = next(row[1] for row in rows if row[0] == "Relief valve").replace("\u00a0", " ")
    # analytic, of the invented curve: 293 + 800 (1 - exp(-t/500)) = 673.15 at 322 s
    assert said.startswith("RV1 is taken to stay shut from 5.")
    assert said.endswith("R1 is too hot for it")


def test_the_report_holds_together():
    assert build_report(hand_made.assessment(), hand_made.installation()).sections


def test_a_part_that_gets_a_proven_plug_is_not_told_once_more_to_get_one():
    cure = Cure("fit", "FP3", (), 0.0011, 411.0, 0.622, (("on", '"R1"'), ("alloy", '"tin"')))
    burnt = hand_made.fire(outcome="ruptures", safe=False, peak_strength_use=1.0, cures=(cure,))
    values = {"variant": "nothing_at_all", "parts": ["R1"], "volume_m3": 2.0, "stored_pa_m3": 2e6}
    bare = Finding("unprotected-section", "danger", "R1", "", values)
    other = Finding("unprotected-section", "danger", "R2", "", {**values, "parts": ["R2"]})
    answer = dataclasses.replace(answered(burnt), findings=(bare, other))
    section = summary_section(answer, UNITS)
    told = next(b for b in section.blocks if isinstance(b, blocks.Bullets)).items
    assert [line for line in told if line.startswith("R1")] == [told[0]]
    assert "bore at least" in told[0]
    assert any(line.startswith("R2: Fit a plug") for line in told)


def test_tables_of_fires_and_sections_say_not_safe_beside_a_word_that_sounds_safe():
    record = hand_made.fire(outcome="outlasts the fire", safe=False, reason="limit passed")
    whole = dataclasses.replace(hand_made.assessment(), fires=(record,))
    units = Units("metric", hand_made.AMBIENT)
    (row,) = fires_table(whole.fires, units).rows
    assert "△ outlasts the fire, not safe: limit passed" in row
    table = next(b for b in summary_section(whole, units).blocks if isinstance(b, blocks.Table))
    assert "△ outlasts the fire, not safe: limit passed" in table.rows[0]


def test_the_worst_finding_is_the_failing_fire_on_the_part_that_bursts_with_most():
    # D1 holds more now, R1 would burst hotter and with more
    small = dataclasses.replace(
        hand_made.part("D1"),
        stored_energy_j=hand_made._energies(1.1),
        rupture_energy_j=hand_made._energies(2.0),
    )
    shared = {
        "variant": "a", "fire": "a", "section": "S", "outcome": "ruptures",
        "reason": "ruptured before a device opened", "parts": (), "peak_strength_use": 1.0,
        "strength_use_limit": 0.667, "peak_pressure_pa": 4e6,
    }  # fmt: skip
    findings = tuple(Finding("fire-outcome", "danger", n, "", shared) for n in ("D1", "R1"))
    answer = dataclasses.replace(
        hand_made.assessment(), parts={"D1": small, "R1": hand_made.part()}, findings=findings
    )
    told = [b.text for b in summary_section(answer, UNITS).blocks if hasattr(b, "text")]
    assert told[told.index("Worst finding") + 1].startswith("◆ danger, R1")


def test_a_plug_whose_place_a_run_has_proven_is_not_asked_for_once_more():
    cure = Cure("place", "FP1", (("FP1", "place", "top"),), 0.006, 411.15, 0.5)
    fire = hand_made.fire(outcome="ruptures", safe=False, cures=(cure,))
    values = {"variant": "never", "on": "R1", "fire": "F1", "outcome": "ruptures",
              "plug_temperature_k": 335.0}  # fmt: skip
    finding = Finding("plug-out-of-reach-of-fire", "danger", "FP1", "", values)
    answer = dataclasses.replace(hand_made.assessment(), fires=(fire,), findings=(finding,))
    blocks_ = summary_section(answer, UNITS).blocks
    (done,) = [b for b in blocks_ if isinstance(b, blocks.Bullets) and b.numbered]
    assert len(done.items) == 1
