"""A small valid system file for the tests of this folder (invented)."""

SMALL = """# a first vessel
format = 1
title = "Test bench"

[[vessel]]
id = "R1"
inside_diameter = "600 mm"
volume = "500 L"
wall_thickness = "5 mm"  # measured twice
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
at = [0.0, 0.0]

[[vessel]]
id = "R2"
inside_diameter = "600 mm"
volume = "500 L"
wall_thickness = "5 mm"
material = "P265GH"
design_pressure = "11 bar(g)"
pressure = "8 bar(g)"
at = [4.0, 0.0]

[[line]]
id = "L1"
from = "R1"
to = "R2"
length = "4 m"
inside_diameter = "41.9 mm"
wall_thickness = "2.6 mm"

[[valve]]
id = "V1"
on = "L1"
end = "from"

[[plug]]
id = "FP1"
on = "R1"
alloy = "tin"
bore = "12 mm"
condition = "clean"
fitted = 2026-10-01

[[relief_valve]]
id = "RV1"
on = "R1"
set_pressure = "11 bar(g)"
area = "78.5 mm2"

[[fire]]
id = "F1"
curve = "hydrocarbon"
reaches = ["R1", "R2"]
"""
