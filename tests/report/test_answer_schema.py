"""The published schema of the JSON answer: it holds for real answers, and describes every key."""

import dataclasses
import json
import types
import typing

import pytest
from jsonschema_rs import Draft202012Validator, meta

from airrisk import tables
from airrisk.installation.reading import read
from airrisk.report.json_output import to_json_dict, to_json_text
from airrisk.study import (
    action_register,
    audibility,
    examinations,
    records,
    room_layers,
    standing_fires,
)
from airrisk.study import consequence_records as consequences
from airrisk.study.assessment import assess
from airrisk.study.cures import with_cures
from airrisk.study.wear import Wear
from airrisk.verdict.rule import OUTCOMES, ReasonCode
from tests.docs.answer_tables import answer_schema
from tests.independent.random_systems import random_system
from tests.report import hand_made
from tests.report.test_json_output import decided
from tests.samples.answers import sample_answer
from tests.study import cure_plants

# records that are written whole, but for the keys named here
RECORDS = {
    "energies": (records.EnergiesRecord, ()),
    "oil_inside": (records.OilInside, ()),
    "oil_for_plug": (records.OilForPlug, ()),
    "section": (records.SectionRecord, ()),
    "protection": (records.ProtectionRecord, ()),
    "corner": (records.CornerRecord, ()),
    "doubt": (records.DoubtRecord, ()),
    "margins": (records.Margins, ()),
    "bore_search": (records.BoreSearch, ()),
    "cure": (records.Cure, ()),
    "no_cure": (records.NoCure, ()),
    "creep_otherwise": (records.CreepOtherwise, ()),
    "balance": (records.Balance, ()),
    "event": (records.EventRecord, ()),
    "curves": (records.FireCurves, ()),
    "part_curves": (records.PartCurves, ()),
    "plug_curves": (records.PlugCurves, ()),
    "flame_away": (records.FlameAway, ()),
    "stage": (records.StageRecord, ()),
    "compressor": (records.CompressorRecord, ("offered",)),
    "upkeep_row": (records.UpkeepRow, ()),
    "failure": (records.Failure, ()),
    "trace": (records.Trace, ()),
    "consequence": (consequences.CaseRecord, ()),
    "blast": (consequences.MethodRecord, ()),
    "overpressure_row": (consequences.OverpressureRow, ()),
    "threshold": (consequences.ThresholdRow, ()),
    "fragments": (consequences.FragmentRecord, ()),
    "way_of_breaking": (consequences.WayOfBreaking, ()),
    "flight_speed_row": (consequences.FlightSpeedRow, ()),
    "stand_off": (consequences.StandOffRecord, ()),
    "people_reach": (consequences.ReachRecord, ()),
    "place_blast": (consequences.PlaceBlast, ()),
    "harm_reach": (consequences.HarmReach, ()),
    "discharge": (consequences.DischargeRecord, ("offered",)),
    "room_air": (consequences.RoomRecord, ()),
    "heard": (audibility.HeardRecord, ()),
    "wear": (Wear, ()),
    "examination": (examinations.ExaminationRow, ()),
    "action_row": (action_register.ActionRow, ("deed",)),
    "fire_source": (standing_fires.SourceRecord, ()),
    "in_sight": (standing_fires.InSight, ()),
    "heat_on_plug": (standing_fires.HeatOnPlug, ()),
    "room_layer": (room_layers.RoomLayer, ()),
}  # fmt: skip
KINDS = answer_schema()["$defs"]
CHECKER = Draft202012Validator(answer_schema())


def wrong(document: object) -> list[str]:
    """What is not as published, with its place."""
    found = CHECKER.iter_errors(json.loads(json.dumps(document)))
    return [f"{'.'.join(map(str, one.instance_path))}: {one.message[:200]}" for one in found]


@pytest.mark.parametrize("name", tables.sample_names())
def test_the_answer_to_a_sample_is_as_published(name):
    assert wrong(to_json_dict(sample_answer(name))) == []


@pytest.mark.parametrize("seed", [1, 5])
def test_the_answer_to_a_random_system_is_as_published(seed):
    text = random_system(seed)
    whole = read(text.encode("utf-8"), "random")
    answer = assess(whole, cure_plants.ON, source=text.encode("utf-8"), bores=False)
    assert wrong(to_json_dict(answer)) == []


def test_decisions_about_findings_and_what_nobody_asked_for_are_as_published():
    made_up = {"compressors": {}, "discharges": {}}  # of these it holds a few keys only
    assert wrong(decided() | made_up) == []
    assert wrong(json.loads(to_json_text(hand_made.answered(hand_made.unsafe())))) == []


def test_causes_and_plans_are_as_published():
    text = cure_plants.PLANTS["a painted plug"]
    whole = read(text.encode("utf-8"), "bench")
    answer = with_cures(assess(whole, cure_plants.ON, source=text.encode("utf-8")), whole, text)
    document = to_json_dict(answer)
    assert document["causes"]
    assert document["plan"]["plans"]
    assert wrong(document) == []


def test_a_key_that_is_missing_new_or_of_another_kind_is_found():
    document = json.loads(to_json_text(hand_made.assessment()))
    for change in (
        lambda fire: fire.pop("safe"),
        lambda fire: fire.update(secure=True),
        lambda fire: fire.update(safe="yes"),
        lambda fire: fire["curves"]["parts"]["R1"].update(pressure_pa=["high"]),
        lambda fire: fire.update(outcome="fine"),
    ):
        fire = json.loads(json.dumps(document["fires"][0]))
        change(fire)
        assert wrong(document | {"fires": [fire]}) != []


def test_the_schema_is_a_schema_and_describes_every_key():
    meta.validate(answer_schema())
    for name, kind in {"top": answer_schema(), **KINDS}.items():
        assert kind["title"], name
        assert kind["description"], name
        if "properties" in kind:
            assert kind["additionalProperties"] is False, name
            assert kind["required"] == list(kind["properties"]), name
            for key, value in kind["properties"].items():
                assert value["description"], f"{name}.{key}"


def test_every_kind_of_record_is_used():
    text = json.dumps(answer_schema())
    assert [name for name in KINDS if f'"#/$defs/{name}"' not in text] == []


@pytest.mark.parametrize("name", RECORDS)
def test_the_keys_and_words_of_a_record_are_those_published(name):
    record, more = RECORDS[name]
    published = KINDS[name]["properties"]
    fields = {field.name for field in dataclasses.fields(record)}
    assert set(published) == fields | set(more)
    hints = typing.get_type_hints(record)
    for key in fields:
        words = literal_words(hints[key])
        if words is not None:
            assert set(published[key]["enum"]) == words, key


def literal_words(hint: object) -> set[object] | None:
    """The words that a field may hold; None: it is no choice of words."""
    origin, inner = typing.get_origin(hint), typing.get_args(hint)
    if origin is typing.Literal:
        found: set[object] = set()
        for one in inner:
            found |= literal_words(one) or {one}
        return found
    if origin in (typing.Union, types.UnionType):
        parts = [literal_words(one) for one in inner if one is not types.NoneType]
        if len(parts) == 1 and parts[0] is not None:
            return parts[0] | ({None} if types.NoneType in inner else set())
    return None


def test_outcomes_and_reasons_are_those_published():
    for name in ("fire", "envelope", "verdict", "doubt"):
        outcomes = KINDS[name]["properties"]["outcome"]["enum"]
        assert {one for one in outcomes if one is not None} == set(OUTCOMES)
    for name in ("fire", "envelope", "verdict"):
        reasons = KINDS[name]["properties"]["reason"]["enum"]
        assert {one for one in reasons if one is not None} == set(typing.get_args(ReasonCode))
