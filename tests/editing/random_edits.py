"""Random changes of a system file, over every field that ``installation/fields.py`` declares.

A field that is declared there later is changed here by itself; a kind of value that is not known
here raises, so that nobody forgets it.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Iterator
from typing import Any

from airrisk.editing.copies import duplicated
from airrisk.editing.document import Document
from airrisk.editing.edits import PREFIXES, STARTS, added, free_id, removed
from airrisk.installation import fields
from airrisk.installation.field_spec import FieldSpec
from airrisk.installation.fields import OPEN_ENDS, REPEATED, SINGLE, all_fields
from airrisk.installation.splice import EditError, SystemText
from airrisk.installation.values import rule_names
from airrisk.physics.alloys import alloys
from airrisk.physics.metal import materials
from airrisk.quantities import QuantityError, format_quantity, parse

Field = tuple[str, str]  # kind of table, key
TRIES = 60  # values drawn for one field until the file is valid with one
# another format, or another decision without the fields that it needs, is no valid file
NEVER_CHANGED: frozenset[Field] = frozenset({("", "format"), ("action", "decision")})

# one of each kind, so that each field has a table that it can stand in
EVERY_KIND = """\
format = 2
title = "Pump room of a fish ladder"

[about]
site = "Invented"

[choices]
audit_date = 2026-11-01

[site]
ambient_temperature = "15 degC"

[spread.R1]
wall_thickness = { distribution = "normal", deviation = "0.2 mm" }

[[compressor]]
id = "C1"
delivery = "3 m3/min"
discharge_pressure = "9 bar(g)"
area = "hall"

[[vessel]]
id = "R1"
inside_diameter = "800 mm"
volume = "1 m3"
wall_thickness = "6 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
insulation_resistance = "0.2 m2 K/W"
insulation_holds_to = "1150 degC"
area = "hall"
at = [0.0, 0.0]

[[vessel]]
id = "R2"
role = "dryer"
orientation = "horizontal"
inside_diameter = "300 mm"
cylinder_length = "900 mm"
wall_thickness = "5 mm"
head_thickness = "16 mm"
heads = "flat"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
insulation_thickness = "50 mm"
insulation_conductivity = "0.3 W/m/K"
insulation_known_at = "800 degC"
insulation_holds_to = "1150 degC"
offered = ["wall_thickness"]

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "5 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[line]]
id = "L2"
from = "R1"
to = "J1"
length = "4 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[line]]
id = "L3"
from = "J1"
to = "R2"
length = "2 m"
inside_diameter = "27.3 mm"
wall_thickness = "2.3 mm"
insulation_thickness = "50 mm"
insulation_conductivity = "0.3 W/m/K"
insulation_known_at = "800 degC"
insulation_holds_to = "1150 degC"

[[line]]
id = "L4"
from = "J1"
to = "U1"
length = "8 m"
inside_diameter = "16 mm"
wall_thickness = "1.8 mm"
pressure = "8 bar(g)"

[[junction]]
id = "J1"

[[consumer]]
id = "U1"

[[valve]]
id = "V1"
on = "L1"
end = "to"
kind = "non-return"

[[valve]]
id = "V2"
on = "L2"
end = "from"

[[valve]]
id = "V3"
on = "RV1"
state = "locked open"

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "20 mm"
condition = "clean"
fitted = 2026-10-01

[[plug]]
id = "FP2"
on = "R2"
alloy = "Bi58Sn42"
bore = "12 mm"
condition = "clean"
fitted = 2026-09-01
outlet = "piped"
outlet_length = "3 m"
outlet_diameter = "27.3 mm"

[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "78.5 mm2"

[[bursting_disc]]
id = "BD1"
on = "L3"
burst_pressure = "14 bar(g)"
area = "200 mm2"

[[inspection]]
on = "FP1"
date = 2026-10-20
condition = "clean"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1", "L2"]
duration = "20 min"

[[fire]]
id = "F2"
curve = "flux"
flux = "60 kW/m2"
reaches = ["R1"]
exposed_share = 0.3
duration = "20 min"

[[fire]]
id = "F3"
curve = "temperature"
temperature = "700 degC"
reaches = ["R2"]
duration = "20 min"

[[fire]]
id = "F4"
curve = "table"
points = [["0 min", "20 degC"], ["10 min", "700 degC"]]
reaches = ["R2"]
duration = "20 min"

[[fire_source]]
id = "Oil-tray"
fuel = "lubricating oil"
diameter = "1 m"
volume = "10 L"
at = [4.0, 2.0]

[[fire_source]]
id = "Sump"
fuel = "diesel"
surface = "0.4 m2"
at = [-3.0, 4.0]

[[fire_source]]
id = "Gas-main"
kind = "jet"
fuel = "natural gas"
mass_flow = "0.02 kg/s"
length = "2 m"
incident_flux = "250 kW/m2"
direction = "200 deg"
duration = "10 min"
at = [3.0, 5.0]

[[fire_source]]
id = "Pallets"
kind = "goods"
heat_release = "800 kW"
diameter = "1 m"
duration = "10 min"
at = [-4.0, -3.0]
area = "hall"

[[reading]]
id = "M1"
on = "R1"
date = 2026-01-10
thickness = "5 mm"

[[wall]]
id = "W1"
points = [[6.0, -2.0], [6.0, 4.0]]
height = "3 m"

[[people]]
id = "Path"
at = [12.0, 3.0]

[[people]]
id = "Stop"
distance = "25 m"
from = "R1"

[[room]]
id = "Hall"
volume = "300 m3"
area = "hall"
height = "4 m"
vent_area = "3 m2"
vent_height = "2 m"
lining = "brick"

[[action]]
id = "A1"
rule = "fire-outcome"
part = "R1"
decision = "do"
text = "fit a larger plug"
done = 2026-10-10
evidence = "invented"

[[action]]
id = "A2"
rule = "fire-outcome"
part = "R2"
section = "J1+L2+L3+L4+R2+U1"
class = "beside"
decision = "accept"
reason = "nothing burns there"
by = "Safety department"
until = 2027-06-30
accepted = { outcome = "passes the limit", use = 0.71, rupture_after = "38 min" }
found = { places = ["P1"], distances_m = { P1 = 5.2 } }
severity = "danger"
"""


class RandomEdits:
    """Draws changes of a document and makes those that leave a file that can be read.

    Parameters
    ----------
    rng
        Where the chance comes from.
    """

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng

    def change(self, document: Document) -> str:
        """Change something, whatever it is; says what, empty when nothing was found."""
        draw = self.rng.random()
        if draw < 0.08 and document.undo():
            return self._unless_broken(document, "undo")
        if draw < 0.12 and document.redo():
            return self._unless_broken(document, "redo")
        if draw < 0.22:
            return self.change_parts(document)
        kind, key = self.rng.choice(changed_fields())
        return self.change_field(document, kind, key)

    def change_field(self, document: Document, kind: str, key: str) -> str:
        """Give one field another value; empty when the file took none of those drawn."""
        spec = fields.spec(kind, key)
        for _ in range(TRIES):
            before = document.text
            text = document.system_text
            places = tables(text, kind)
            if not places:
                return ""
            place = self.rng.choice(places)
            try:
                text, said = self._with(text, place, spec)
            except (EditError, QuantityError, IndexError):
                continue  # nothing that could stand there
            if text.text == before or not document.replace("random", text.text):
                continue
            if document.installation is not None:
                return f"{place} {said}"
            document.undo()
        return ""

    def change_parts(self, document: Document) -> str:
        """Add, duplicate or remove a part."""
        text = document.system_text
        ids = list(text.ids())
        deed = self.rng.choice(("add", "duplicate", "remove"))
        name = self.rng.choice(ids) if ids else ""
        try:
            if deed == "remove" and len(ids) > 8:
                text = removed(text, [name])
            elif deed == "duplicate" and name:
                text, _ = duplicated(text, [name])
            else:
                kind = self.rng.choice([one for one in PREFIXES if one in STARTS])
                name = free_id(text, kind)
                more = {
                    one.key: self.value(text, one, None)
                    for one in fields.FIELDS[kind]
                    if one.required and one.key != "id" and not one.is_numeric
                }
                text = added(text, kind, name, more)
        except (EditError, IndexError):
            return ""
        if not document.replace("random", text.text):
            return ""
        return self._unless_broken(document, f"{deed} {name}")

    @staticmethod
    def _unless_broken(document: Document, said: str) -> str:
        if document.installation is None:
            document.undo()
            return ""
        return said

    def _with(self, text: SystemText, place: Any, spec: FieldSpec) -> tuple[SystemText, str]:
        if spec.kind == "id":
            old = text.block(place)["id"]
            new = text.free_id(old if self.rng.random() < 0.5 else f"Part {old}")
            return text.rename(old, new), f"renamed {new}"
        present = text.value(place, spec.key)
        if present is not None and not spec.required and self.rng.random() < 0.15:
            return text.unset(place, spec.key), f"{spec.key} left out"
        value = self.value(text, spec, present)
        return text.set(place, spec.key, value), f"{spec.key} = {value}"

    def value(self, text: SystemText, spec: FieldSpec, present: Any) -> Any:
        """Something that may stand in a field, as it is typed.

        Raises
        ------
        NotImplementedError
            Nobody has said yet what such a field may hold.
        """
        rng, kind = self.rng, spec.kind
        if spec.is_quantity:
            return self._quantity(spec, present)
        if kind in ("number", "share"):
            return float(f"{self._number(spec, present):.3g}")
        if kind == "integer":
            return rng.randint(int(spec.low or 0), int(spec.high or 10))
        if kind == "text":
            return rng.choice(("hall", "yard", "Invented remark", "Other words"))
        if kind == "choice":
            return rng.choice(spec.choices)
        if kind == "flag":
            return rng.random() < 0.5
        if kind == "date":
            return dt.date(2026, 1, 1) + dt.timedelta(days=rng.randint(-200, 500))
        if kind == "months":
            return f"{rng.randint(1, 24)} months"
        if kind == "calendar":
            return rng.choice(("3 weeks", "45 days", "3 months", "10 days"))
        if kind == "material":
            return rng.choice([one.key for one in materials()])
        if kind == "alloy":
            return rng.choice([*(one.key for one in alloys()), fields.ALLOY_UNSTATED])
        if kind == "reference":
            return rng.choice(named(text, spec.targets))
        if kind == "end":
            return rng.choice([*named(text, spec.targets), *OPEN_ENDS])
        if kind == "references":
            found = named(text, spec.targets)
            return sorted(rng.sample(found, rng.randint(1, min(3, len(found)))))
        if kind == "outlet":
            return rng.choice([*spec.choices, *named(text, spec.targets)])
        if kind == "point":
            return [round(rng.uniform(-20, 20), 2), round(rng.uniform(-20, 20), 2)]
        if kind == "cell":
            return [rng.randint(-40, 40), rng.randint(-40, 40)]
        if kind == "path":
            places = range(rng.randint(2, 4))
            return [[round(rng.uniform(-9, 9), 2), round(rng.uniform(-9, 9), 2)] for _ in places]
        if kind == "notes":
            return {rng.choice(("on", "area", "curve", "kind", "height")): "read again"}
        if kind == "shares":
            return float(f"{rng.choice((1.0, rng.uniform(0.02, 1.0))):.3g}")
        if kind == "points":
            return [
                ["0 min", "20 degC"],
                [f"{rng.randint(2, 20)} min", f"{rng.randint(300, 1100)} degC"],
            ]
        if kind == "keys":
            some = ("wall_thickness", "bore", "set_pressure", "area", "delivery", "length")
            return [rng.choice(some)]
        if kind == "fire":
            return {"curve": rng.choice(spec.choices), "duration": f"{rng.randint(10, 90)} min"}
        if kind == "rule":
            return rng.choice(rule_names())
        if kind == "accepted":
            return {"outcome": rng.choice(spec.choices), "use": round(rng.uniform(0.1, 2.0), 2)}
        if kind == "found":
            return {"places": ["P1"], "reach_m": round(rng.uniform(1.0, 90.0), 1)}
        raise NotImplementedError(f"what may stand in a field of the kind {kind!r}?")

    def _number(self, spec: FieldSpec, present: Any) -> float:
        low = spec.low if spec.low is not None else 0.1
        high = spec.high if spec.high is not None else 10.0
        if isinstance(present, (int, float)) and present and self.rng.random() < 0.7:
            return min(max(present * math.exp(self.rng.uniform(-0.5, 0.5)), low), high)
        return self.rng.uniform(low, high)

    def _quantity(self, spec: FieldSpec, present: Any) -> str:
        gauge = spec.kind == "pressure" and not spec.absolute
        unit, datum = spec.unit_in("metric"), 0.0 if gauge else None
        at = None
        if isinstance(present, str):
            at = parse(present, spec.kind, ambient_pressure=datum)
        elif spec.default is not None:
            at = parse(spec.default, spec.kind, ambient_pressure=datum)
        if at and self.rng.random() < 0.8:
            most = 0.1 if spec.kind == "temperature" else 0.8
            value = at * math.exp(self.rng.uniform(-most, most))
        elif spec.low is not None and spec.low < 0.0:
            value = self.rng.uniform(spec.low, spec.high or 0.0)
        else:
            low = spec.low if spec.low else (spec.high or 1.0) * 1e-6
            high = spec.high if spec.high else low * 1e3
            value = low * (high / low) ** self.rng.random()
        return format_quantity(value, spec.kind, unit, digits=4, ambient_pressure=datum)


def changed_fields() -> list[Field]:
    """Every field that an edit may change."""
    found = [(kind, one.key) for kind, one in all_fields()]
    return [one for one in found if one not in NEVER_CHANGED]


def tables(text: SystemText, kind: str) -> list[Any]:
    """Every table of a kind, as the text knows it."""
    if kind in SINGLE:
        return [kind]
    count = len(text.raw.get(kind, ()))
    return [(kind, number) for number in range(count)]


def named(text: SystemText, kinds: tuple[str, ...]) -> list[str]:
    """Ids of all parts of these kinds."""
    return [name for name, kind in text.ids().items() if kind in kinds]


def missing_kinds(text: str) -> Iterator[str]:
    """Kinds of tables that a text has none of."""
    raw = SystemText(text).raw
    return (kind for kind in REPEATED if not raw.get(kind))
