"""Air as one ideal gas: the constants of every closed formula of energy, blast, pieces and jets.

The runs and the screening use real air, with the gas constant of its equation (``air``).
"""

from __future__ import annotations

EXPONENT = 1.4  # cp/cv
GAS_CONSTANT = 287.05  # J/kg/K, dry air
