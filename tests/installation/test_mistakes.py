"""Each kind of mistake in a system file has one message: where, what is wrong, what is valid."""

from __future__ import annotations

import re

import pytest

from airrisk import quantities
from airrisk.installation import reading
from airrisk.installation.fields import all_fields
from airrisk.installation.migration import FORMAT
from airrisk.installation.problems import NewerFormat, SystemFileErrors
from airrisk.installation.reading import MAX_BYTES, check, examine, read

BASE = """\
format = 2
title = "Boat yard"

[choices]
strength_basis = "tensile"
audit_date = 2026-11-01

[site]
ambient_temperature = "15 degC"
ambient_pressure = "1013 mbar(a)"

[spread.R1]
wall_thickness = { distribution = "normal", deviation = "0.2 mm" }

[[compressor]]
id = "C1"
delivery = "6 m3/min"
discharge_pressure = "10 bar(g)"
stages = 1
cut_in_pressure = "8 bar(g)"

[[vessel]]
id = "R1"
inside_diameter = "1100 mm"
volume = "2 m3"
heads = "torispherical"
wall_thickness = "8 mm"
measured = true
weld_factor = 0.85
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"
condensate = "1 L"
at = [1.0, 2.0]
notes = { volume = "name plate" }

[[vessel]]
id = "R2"
inside_diameter = "500 mm"
cylinder_length = "1 m"
wall_thickness = "6 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"

[[line]]
id = "L1"
from = "C1"
to = "R1"
length = "12 m"
inside_diameter = "54.5 mm"
wall_thickness = "2.9 mm"

[[junction]]
id = "J1"

[[valve]]
id = "V1"
on = "L1"
end = "to"
state = "open"

[[valve]]
id = "V2"
on = "RV1"

[[valve]]
id = "V3"
on = "L1"
end = "from"
kind = "non-return"

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "10 mm"
outlet = "open"
fitted = 2026-02-10
renew_every = "12 months"

[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "78.5 mm2"

[[inspection]]
on = "FP1"
date = 2026-05-04
condition = "clean"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1", "L1"]
plugs_in_fire = ["FP1"]
closed = ["V1"]
exposed_share = 1.0

[[people]]
id = "Office"
at = [40.0, 10.0]

[[room]]
id = "Hall"
volume = "3000 m3"
"""

END, DATE = 'renew_every = "12 months"\n', "audit_date = 2026-11-01\n"
DO = """\
[[action]]
id = "A1"
rule = "plug-condition"
part = "FP1"
decision = "do"
text = "clean it"
"""
ACCEPT = """\
[[action]]
id = "A2"
rule = "fire-outcome"
part = "R1"
class = "spot"
decision = "accept"
reason = "nothing burns there"
by = "Safety"
until = 2027-06-30
accepted = { outcome = "ruptures", use = 1.1, rupture_after = "2 min" }
"""
A1, A2 = "action A1", "action A2"
R1, FP1, F1, V1 = "vessel R1", "plug FP1", "fire F1", "valve V1"
# text replaced | by | part | field | in the message | in what is valid
CASES = [
    # quantities
    ('= "1100 mm"', '= "1100"', R1, "inside_diameter", "no unit", '"1100 mm"'),
    ('= "1100 mm"', "= 1100", R1, "inside_diameter", "number without a unit", '"1100 mm"'),
    ('= "1100 mm"', "= true", R1, "inside_diameter", "not a text with a unit", "1.1 m"),
    ('= "1100 mm"', '= "1,100 mm"', R1, "inside_diameter", "ambiguous", "5 mm to 10000 mm"),
    ('= "1100 mm"', '= "-1100 mm"', R1, "inside_diameter", "negative", "5 mm to 10000 mm"),
    ('= "1100 mm"', '= "1100 m"', R1, "inside_diameter", "out of range", "5 mm to 10000 mm"),
    ('= "1100 mm"', '= "nan mm"', R1, "inside_diameter", "not a finite number", "1100 mm"),
    ('= "1100 mm"', '= "1e999 mm"', R1, "inside_diameter", "not a finite number", "1100 mm"),
    ('= "1100 mm"', '= "1100 bar(g)"', R1, "inside_diameter", "a unit of pressure", "1100 mm"),
    ('design_pressure = "11 bar(g)"\npressure = "10 bar(g)"\ncondensate',
     'design_pressure = "11 bar"\npressure = "10 bar(g)"\ncondensate',
     R1, "design_pressure", "gauge or absolute is not said", "bar(g)"),
    ('"10 bar(g)"\ncondensate', '"0.5 bar(a)"\ncondensate', R1, "pressure",
     "below the ambient pressure", "0.01 bar(g) to 1000 bar(g)"),
    ('"10 bar(g)"\ncondensate', '"0 bar(g)"\ncondensate', R1, "pressure", "out of range",
     "0.01 bar(g)"),
    ('"10 bar(g)"\ncondensate', '"99999 bar(g)"\ncondensate', R1, "pressure", "out of range",
     "1000 bar(g)"),
    ('"1013 mbar(a)"', '"0 bar(g)"', "site", "ambient_pressure", "must be an absolute pressure",
     "psia"),
    ('"1013 mbar(a)"', '"10 bar(a)"', "site", "ambient_pressure", "out of range",
     "400 mbar(a) to 1200 mbar(a)"),
    ('"15 degC"', '"15 C"', "site", "ambient_temperature", "unclear", "degC"),
    ('"15 degC"', '"-300 degC"', "site", "ambient_temperature", "below absolute zero", "degC"),
    # plain values
    ("weld_factor = 0.85", 'weld_factor = "0.85"', R1, "weld_factor", "in quotes", "0.4 to 1"),
    ("weld_factor = 0.85", "weld_factor = 1.85", R1, "weld_factor", "out of range", "0.4 to 1"),
    ("weld_factor = 0.85", "weld_factor = nan", R1, "weld_factor", "not a finite", "0.4 to 1"),
    ("weld_factor = 0.85", "weld_factor = -inf", R1, "weld_factor", "not a finite", "0.4 to 1"),
    ("weld_factor = 0.85", "weld_factor = true", R1, "weld_factor", "not a number", "0.4 to 1"),
    ("weld_factor = 0.85", "weld_factor = " + "9" * 400, R1, "weld_factor", "not a finite", "0.4"),
    ("stages = 1", "stages = 1.5", "compressor C1", "stages", "not a whole number", "1 to 8"),
    ("stages = 1", "stages = 0", "compressor C1", "stages", "out of range", "1 to 8"),
    ("measured = true", 'measured = "yes"', R1, "measured", "neither true nor false", "true"),
    ('heads = "torispherical"', 'heads = "toripherical"', R1, "heads",
     'did you mean "torispherical"?', "ellipsoidal | hemispherical | flat"),
    ('heads = "torispherical"', "heads = 3", R1, "heads", "not one of the words", "flat"),
    ('= "P265GH"\ndesign_pressure = "11 bar(g)"\npressure = "10 bar(g)"\ncondensate',
     '= "P256GH"\ndesign_pressure = "11 bar(g)"\npressure = "10 bar(g)"\ncondensate',
     R1, "material", 'no material of that name; did you mean "P265GH"?', "304L"),
    ('alloy = "tin"', 'alloy = "tinn"', FP1, "alloy", 'did you mean "tin"?', "unknown"),
    ('alloy = "tin"\n', "", FP1, "alloy", "missing", "Bi58Sn42"),
    ('"tensile"', '"tensil"', "choices", "strength_basis", 'did you mean "tensile"?', "annex-a"),
    ("2026-02-10", '"2026-02-10"', FP1, "fitted", "in quotes, not a plain date", "2026-11-01"),
    ("2026-02-10", "2026-02-10T10:00:00", FP1, "fitted", "not a date", "2026-11-01"),
    ("2026-02-10", "0001-02-10", FP1, "fitted", "out of range", "1900 to 2200"),
    ('"12 months"', '"52 weeks"', FP1, "renew_every", "not whole calendar months", "1 year"),
    ('"12 months"', '"12"', FP1, "renew_every", "not a whole number of days", "12 months"),
    ('"12 months"', "12", FP1, "renew_every", "not a text with a unit", "12 months"),
    ('"12 months"', '"9999 months"', FP1, "renew_every", "out of range", "1200 months"),
    ("at = [1.0, 2.0]", "at = [1.0]", R1, "at", "not a place", "[12.0, 3.5]"),
    ("at = [1.0, 2.0]", 'at = ["1 m", "2 m"]', R1, "at", "not a place", "two plain numbers"),
    ("at = [1.0, 2.0]", "at = [1.0, 1e9]", R1, "at", "out of range", "100000 m"),
    ("at = [1.0, 2.0]", "at = [1.0, nan]", R1, "at", "out of range", "100000 m"),
    ('notes = { volume =', 'notes = { volumes =', R1, "notes",
     'no field of that name; did you mean "volume"?', "inside_diameter"),
    ('notes = { volume = "name plate" }', "notes = { volume = 3 }", R1, "notes",
     "not a text in quotes", "characters"),
    ('notes = { volume = "name plate" }', 'notes = "name plate"', R1, "notes", "not a table",
     "remark"),
    ('title = "Boat yard"', "title = 3", "", "title", "not a text in quotes", "text"),
    ('title = "Boat yard"', 'title = "Boat\\u0007yard"', "", "title", "control character",
     "text in quotes"),
    # keys and tables
    ("measured = true", "mesured = true", R1, "mesured",
     'no field of that name; did you mean "measured"?', "wall_thickness"),
    ("[[people]]", "[[peoples]]", "", "peoples", 'did you mean "people"?', "vessel"),
    ("[choices]", "[choises]", "", "choises", 'did you mean "choices"?', "site"),
    ('title = "Boat yard"', 'titel = "Boat yard"', "", "titel", 'did you mean "title"?',
     "format, title"),
    ("[[room]]", "[room]", "", "room", "not a list of tables", "[[room]]"),
    ("[site]", "[[site]]", "", "site", "not a table", "[site]"),
    ('alloy = "tin"', 'alloy = "lead-tin"', FP1, "alloy",
     'did you mean "Sn63Pb37", "Sn60Pb40", "Sn50Pb50" or "Sn40Pb60"?', "unknown"),
    ('alloy = "tin"', 'alloy = "Pb/Sn"', FP1, "alloy", 'did you mean "Sn63Pb37",', "unknown"),
    ('alloy = "tin"', 'alloy = "Bi58Sn43"', FP1, "alloy", 'did you mean "Bi58Sn42"?', "unknown"),
    ('alloy = "tin"', 'alloy = "zink"', FP1, "alloy", 'did you mean "zinc"?', "unknown"),
    ('condensate = "1 L"', 'area = "200 mm2"', R1, "area", "name of the fire compartment",
     "relief valve"),
    ('volume = "3000 m3"', 'volume = "3000 m3"\narea = "40 m2"', "room Hall", "area",
     "name of the fire compartment", "compressor hall"),
    # ids
    ('id = "J1"\n', "", "junction number 1", "id", "missing", "1 to 40 characters"),
    ('id = "J1"', 'id = "r1"', "junction r1", "id", "also the id of vessel R1 in line 23",
     "without regard to case"),
    ('id = "J1"', 'id = ""', "junction number 1", "id", "empty", "1 to 40"),
    ('id = "J1"', f'id = "{"J" * 41}"', "junction number 1", "id", "41 characters long", "40"),
    ('id = "J1"', 'id = " J1"', "junction number 1", "id", "starts or ends with a space", "40"),
    ('id = "J1"', "id = 7", "junction number 1", "id", "not a text in quotes", "1 to 40"),
    ('id = "J1"', 'id = "Closed"', "junction number 1", "id", "means something else", "1 to 40"),
    # references
    ('on = "R1"\nalloy', 'on = "R9"\nalloy', FP1, "on",
     "no part of that id", "vessel or line: L1, R1, R2"),
    ('on = "R1"\nalloy', 'on = "J1"\nalloy', FP1, "on", "that is a junction", "vessel or line"),
    ('on = "R1"\nalloy', "on = 3\nalloy", FP1, "on", "not an id in quotes", "vessel or line"),
    ('to = "R1"', 'to = "Closet"', "line L1", "to", "no part of that id", '"closed"'),
    ('from = "C1"\nto = "R1"', 'from = "closed"\nto = "Closed"', "line L1", "pressure",
     "missing; both ends are closed", '"8 bar(g)"'),
    ('to = "R1"', 'to = "C1"', "line L1", "to", "begins and ends at the same part", "another"),
    ('reaches = ["R1", "L1"]', 'reaches = ["R1", "L2"]', F1, "reaches",
     "no part of that id", "vessel or line: L1, R1, R2"),
    ('reaches = ["R1", "L1"]', 'reaches = ["R1", "C1"]', F1, "reaches", "that is a compressor",
     "vessel or line"),
    ('reaches = ["R1", "L1"]', 'reaches = ["R1", "r1"]', F1, "reaches", "named twice", "once"),
    ('reaches = ["R1", "L1"]', "reaches = []", F1, "reaches", "an empty list", "at least one"),
    ('reaches = ["R1", "L1"]', 'reaches = "R1"', F1, "reaches", "not a list", '["R1", "L1"]'),
    ('closed = ["V1"]', 'closed = ["V3"]', F1, "closed", "V3 is a non-return valve", "isolating"),
    ('closed = ["V1"]', 'closed = ["FP1"]', F1, "closed", "that is a plug", "V1, V2"),
    # one table against another
    ('state = "open"', 'state = "locked open"', F1, "closed", "V1 is locked open", "not locked"),
    ('end = "to"\n', "", V1, "end", "missing; a valve on a line stands at one end", "from | to"),
    ('on = "RV1"', 'on = "RV1"\nend = "to"', "valve V2", "end", "RV1 is a device", "leave it out"),
    ('state = "open"', "reverse = true", V1, "reverse", "has no direction", "non-return"),
    ('kind = "non-return"', 'kind = "non-return"\nstate = "closed"', "valve V3", "state",
     "cannot be set", "leave it out"),
    ('"8 bar(g)"', '"10 bar(g)"', "compressor C1", "cut_in_pressure",
     "not below the discharge pressure", "below discharge_pressure"),
    ('volume = "2 m3"', 'volume = "2 m3"\ncylinder_length = "1900 mm"', R1, "volume",
     "does not agree with the cylinder_length, which makes 2.0", "within 1 %"),
    ('volume = "2 m3"\n', "", R1, "volume", "missing", "cylinder_length"),
    ('volume = "2 m3"', 'volume = "200 L"', R1, "volume", "too small for these heads", "at least"),
    ('heads = "torispherical"', 'heads = "flat"', R1, "head_thickness", "flat heads need it",
     "20 mm"),
    ('wall_thickness = "2.9 mm"', 'wall_thickness = "60 mm"', "line L1", "wall_thickness",
     "thicker than the inside diameter", "thinner"),
    ('wall_thickness = "8 mm"', 'wall_thickness = "260 mm"', R1, "wall_thickness",
     "the strength of P265GH is not known in this thickness", "at most 250 mm"),
    ('heads = "torispherical"', 'heads = "flat"\nhead_thickness = "251 mm"', R1, "head_thickness",
     "the strength of P265GH is not known in this thickness", "or another material"),
    ('"54.5 mm"\nwall_thickness = "2.9 mm"', '"200 mm"\nwall_thickness = "61 mm"', "line L1",
     "wall_thickness", "the strength of P235TR1 is not known", "at most 60 mm"),
    ('"1 L"', '"2 m3"', R1, "condensate", "fills the whole volume", "below 2000 L"),
    ('outlet = "open"', 'outlet = "piped"\noutlet_length = "2 m"', FP1, "outlet_diameter",
     "missing; the outlet is piped", "21 mm"),
    ('outlet = "open"', 'outlet_length = "2 m"', FP1, "outlet_length", "no outlet pipe", "piped"),
    ('inside_diameter = "1100 mm"\nvolume = "2 m3"', 'inside_diameter = "10 mm"\nvolume = "2 L"',
     FP1, "bore", "as wide as the vessel", "below 10 mm"),
    ('id = "R1"', 'id = "R1"\ninsulation_thickness = "50 mm"', R1, "insulation_conductivity",
     "missing", "insulation_resistance alone"),
    ('id = "R1"', 'id = "R1"\ninsulation_resistance = "0.1 m2 K/W"\n'
     'insulation_conductivity = "0.3 W/m/K"', R1, "insulation_conductivity", "stated already",
     "insulation_resistance alone"),
    ('id = "R1"', 'id = "R1"\ninsulation_resistance = "0.1 m2 K/W"\n'
     'insulation_known_at = "900 degC"\ninsulation_holds_to = "850 degC"', R1,
     "insulation_known_at", "hotter than its outer face", "at most insulation_holds_to"),
    ('id = "R1"', 'id = "R1"\ninsulation_holds_to = "600 degC"', R1, "insulation_holds_to",
     "no layer is stated", "insulation_thickness with"),
    ('id = "R1"', 'id = "R1"\ninsulation_resistance = "0 m2 K/W"', R1, "insulation_resistance",
     "out of range", "0.0005 m2 K/W"),
    ('bore = "10 mm"', 'bore = "10 mm"\nboss_mass = "900 kg"', FP1, "boss_mass", "out of range",
     "0 g to 50000 g"),
    ('"hydrocarbon"', '"flux"\nflux = "1200 kW/m2"', F1, "flux", "out of range", "1000 kW/m2"),
    ('area = "78.5 mm2"', 'area = "0.96 m2"', "relief valve RV1", "area", "as wide as the vessel",
     "mm2"),
    ('"hydrocarbon"', '"flux"', F1, "flux", 'missing; curve = "flux" needs it', "100 kW/m2"),
    ('"hydrocarbon"', '"temperature"', F1, "temperature", "needs it", "1000 degC"),
    ('"hydrocarbon"', '"table"', F1, "points", "needs it", "20 degC"),
    ('"hydrocarbon"', '"standard"\nflux = "50 kW/m2"', F1, "flux", "not used by curve", "flux"),
    ('"hydrocarbon"', '"standard"\nabsorbed = true', F1, "absorbed", "not used", "leave it out"),
    ('"hydrocarbon"', '"table"\npoints = [["0 min", "20 degC"]]', F1, "points",
     "not a list of two or more pairs", "pairs"),
    ('"hydrocarbon"', '"table"\npoints = [["0 min", "20 degC"], ["0 min", "900 degC"]]', F1,
     "points", "not later than the point before", "rise"),
    ('"hydrocarbon"', '"table"\npoints = [["1 min", "20 degC"], ["2 min", "900 degC"]]', F1,
     "points", "the first point is not at 0 min", "0 min"),
    ('"hydrocarbon"', '"table"\npoints = [["0 min", "20 degC"], ["2 min", "900"]]', F1, "points",
     "no unit", "degC"),
    ('"hydrocarbon"', '"table"\npoints = [["0 min", "20 degC"], ["2 min"]]', F1, "points",
     "not a pair", "pairs"),
    ("exposed_share = 1.0", "exposed_share = 0", F1, "exposed_share", "out of range", "0.001"),
    ("exposed_share = 1.0", "exposed_share = { R2 = 0.5 }", F1, "exposed_share",
     "R2 is not reached by the fire", "R1, L1"),
    ("exposed_share = 1.0", "exposed_share = { R8 = 0.5 }", F1, "exposed_share",
     "no vessel or line of that id", "R1, R2"),
    ("exposed_share = 1.0", 'exposed_share = { R1 = "half" }', F1, "exposed_share", "no number",
     "0.001 to 1"),
    ("exposed_share = 1.0", "exposed_share = { R1 = 0.5, r1 = 0.5 }", F1, "exposed_share",
     "named twice", "once"),
    ('["R1", "L1"]', '["L1"]', F1, "plugs_in_fire", "FP1 stands on R1, which the fire does not",
     "reaches"),
    ('condition = "clean"', 'condition = "clean"\n\n[[inspection]]\non = "fp1"\ndate = 2026-05-04\n'
     'condition = "scaled"', "inspection number 2", "date", "two different entries about FP1",
     "one entry a day"),
    ('[[room]]', '[[room]]\nid = "Shed"\nvolume = "9 m3"\narea = "hall"\n[[room]]', "room Hall",
     "area", "Shed is already the room of this area", "one room"),
    # examples and lists that fit the field
    ('"1013 mbar(a)"', '"1013 mbar"', "site", "ambient_pressure", "gauge or absolute is not said",
     '"1013 mbar(a)" or "14.7 psia", from 400 mbar(a)'),
    ('bore = "10 mm"\n', "", FP1, "bore", "missing", '"8 mm", "0.8 cm" or "0.315 in", from 0.5 mm'),
    ('bore = "10 mm"', 'bore = "10"', FP1, "bore", "no unit", '"8 mm", "0.8 cm"'),
    ('length = "12 m"\n', "", "line L1", "length", "missing", '"12 m" or "39 ft", from 0.01 m'),
    ('material = "P265GH"\n', "", R1, "material", "missing", "P235GH | P265GH"),
    ('"2 m3"', '"1500 m3"', R1, "volume", "makes a cylinder of 1578 m", "at most 200 m"),
    # lines that are no TOML, as people write them
    ('= "1100 mm"', "= 1100 mm # outside?", R1, "inside_diameter", "a text without quotes",
     'inside_diameter = "1100 mm"'),
    ('alloy = "tin"', "alloy = tin", FP1, "alloy", "a text without quotes", 'alloy = "tin"'),
    ('id = "R1"\n', "id = \u201cR1\u201d\n", "vessel", "id", "curly quotes", 'id = "R1"'),
    ("2026-02-10", "10.02.2026", FP1, "fitted", "no such date", "2026-11-01"),
    ("2026-02-10", "2026-13-10", FP1, "fitted", "no such date", "2026-11-01"),
    ("2026-02-10", "2026-02-30", FP1, "fitted", "no such date", "2026-11-01"),
    ('["R1", "L1"]', "[R1, L1]", F1, "reaches", "ids in quotes", 'reaches = ["R1", "L1"]'),
    ("measured = true", "measured = yes", R1, "measured", "not readable", "true | false"),
    ("0.85", "0,85", R1, "weld_factor", "not readable", "a number without quotes, from 0.4 to 1"),
    ("at = [1.0, 2.0]", "at = 1.0, 2.0", R1, "at", "not readable", "[12.0, 3.5]"),
    # spreads
    ("[spread.R1]", "[spread.R7]", "spread", "R7", "no part of that id", "R1, R2, RV1, site"),
    ("wall_thickness = {", "wall_thicknes = {", "spread", "R1",
     'no field that can be spread; did you mean "wall_thickness"?', "volume"),
    ('"normal"', '"gaussian"', "spread", "R1", "no such distribution", "normal | uniform"),
    (', deviation = "0.2 mm"', "", "spread", "R1", "wall_thickness: deviation is missing",
     "normal needs mean, deviation"),
    ('distribution = "normal", ', "", "spread", "R1", "wall_thickness: distribution is missing",
     "normal | uniform"),
    ('[spread.R1]\n', '[spread.FP1]\nmelting = { distribution = "triangular", low = "225 degC", '
     'high = "235 degC" }\n[spread.R1]\n', "spread", "FP1", "melting: mode is missing",
     "triangular needs low, mode, high"),
    ('[spread.R1]\n', '[spread.FP1]\nopening_share = { distribution = "uniform", low = 0.5, '
     'high = 1.2 }\n[spread.R1]\n', "spread", "FP1", "opening_share: out of range",
     "0.01 to 1"),
    ('[spread.R1]\n', '[spread.FP1]\nopening_share = { distribution = "chance", probability = 0.5 '
     '}\n[spread.R1]\n', "spread", "FP1", "only for whether a plug works",
     "another distribution"),
    ('"0.2 mm"', '"0.2"', "spread", "R1", "wall_thickness: no unit", "mm"),
    ('"0.2 mm"', '"0 mm"', "spread", "R1", "not above zero", "above zero"),
    ('"normal", deviation = "0.2 mm"', '"uniform", low = "9 mm", high = "8 mm"', "spread", "R1",
     "not in rising order", "low below"),
    ('"0.2 mm"', '"0.2 mm", sigma = 3', "spread", "R1", "no parameter of that name", "mean"),
    # what the program offered
    (END, f'{END}offered = "bore"\n', FP1, "offered", "not a list", '["on"]'),
    (END, f'{END}offered = ["bor"]\n', FP1, "offered", 'did you mean "bore"?', "bore, place"),
    (END, f"{END}offered = [1]\n", FP1, "offered", "no field of that name", "bore, place"),
    (END, f'{END}offered = ["place"]\n', FP1, "offered", "place is left out", "on, alloy, bore"),
    (END, f'{END}offered = ["id"]\n', FP1, "offered", "no field of that name", "bore"),
    (END, f'{END}offered = ["offered"]\n', FP1, "offered", "no field of that name", "bore"),
    (END, f'{END}offered = ["on", "on"]\n', FP1, "offered", "named twice", "once"),
    ('"J1"\n', '"J1"\noffered = []\n', "junction J1", "offered", "no field", "id, at"),
    # where an outlet is
    (END, f'{END}outlet_place = "Hal"\n', FP1, "outlet_place", 'did you mean "Hall"?', "Hall"),
    (END, f'{END}outlet_place = "outdoors"\n', FP1, "outlet_place", "neither one",
     '"outdoors, nobody passes" | "people pass"'),
    (END, f'{END}outlet_place = "R1"\n', FP1, "outlet_place", "that is a vessel", "a room: Hall"),
    (END, f"{END}outlet_place = true\n", FP1, "outlet_place", "not a text", "a room: Hall"),
    (END, f'{END}outlet_place = ""\n', FP1, "outlet_place", "neither one", "a room: Hall"),
    # how a line is joined
    ('wall_thickness = "2.9 mm"\n', 'wall_thickness = "2.9 mm"\njoints = "glued"\n', "line L1",
     "joints", "not one of the words allowed", "welded | threaded | flanged, fibre gasket"),
    ('wall_thickness = "2.9 mm"\n', 'wall_thickness = "2.9 mm"\njoints = "soldered"\n', "line L1",
     "joints", 'did you mean "soft-soldered"?', "soft-soldered"),
    ('wall_thickness = "2.9 mm"\n', 'wall_thickness = "2.9 mm"\njoints = ["hose"]\n', "line L1",
     "joints", "not one of the words allowed", "hose"),
    ('heads = "torispherical"\n', 'heads = "torispherical"\njoints = "welded"\n', R1, "joints",
     "no field", "id"),
    # the fires that nobody has stated
    (DATE, f'{DATE}assumed_fire = "standard"\n', "choices", "assumed_fire", "not a table",
     '{ curve = "standard", duration = "30 min" }'),
    (DATE, f'{DATE}assumed_fire = {{ curve = "flux" }}\n', "choices", "assumed_fire",
     "not one of the words", "standard | external | hydrocarbon | slow"),
    (DATE, f'{DATE}assumed_fire = {{ duration = "1 h" }}\n', "choices", "assumed_fire",
     "curve is missing", "standard | external | hydrocarbon | slow"),
    (DATE, f'{DATE}assumed_fire = {{ curve = "slow", duration = 60 }}\n', "choices",
     "assumed_fire", "number without a unit", "0.1 min"),
    (DATE, f'{DATE}assumed_fire = {{ curve = "slow", time = "1 h" }}\n', "choices",
     "assumed_fire", "no field of that name", "curve, duration"),
    (DATE, f'{DATE}beside_flux = "0.5 kW/m2"\n', "choices", "beside_flux", "out of range",
     "1 kW/m2 to 500 kW/m2"),
    (DATE, f"{DATE}beside_flux = 50\n", "choices", "beside_flux", "without a unit", "kW/m2"),
    # what was decided
    ("[[room]]", f"{DO}[[room]]".replace("plug-c", "plug-"), A1, "rule",
     'did you mean "plug-condition"?', "fire-outcome | people"),
    ("[[room]]", f"{DO}[[room]]".replace('"FP1"', '"FP8"'), A1, "part", "no part of that id",
     "FP1, Hall, J1"),
    ("[[room]]", f"{DO}[[room]]".replace('"FP1"', '"A1"'), A1, "part", "that is an action",
     "FP1, Hall, J1"),
    ("[[room]]", f"{DO}[[room]]".replace('"do"', '"later"'), A1, "decision", "not one of",
     "do | accept"),
    ("[[room]]", f"{DO}[[room]]".replace('text = "clean it"\n', ""), A1, "text",
     'missing; decision = "do" needs it', "what is to be done"),
    ("[[room]]", f"{DO}class = 'whole'\nsection = ' '\n[[room]]", A1, "section", "empty", "ids"),
    ("[[room]]", f"{DO}class = 'hole'\n[[room]]", A1, "class", "not one of", "stated | whole"),
    ("[[room]]", f"{DO}due = '2026-12-01'\n[[room]]", A1, "due", "in quotes", "a date"),
    ("[[room]]", f"{DO}evidence = 'photo'\n[[room]]", A1, "evidence", "nothing is done", "done ="),
    ("[[room]]", f"{DO}until = 2027-01-01\n[[room]]", A1, "until", 'not used by decision = "do"',
     'decision = "accept", or'),
    ("[[room]]", f"{ACCEPT}[[room]]".replace("reason", "owner"), A2, "reason", "missing", "why"),
    ("[[room]]", f'{ACCEPT}[[room]]'.replace('"Safety"', '" "'), A2, "by", "empty", "who accepts"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace("until = 2027-06-30\n", ""), A2, "until", "missing",
     "the day on which it lapses"),
    ("[[room]]", f"{ACCEPT}done = 2026-10-01\n[[room]]", A2, "done", "not used by", '"do", or'),
    ("[[room]]", f"{ACCEPT}[[room]]".replace('class = "spot"\n', ""), A2, "accepted",
     "not about a fire", 'class = "stated"'),
    ("[[room]]", f"{ACCEPT}[[room]]".replace('"ruptures"', '"explodes"'), A2, "accepted",
     "not one of the words", "outlasts the fire | passes the limit | ruptures"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace('"ruptures"', '"not converged"'), A2, "accepted",
     "not one of the words", "vents in time"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace("1.1,", "'x',"), A2, "accepted", "in quotes", "0 to"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace("use = 1.1, ", ""), A2, "accepted",
     "use is missing", "use = a number"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace('"2 min"', "2"), A2, "accepted", "without a unit",
     "min"),
    ("[[room]]", f"{ACCEPT}found = 3\n[[room]]", A2, "found", "not a table", "names and numbers"),
    ("[[room]]", f"{ACCEPT}found = {{ places = 'P1' }}\n[[room]]", A2, "found",
     "neither names nor numbers", "places"),
    ("[[room]]", f"{ACCEPT}found = {{ reach_m = nan }}\n[[room]]", A2, "found",
     "neither names nor numbers", "places"),
    ("[[room]]", f"{ACCEPT}[[room]]".replace("rupture_after", "after"), A2, "accepted",
     "no field of that name", "outcome, use, rupture_after"),
    ("[[room]]", ("[[action]]\nid = 'A2'\nrule = 'calculation-failed'\ndecision = 'accept'\n"
     "reason = 'x'\nby = 'x'\nuntil = 2027-06-30\n[[room]]"), A2, "rule", "cannot be accepted",
     'decision = "do"'),
]  # fmt: skip


def test_the_base_text_is_sound():
    assert check(BASE) == (read(BASE), [])
    assert check(BASE + DO + ACCEPT)[1] == []


@pytest.mark.parametrize(
    "case", CASES, ids=lambda c: f"{c[2]}, {c[3]}: {c[4]} ({c[1][:30]!r})".replace("\n", " ")
)
def test_a_mistake_is_told_once_with_its_place(case):
    old, new, part, field, message, valid = case
    assert BASE.count(old) >= 1
    text = BASE.replace(old, new, 1)
    installation, problems = check(text, "yard.toml")
    assert installation is None
    assert len(problems) == 1, [str(p) for p in problems]
    (found,) = problems
    assert (found.file, found.part, found.field) == ("yard.toml", part, field)
    assert message in found.message
    assert valid in found.valid
    assert found.line is not None
    line = text.splitlines()[found.line - 1]
    # A field stands in the line named; where it is left out, the header of its table does.
    assert field in line or line.startswith("[[") or (part == "spread" and "{" in line)
    subject = f"{part}, {field}" if part else field
    assert str(found).startswith(f"yard.toml:{found.line}: {subject}")
    assert len(str(found)) < 1900  # the names of some seventy rules among them


def test_all_mistakes_are_told_at_once_in_the_order_of_the_lines():
    text = BASE
    for old, new in (
        ('"15 degC"', '"15 C"'), ("measured = true", "mesured = true"), ('"tin"', '"tinn"'),
        ('"R1", "L1"', '"R1", "L7"'), ('"3000 m3"', '"3000"'),
    ):  # fmt: skip
        text = text.replace(old, new, 1)
    _, problems = check(text)
    assert [p.part for p in problems] == ["site", R1, FP1, F1, "room Hall"]
    assert [p.line for p in problems] == sorted(p.line for p in problems)


def test_a_mistake_in_a_list_names_the_line_of_the_item():
    text = BASE.replace('["R1", "L1"]', '[\n  "R1", # first\n  "L9",\n]')
    (found,) = check(text)[1]
    assert text.splitlines()[found.line - 1].strip() == '"L9",'
    assert found.value == '"L9"'


@pytest.mark.parametrize(
    ("old", "new", "value"),
    [
        ("measured = true", "mesured = true", "true"),
        ('closed = ["V1"]', 'closed = ["V3"]', '"V3"'),
        ('= "1100 mm"', "= 1100 mm # outside?", "1100 mm"),
        ("[[room]]", "[[hall]]", "[[...]]"),
        ("[[room]]", "[room]", "{...}"),
        ('reaches = ["R1", "L1"]', 'reaches = ["L1"]', '"FP1"'),
    ],
)
def test_the_message_repeats_the_value_as_it_was_written(old, new, value):
    (found,) = check(BASE.replace(old, new, 1))[1]
    assert found.value == value
    assert f" = {value}: " in str(found)


def test_a_table_given_twice_is_named():
    (found,) = check(BASE.replace("[site]", "[site]\n[site]", 1))[1]
    assert found.message == "not valid TOML: the table [site] is given twice"


def test_no_example_lies_out_of_the_range_of_its_field():
    for kind, one in all_fields():
        if one.is_quantity:
            for text in re.findall(r'"([^"]+)"', one.example()):
                found = quantities.parse(text, one.kind, ambient_pressure=0.0)
                assert one.low is None or found >= one.low, (kind, one.key, text)
                assert one.high is None or found <= one.high, (kind, one.key, text)


# The file as a whole


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (BASE.replace('id = "R1"\n', 'id = "R1\n'), 23),
        (BASE.replace('id = "R1"\n', "id = R1\n"), 23),
        (BASE.replace('id = "R1"\n', 'id = "R1"\nid = "R3"\n'), 24),
        (BASE.replace('id = "R1"\n', 'id "R1"\n'), 23),
        (BASE.replace('id = "R1"\n', 'id = "R1" nonsense\n'), 23),
        (BASE.replace("reaches = [", "reaches = "), 96),
        (BASE.replace("[[vessel]]", "[[vessel]", 1), 22),
        (BASE.replace("2026-02-10", "2026-02-31"), 79),
    ],
)
def test_a_mistake_of_grammar_names_its_line(text, line):
    with pytest.raises(SystemFileErrors) as caught:
        read(text, "yard.toml")
    (found,) = caught.value.problems
    assert "not valid TOML" in found.message
    assert found.line == line
    assert found.file == "yard.toml"


def test_every_truncation_is_an_error_or_a_shorter_sound_file():
    # property: cut at every 7th byte
    sound = 0
    for end in range(0, len(BASE), 7):
        installation, problems = check(BASE[:end].encode())
        assert (installation is None) == bool(problems)
        sound += installation is not None
        for found in problems:
            assert found.line is not None
            assert found.message
    assert sound < len(BASE) / 7 / 2


def test_a_file_cut_in_the_middle_of_a_value_ends_too_early():
    text = BASE[: BASE.index('"R1", "L1"') + 5]
    (found,) = check(text)[1]
    assert "not valid TOML" in found.message
    assert found.line == 96


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (bytes(range(256)) * 20, "not a text file (byte 1)"),
        (b"format = 1\n\x89PNG\r\n", "not a text file (byte 12)"),
        (b'format = 1\ntitle = "\x00"\n', "not a text file (byte 21)"),
        (BASE.encode("utf-16"), "saved as UTF-16"),
        ('format = 1\ntitle = "Gödel"'.encode("latin-1"), "not a text file"),
    ],
)
def test_a_file_that_is_no_text_is_refused(data, message):
    (found,) = check(data)[1]
    assert message in found.message
    assert "UTF-8" in found.valid


def test_a_zero_byte_in_a_text_is_refused():
    (found,) = check('format = 1\ntitle = "\0"\n')[1]
    assert "not a text file" in found.message


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n", 'title = "x"\n'])
def test_a_file_without_format_is_refused(text):
    (found,) = check(text)[1]
    assert found.message == "the format is not said"
    assert found.valid == f"format = {FORMAT}"
    assert found.line == 1


@pytest.mark.parametrize("value", ['"1"', "true", "1.0", "0", "-1"])
def test_a_wrong_format_is_refused(value):
    with pytest.raises(SystemFileErrors) as caught:
        read(BASE.replace("format = 2", f"format = {value}"))
    assert not isinstance(caught.value, NewerFormat)
    assert caught.value.problems[0].valid == f"format = {FORMAT}"


def test_a_wrong_action_withholds_no_answer():
    found = examine(BASE + DO.replace('"FP1"', '"FP9"') + ACCEPT)
    assert found.sound is not None
    assert [action.id for action in found.sound.actions] == ["A2"]
    assert found.withheld == {"A1"}
    assert len(found.sound.vessels) == 2


def test_a_room_may_not_be_called_like_the_place_that_is_safe():
    text = BASE.replace('id = "Hall"', 'id = "Outdoors, nobody passes"')
    assert check(text)[1] == []
    (found,) = check(text.replace(END, f'{END}outlet_place = "outdoors, nobody passes"\n'))[1]
    assert found.message == "a place, and also the id of room Outdoors, nobody passes"
    assert found.valid == "another id for that part"


def test_a_newer_format_is_an_error_of_its_own():
    text = (
        "# made later\n"
        + BASE.replace("format = 2", f"format = {FORMAT + 1}")
        + "\n[news]\nx = 1\n"
    )
    with pytest.raises(NewerFormat) as caught:
        read(text)
    (found,) = caught.value.problems
    assert "newer format" in found.message
    assert found.line == 2


def test_a_large_file_is_refused_before_it_is_read(tmp_path, monkeypatch):
    path = tmp_path / "large.toml"
    with path.open("wb") as file:
        file.seek(50_000_000)
        file.write(b"\n")
    monkeypatch.setattr(reading, "examine", lambda *_: pytest.fail("was parsed"))
    with pytest.raises(SystemFileErrors) as caught:
        reading.load_bytes(path)
    assert "larger than 2 MB" in str(caught.value)
    assert str(path) in str(caught.value)


def test_a_large_text_is_refused():
    for text in ("#" * (MAX_BYTES + 1), b"#" * (MAX_BYTES + 1), "#ü" * (MAX_BYTES // 2)):
        (found,) = check(text)[1]
        assert "larger than 2 MB" in found.message


def test_brackets_nested_without_end_are_refused():
    (found,) = check("format = 1\nx = " + "[" * 100_000)[1]
    assert "nested too deep" in found.message


def test_a_number_of_endless_digits_is_refused():
    (found,) = check("format = 1\nx = " + "9" * 10_000)[1]
    assert "not valid TOML" in found.message


def test_a_file_that_is_not_there_is_an_error_of_the_system(tmp_path):
    with pytest.raises(FileNotFoundError):
        reading.load_bytes(tmp_path / "none.toml")


# What stays usable beside a mistake

APART = (
    BASE
    + """
[[vessel]]
id = "R3"
inside_diameter = "500 mm"
cylinder_length = "1 m"
wall_thickness = "6 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "10 bar(g)"

[[fire]]
id = "F2"
curve = "standard"
reaches = ["R3"]

[[fire]]
id = "F3"
curve = "standard"
reaches = ["R1", "R3"]
"""
)


def test_a_mistake_withholds_what_is_joined_to_it_and_nothing_else():
    found = examine(APART.replace('alloy = "tin"', 'alloy = "tinn"'))
    assert found.installation is None
    assert found.withheld == {"R1", "L1", "C1", "FP1", "RV1", "V1", "V2", "V3", "F1", "F3"}
    assert [v.id for v in found.sound.vessels] == ["R2", "R3"]
    assert [f.id for f in found.sound.fires] == ["F2"]
    assert found.sound.lines == ()


def test_a_mistake_in_a_fire_withholds_only_the_fire():
    found = examine(APART.replace('["R3"]', '["R3"]\nduration = "1"'))
    assert found.withheld == {"F2"}
    assert [v.id for v in found.sound.vessels] == ["R1", "R2", "R3"]


def test_a_wrong_site_withholds_everything():
    found = examine(APART.replace('"1013 mbar(a)"', '"1013 mbar"'))
    assert found.sound is None
    assert len(found.problems) == 1
