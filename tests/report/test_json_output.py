"""The JSON document: the documented keys, SI numbers, null for what is absent."""

import datetime as dt
import json
import math
from dataclasses import replace

from airrisk.installation.model import Accepted, Action, AssumedFire
from airrisk.report.json_output import to_json_dict, to_json_text
from tests.report import hand_made

TOP = {
    "format", "program", "title", "inputs_sha256", "on", "choices", "vessels", "lines",
    "sections", "protection", "fires", "consequences", "compressors", "findings", "verdicts",
    "flame_away", "jet_spot", "runs",
}  # fmt: skip
PART = {
    "volume_m3", "surface_m2", "wall_mass_kg", "gas_mass_kg", "pressure_pa", "temperature_k",
    "burst_pressure_cold_gauge_pa", "design_pressure_temperature_k", "relief_lift_temperature_k",
    "rupture_temperature_k", "rupture_pressure_pa", "rupture_temperature_by_basis_k",
    "stored_energy_j", "rupture_energy_j", "tnt_kg",
}  # fmt: skip
ENERGIES = {"brode", "isentropic", "isothermal", "availability", "isentropic_real"}
FIRE = {
    "id", "section", "closed_valves", "outcome", "reason", "kept_by", "safe", "events",
    "peak_pressure_pa", "peak_strength_use", "time_to_rupture_without_vent_s", "smallest_bore_m",
    "by_basis", "inner_radiation", "balance", "curves", "class", "envelope", "sure", "doubts",
    "creep_damage", "rupture_nothing_opens_s",
}  # fmt: skip
VERDICT = {
    "section", "members", "closed_valves", "class", "fire", "part", "outcome", "safe", "sure",
    "reason", "limit", "basis", "corner", "peak_strength_use", "creep_damage", "first_vent_s",
    "rupture_s", "rupture_nothing_opens_s", "runs",
}  # fmt: skip
CORNER = {"start_pa", "heat", "share", "devices", "inner_radiation"}


def document() -> dict:
    return json.loads(to_json_text(hand_made.assessment()))


def test_all_documented_keys_are_there():
    doc = document()
    assert set(doc) >= TOP
    assert doc["format"] == 2
    assert doc["program"]["name"] == "airrisk"
    assert doc["on"] == "2026-11-01"
    assert set(doc["vessels"]) == {"R1"}
    assert set(doc["lines"]) == {"L1"}
    assert set(doc["vessels"]["R1"]) >= PART
    assert set(doc["vessels"]["R1"]["stored_energy_j"]) == ENERGIES
    assert set(doc["sections"]) == {"as_drawn", "shut_in"}
    assert set(doc["sections"]["shut_in"][0]) == {
        "id", "members", "closed_valves", "volume_m3", "plugs", "relief_valves",
    }  # fmt: skip
    assert {"protected", "by", "worst_valves", "why"} <= set(doc["protection"]["R1"])
    assert set(doc["fires"][0]) >= FIRE
    assert set(doc["fires"][0]["balance"]) == {"mass_rel", "energy_rel"}
    assert set(doc["fires"][0]["events"][0]) == {"time_s", "event", "part"}


def test_curves_of_a_fire_have_the_documented_keys_and_equal_lengths():
    curves = document()["fires"][0]["curves"]
    part = curves["parts"]["R1"]
    assert set(part) == {
        "pressure_pa", "gas_temperature_k", "hot_wall_temperature_k", "cold_wall_temperature_k",
        "strength_use", "gas_mass_kg", "creep_damage", "creep_damage_mean",
        "creep_damage_omega",
    }  # fmt: skip
    assert set(curves["plugs"]["FP1"]) == {"temperature_k", "melted_share", "open"}
    assert {len(v) for v in part.values()} == {len(curves["time_s"])}


def test_consequences_have_the_documented_keys():
    case = document()["consequences"]["R1"]["cold_working"]
    assert {"energy_j", "tnt_kg", "methods", "fragments"} <= set(case)
    method = case["methods"]["burst"]
    assert set(method["overpressure"][0]) >= {
        "distance_m", "incident_pa", "reflected_pa", "incident_impulse_pa_s",
    }  # fmt: skip
    assert {"harm", "incident_pa", "distance_m", "source"} <= set(method["thresholds"][0])


def test_findings_carry_text_cure_source_and_numbers():
    found = document()["findings"][0]
    assert set(found) == {
        "rule", "severity", "part", "section", "class", "text", "cure", "source", "numbers",
        "accepted", "open_actions", "lapsed",
    }  # fmt: skip
    assert (found["section"], found["class"]) == ("L1+R1", "stated")
    assert "R1" in found["text"]


def test_choices_say_typed_or_default():
    choices = document()["choices"]
    assert choices["strength_basis"] == {"value": "tensile", "origin": "default"}
    assert choices["audit_date"] == {"value": "2026-11-01", "origin": "typed"}
    assert choices["strength_use_limit"]["value"] is None


def test_nan_becomes_null():
    numbers = {
        "peak_strength_use": 1.08, "strength_use_limit": 1.0, "other_temperature_k": None,
    }  # fmt: skip
    assert document()["findings"][0]["numbers"] == numbers
    assert "NaN" not in to_json_text(hand_made.assessment())


def test_every_number_is_a_plain_json_number():
    def walk(value):
        if isinstance(value, dict):
            for key, item in value.items():
                assert isinstance(key, str)
                walk(item)
        elif isinstance(value, list):
            for item in value:
                walk(item)
        elif isinstance(value, float):
            assert math.isfinite(value)
        else:
            assert value is None or type(value) in (str, int, bool)

    walk(to_json_dict(hand_made.assessment()))


def test_the_same_answer_gives_the_same_bytes():
    assert to_json_text(hand_made.assessment()) == to_json_text(hand_made.assessment())


def test_the_first_line_to_rupture_if_nothing_opens_and_its_time_are_there():
    record = replace(hand_made.assessment().fires[0], line_rupture_nothing_opens_s=("L1", 212.5))
    whole = replace(hand_made.assessment(), fires=(record,))
    fire = to_json_dict(whole)["fires"][0]
    assert fire["line_rupture_nothing_opens_s"] == {"L1": 212.5}
    assert document()["fires"][0]["line_rupture_nothing_opens_s"] is None


def test_a_fire_with_condensate_carries_the_note_on_its_steam():
    whole = hand_made.assessment()
    wet = replace(whole, fires=(replace(whole.fires[0], wet_parts=("R1",)),))
    (note,) = to_json_dict(wet)["fires"][0]["notes"]
    assert note.startswith("Condensate boils in vessel R1.")
    assert to_json_dict(whole)["fires"][0]["notes"] == []


def decided() -> dict:
    """The hand-made answer with offered values, an acceptance and an assumed fire of its own."""
    accepted = Accepted(outcome="passes the limit", use=0.71, rupture_after=2280.0)
    action = Action(
        id="A2", rule="fire-outcome", part="R1", section="L1+R1", fire_class="beside",
        decision="accept", reason="nothing burns there", by="Safety",
        until=dt.date(2027, 6, 30), accepted=accepted,
    )  # fmt: skip
    whole = hand_made.assessment()
    choices = {**whole.choices, "assumed_fire": (AssumedFire(), "default")}
    changed = replace(
        whole, offered={"R1": ("wall_thickness",), "C1": ("stages",), "FP1": ("bore",)},
        actions=(action,), choices=choices, compressors={"C1": {"stages": 1}},
        discharges={"FP1": {"flow_kg_s": 0.5}},
    )  # fmt: skip
    return json.loads(to_json_text(changed))


def test_what_is_offered_and_what_was_decided_is_listed():
    doc = decided()
    assert doc["vessels"]["R1"]["offered"] == ["wall_thickness"]
    assert doc["lines"]["L1"]["offered"] == []
    assert doc["compressors"]["C1"] == {"stages": 1, "offered": ["stages"]}
    assert doc["discharges"]["FP1"] == {"flow_kg_s": 0.5, "offered": ["bore"]}
    assert doc["choices"]["assumed_fire"] == {
        "value": {"curve": "hydrocarbon", "duration_s": 3600.0}, "origin": "default",
    }  # fmt: skip
    assert doc["actions"] == [
        {
            "id": "A2", "rule": "fire-outcome", "part": "R1", "section": "L1+R1",
            "class": "beside", "decision": "accept", "text": None, "owner": None, "due": None,
            "done": None, "evidence": None, "reason": "nothing burns there", "by": "Safety",
            "until": "2027-06-30", "severity": None,
            "accepted": {"outcome": "passes the limit", "use": 0.71, "rupture_s": 2280.0},
            "found": None,
        }
    ]  # fmt: skip


def test_the_matrix_has_the_documented_keys_for_every_section_and_class():
    doc = document()
    assert [one["class"] for one in doc["verdicts"]] == ["stated", "whole", "beside", "spot"]
    stated, *rest = doc["verdicts"]
    assert set(stated) == VERDICT | {"reason_values"}
    assert set(stated["corner"]) >= CORNER
    assert stated["reason"] == "vented within the limit"
    assert stated["reason_values"] == {
        "part": "R1", "opened": ["FP1"], "emptying": ["FP1"], "creep": False, "detail": "",
    }  # fmt: skip
    assert stated["safe"] is True
    assert stated["sure"] is False
    for one in rest:  # no such fire: nothing is safe
        assert set(one) == set(stated)
        assert (one["fire"], one["safe"], one["sure"], one["outcome"]) == (None, None, None, None)
        assert one["reason"] is one["reason_values"] is one["corner"] is None


def test_the_numbers_of_a_fire_are_of_the_run_as_stated_and_those_of_the_worst_beside_them():
    fire = to_json_dict(hand_made.answered(hand_made.unsafe()))["fires"][0]
    assert fire["outcome"] == "vents in time"
    assert fire["safe"] is False
    assert fire["sure"] is None
    seen = fire["envelope"]
    assert set(seen) >= {"runs", "corner", "peak_strength_use", "rupture_s", "outcome"}
    assert set(seen["corner"]) >= CORNER
    assert (seen["outcome"], seen["reason"], seen["rupture_s"]) == ("ruptures", "ruptured", 258.0)
    assert fire["rupture_nothing_opens_s"] == fire["time_to_rupture_without_vent_s"] == 588.0
    (safe,) = document()["fires"]
    assert set(safe["doubts"][0]) == {
        "what", "outcome", "safe", "peak_strength_use", "creep_damage", "at",
    }  # fmt: skip


def test_how_long_a_vessel_stands_flames_away_from_its_plugs_is_there():
    assert document()["flame_away"] == {"R1": {"rupture_s": 272.0, "first_vent_s": None}}
    assert document()["jet_spot"] == {"R1": {"rupture_s": 139.0, "first_vent_s": None}}
    assert document()["runs"] == 26
