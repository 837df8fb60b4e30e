"""What belongs together in a fire run, under one name each.

The state of a run: of each gas space the mass and the internal energy of its air and the
temperatures of its walls; of each plug the heat taken up; of its boss and of each further patch
of a wall the temperature; of each relief valve the lift; of each pool of condensate the liquid,
its temperature and the share of vapour (``State.numbers``, in the order that ``layout`` says).
Beside them stand the discrete states, which only events change: what burns, what is open, what
was lost, which way a line flows (``State.modes``, see ``events``).

A rate is the change of one of these numbers in a second. Heat from the fire warms walls and
plugs, walls warm the air, the air flows from the higher to the lower pressure and takes its
enthalpy along; relief valves follow their pressure; water boils. ``rhs.rates`` finds all of them
from the numbers, the discrete states and the case, and from nothing else: what it keeps in
``Work.air`` only spares it searching.
"""

from __future__ import annotations

from collections import namedtuple

# the installation in its fire, see ``layout``
Case = namedtuple("Case", ("floats", "integers"))
# of air, and of its flow through a throat
Tables = namedtuple("Tables", ("air", "flow"))
# the moments of a run: its discrete states and numbers, its clock, the worst of every space
State = namedtuple("State", ("modes", "numbers", "clock", "worst"))
# scratch: by gas space; vectors as long as the state; the Jacobian, the factors of the equations
# and their exchanged rows; the backward differences of the state
Work = namedtuple("Work", ("air", "vectors", "jacobian", "factors", "pivot", "differences"))
# what a stored run leaves: the points of its curves, and its events
Output = namedtuple("Output", ("times", "numbers", "modes", "events"))
