"""The page for the fire service: no time on it may be better than the worst fire gives."""

import dataclasses

from airrisk.report import blocks
from airrisk.report.content import build_report
from airrisk.report.fire_sections import fires_table
from airrisk.report.summary_sections import fire_service_section, summary_section
from airrisk.study.records import BoreSearch, Cure, EventRecord, Finding
from airrisk.verdict.rule import Reason
from airrisk.wording.sentences import margin_text
from airrisk.wording.units import Units
from tests.report import hand_made

UNITS = Units()
NARROW = "\u00a0"


def row(answer, installation):
    section = fire_service_section(answer, installation, UNITS)
    table = next(b for b in section.blocks if isinstance(b, blocks.Table))
    return dict(zip(table.columns, table.rows[0], strict=True))


answered = hand_made.answered
OPENS = "A plug or disc opens after"


def test_the_vent_is_that_of_the_fire_and_run_that_wait_longest():
    early = hand_made.fire("F1")
    installation = hand_made.installation()
    # 372 s in the run as stated, 655 s in the worst one
    assert row(answered(early), installation)[OPENS] == "11\u00a0min, fire F1"
    never = hand_made.fire("F2", first_vent_by_part_s={})
    assert row(answered(early, never), installation)[OPENS] == "not in every fire"
    shut = hand_made.envelope(first_vent_by_part_s={})
    bare = hand_made.fire("F2", first_vent_by_part_s={}, envelope=shut)
    assert row(answered(bare), installation)[OPENS] == "none opens"
    failed = hand_made.fire("F3", outcome="not converged", safe=False, envelope=None)
    assert row(answered(early, failed), installation)[OPENS] == "not known"


def test_a_vent_of_a_fire_that_is_not_safe_is_no_time_to_go_by():
    late = hand_made.unsafe()
    assert row(answered(late), hand_made.installation())[OPENS] == "not in time"
    assert row(answered(hand_made.fire(), late), hand_made.installation())[OPENS] == "not in time"


def test_the_time_to_rupture_is_that_in_which_nothing_opens_at_all():
    slow, fast = hand_made.fire("F1"), hand_made.fire("F2", rupture_nothing_opens_s=499.8)
    cells = row(answered(slow, fast), hand_made.installation())
    # two fires: each time says whose it is
    assert cells["Rupture after, if nothing opens"] == "8.3\u00a0min, fire F2"
    assert cells[OPENS] == "11\u00a0min, fire F1"
    whole = hand_made.assumed("whole", rupture_nothing_opens_s=300.0)
    cells = row(answered(slow, whole), hand_made.installation())
    assert cells["Rupture after, if nothing opens"] == "5\u00a0min, all in flames"
    assert cells["Rupture after, flames away from its plugs"] == "4.5\u00a0min"


def test_a_plug_that_lets_no_air_out_of_the_vessel_is_no_vent():
    other = hand_made.unsafe(
        events=(EventRecord(136.0, "plug opens", "FP9"), EventRecord(880.0, "rupture", "R1")),
        first_vent_s=136.0,
        first_vent_by_part_s={"L1": 136.0},
        envelope=hand_made.ruptured(first_vent_by_part_s={}),
    )
    assert row(answered(other), hand_made.installation())[OPENS] == "none opens"


def test_no_valve_is_said_to_be_one_that_may_be_shut():
    page = fire_service_section(hand_made.assessment(), hand_made.installation(), UNITS)
    table = next(b for b in page.blocks if isinstance(b, blocks.Table))
    assert not any("may be shut" in head.casefold() for head in table.columns)
    bullets = next(b for b in page.blocks if isinstance(b, blocks.Bullets)).items
    assert any("Do not go near to open or shut any valve" in text for text in bullets)
    assert any("may burst all the same" in text for text in bullets)


def test_distances_to_keep_are_rounded_up():
    far = row(hand_made.assessment(), hand_made.installation())["Keep away"]
    whole = float(far.replace("\u00a0", " ").split(" ")[0])
    pieces = [
        way.range_90_m
        for case in hand_made.consequences()["R1"].values()
        for way in case.fragments.ways
    ]
    assert whole >= min(pieces)


def matrix_of(answer):
    section = summary_section(answer, UNITS)
    return next(b for b in section.blocks if isinstance(b, blocks.Table))


def test_the_summary_begins_with_the_matrix():
    beside = hand_made.unsafe("Beside R1", fire_class="beside", exposed=("R1",))
    table = matrix_of(answered(hand_made.assumed("whole"), beside, hand_made.assumed("spot")))
    assert table.columns == (
        "Isolable section", "Stated fire", "All in flames", "Fire beside it", "Small spot",
        "Flame away from the plugs",
    )  # fmt: skip
    assert [cell.replace("\u00a0", " ") for cell in table.rows[0][1:]] == [
        "– no fire stated", "● vents in time, 53 %, sure", "✖ ruptures, after 4.3 min",
        "● vents in time, 53 %, sure", "after 4.53 min",
    ]  # fmt: skip
    section = summary_section(hand_made.assessment(), UNITS)
    told = " ".join(getattr(block, "text", "") for block in section.blocks)
    assert "26 runs were made" in told
    assert "practically no vessel survives them" in told
    hangs = next(b for b in section.blocks if isinstance(b, blocks.Bullets)).items
    assert hangs[0].startswith(
        "Vessel R1 and line L1, with valve V1 shut: In fire F1, it is safe, but not sure: passes"
    )


def test_a_stated_fire_in_another_position_of_the_valves_has_its_own_row():
    other = hand_made.unsafe("F2", section="C1+L1+R1", members=("C1", "L1", "R1"), closed_valves=())
    table = matrix_of(answered(hand_made.assumed("whole"), other))
    # it is not safe, so that it stands above the one that is
    assert table.rows[0][0] == "Vessel R1, line L1 and compressor C1, with no valve shut"
    assert table.rows[0][1].startswith("✖ ruptures")
    assert table.rows[0][2:5] == ("– not run",) * 3


def test_a_fire_of_the_file_with_valves_open_is_told_too():
    shut = hand_made.fire()
    other = hand_made.fire("F2", section="C1+L1+R1", members=("C1", "L1", "R1"), closed_valves=())
    answer = answered(shut, other)
    told = [b for b in summary_section(answer, UNITS).blocks if isinstance(b, blocks.Bullets)][-1]
    assert [text.split(": ")[1].split(",")[0] for text in told.items] == [
        "In fire F1",
        "In fire F2",
    ]
    report = build_report(answer, hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    headings = [b.text for b in fires.blocks if isinstance(b, blocks.Heading)]
    assert headings[-2:] == [
        "Fire F1: vessel R1 and line L1, with valve V1 shut",
        "Fire F2: vessel R1, line L1 and compressor C1, with no valve shut"
    ]  # fmt: skip


def test_a_plug_that_a_fire_does_not_need_is_said_to_be_so():
    def said(melting: float) -> str:
        search = BoreSearch(0.001, 0.0032, None, melting, None, None)
        fire = hand_made.fire(bores={"FP1": search}, smallest_bore_m={"FP1": 0.001})
        report = build_report(answered(fire), hand_made.installation())
        fires = next(chapter for chapter in report.sections if chapter.key == "fires")
        rows = [row for b in fires.blocks if isinstance(b, blocks.Table) for row in b.rows]
        return next(row[1] for row in rows if row[0] == "Plug FP1 in the worst run").replace(
            "\u00a0", " "
        )

    assert said(1200.0) == "passes even if it does not melt"
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
            and "Condensate boils in vessel R1." in block.text
        ]
        assert len(notes) == times


def test_a_relief_valve_in_the_fire_is_said_to_stay_shut_when_its_wall_is_too_hot():
    report = build_report(hand_made.assessment(), hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    rows = [row for b in fires.blocks if isinstance(b, blocks.Table) for row in b.rows]
    said = next(row[1] for row in rows if row[0] == "Relief valve").replace("\u00a0", " ")
    # analytic, of the invented curve: 293 + 800 (1 - exp(-t/500)) = 673.15 at 322 s
    assert said.startswith("From 5.")
    assert said.endswith("relief valve RV1 is taken to stay shut: vessel R1 is too hot for it.")


def test_the_report_holds_together():
    assert build_report(hand_made.assessment(), hand_made.installation()).sections


def test_a_part_that_gets_a_proven_plug_is_not_told_once_more_to_get_one():
    cure = Cure("fit", "FP3", (), 0.0011, 411.0, 0.622, (("on", '"R1"'), ("alloy", '"tin"')))
    burnt = hand_made.unsafe(cures=(cure,))
    values = {"variant": "nothing_at_all", "parts": ["R1"], "volume_m3": 2.0, "stored_pa_m3": 2e6}
    bare = Finding("unprotected-section", "danger", "R1", "", values)
    other = Finding("unprotected-section", "danger", "R2", "", {**values, "parts": ["R2"]})
    answer = dataclasses.replace(answered(burnt), findings=(bare, other))
    section = summary_section(answer, UNITS)
    told = next(b for b in section.blocks if isinstance(b, blocks.Bullets)).items
    assert [line for line in told if "vessel R1" in line] == [told[0]]
    assert any(line.startswith("Fit a plug on") and "R2" in line for line in told)


def test_the_table_of_fires_goes_by_the_worst_run_and_names_the_one_as_stated():
    table = fires_table((hand_made.unsafe(),), Units("metric", hand_made.AMBIENT))
    cells = dict(zip(table.columns, table.rows[0], strict=True))
    assert cells["Worst of all runs"] == "✖ ruptures"
    assert cells["Ruptures after"] == "4.3\u00a0min"
    assert cells["Worst run"].startswith("starting from 11")
    assert cells["As stated"] == "vents in time"
    assert cells["Sure?"] == "–"
    (cells,) = fires_table((hand_made.fire(),), UNITS).rows
    assert cells[table.columns.index("Sure?")] == "no"


def test_the_fires_stand_under_their_sections_and_two_runs_are_told_apart():
    other = hand_made.fire("F2", section="C1+L1+R1", members=("C1", "L1", "R1"), closed_valves=())
    report = build_report(answered(hand_made.fire(), other), hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    headings = [b.text for b in fires.blocks if isinstance(b, blocks.Heading)]
    assert headings[:2] == [
        "Vessel R1 and line L1, with valve V1 shut",
        "Vessel R1, line L1 and compressor C1, with no valve shut",
    ]
    told = " ".join(b.text for b in fires.blocks if isinstance(b, blocks.Paragraph))
    assert "are of other runs than the verdict" in told


def test_a_margin_in_seconds_between_two_runs_says_so():
    report = build_report(hand_made.assessment(), hand_made.installation())
    fires = next(chapter for chapter in report.sections if chapter.key == "fires")
    rows = [row for b in fires.blocks if isinstance(b, blocks.Table) for row in b.rows]
    said = next(row[1] for row in rows if row[0] == "First vent, as stated")
    assert said.replace("\u00a0", " ") == (
        "3.6 min before the rupture of another run, in which nothing opens"
    )


def test_the_worst_finding_is_the_failing_fire_on_the_part_that_bursts_with_most():
    # D1 holds more now, R1 would burst hotter and with more
    small = dataclasses.replace(
        hand_made.part("D1"),
        stored_energy_j=hand_made._energies(1.1),
        rupture_energy_j=hand_made._energies(2.0),
    )
    shared = {
        "variant": "a", "fire": "a", "section": "S", "outcome": "ruptures",
        "load_share": 1.5,
    }  # fmt: skip
    findings = tuple(
        Finding("fire-outcome", "danger", n, "", shared, "S", "whole") for n in ("D1", "R1")
    )
    answer = dataclasses.replace(
        hand_made.assessment(), parts={"D1": small, "R1": hand_made.part()}, findings=findings
    )
    told = [b.text for b in summary_section(answer, UNITS).blocks if hasattr(b, "text")]
    assert told[told.index("Worst finding") + 1].startswith("◆ danger: R1 ")


def test_a_plug_whose_place_a_run_has_proven_is_not_asked_for_once_more():
    cure = Cure("place", "FP1", (("FP1", "place", "top"),), 0.006, 411.15, 0.5)
    fire = hand_made.unsafe(cures=(cure,))
    values = {"variant": "never", "on": "R1", "fire": "F1", "outcome": "ruptures",
              "fails": "R1", "plug_temperature_k": 335.0}  # fmt: skip
    finding = Finding("plug-out-of-reach-of-fire", "danger", "FP1", "", values)
    answer = dataclasses.replace(hand_made.assessment(), fires=(fire,), findings=(finding,))
    blocks_ = summary_section(answer, UNITS).blocks
    (done,) = [b for b in blocks_ if isinstance(b, blocks.Bullets) and b.numbered]
    assert len(done.items) == 1


def test_where_creep_decides_the_table_and_the_facts_tell_its_damage():
    """Property: no load within its limit stands beside a run that is unsafe by creep."""
    crept = hand_made.envelope(
        outcome="passes the limit", reason=Reason("limit passed", "R1", creep=True),
        peak_strength_use=0.3, creep_damage=0.62,
    )  # fmt: skip
    fire = hand_made.unsafe(envelope=crept)
    (cells,) = fires_table((fire,), UNITS).rows
    assert "creep 124 %" in [cell.replace(NARROW, " ") for cell in cells]
    assert margin_text(fire).replace(NARROW, " ").startswith("124 % of the allowed creep damage")


def test_what_is_not_safe_and_yet_no_grave_finding_is_named():
    values = {"variant": "a", "fire": "a", "outcome": "ruptures", "load_share": 1.5}
    small = Finding("fire-outcome", "note", "L1", "", values, "S", "whole")
    accepted = Finding("fire-outcome", "warning", "R1", "", values, "S", "beside", accepted="A1")
    answer = dataclasses.replace(hand_made.assessment(), findings=(small, accepted))
    told = [b.text for b in summary_section(answer, UNITS).blocks if hasattr(b, "text")]
    assert (
        "No finding above a note. Accepted, with the reason in the chapter on findings: 1. "
        "Not safe, but only a note, because little is let loose: line L1." in told
    )
