"""Where each number of the moments of a run stands, and the rows of its scratch vectors."""

from __future__ import annotations

# clock of a run, by which it can be continued; ``State.clock``
C_TIME = 0
C_STEP = 1  # s, of the next step
C_EVALUATIONS = 2
C_STEPS = 3
C_ROWS = 4
C_EVENTS = 5
C_REJECTED = 6
C_FIRST_VENT = 7  # s, first plug or disc; NaN before
C_STATUS = 8
C_ORDER = 9
C_EQUAL = 10  # steps since the last change of step or order
C_FACTORED = 11  # step over leading coefficient for which the factors hold; 0: none
C_RATE = 12  # convergence rate of the last Newton iteration
C_EAGER = 13  # how many steps get a new Jacobian once an old one has failed
C_AHEAD = 14  # how many of them are still to come
# of the last step
C_BEFORE = 15  # s, when it began
C_AT_STOP = 16  # 1: it ended at a time that no step may pass
C_ERROR = 17  # over what is allowed
C_ITERATIONS = 18
C_HEAD = 19  # behind them for each plug, then each disc, when it opened, s; 0: it has not

# the worst of each space; ``State.worst[space, ...]``
K_PEAK_USE = 0
K_PEAK_USE_TIME = 1
K_PEAK_PRESSURE = 2
K_END_USE = 3
K_LAST_GAS = 4
K_EMPTY_TIME = 5
K_RUPTURE_TIME = 6
K_LIMIT_TIME = 7  # s, strength use first at the limit
K_DAMAGE = 8  # creep
K_COLUMNS = 9

# scratch as long as the state; ``Work.vectors[...]``
V_RATES = 0
V_NEW = 1  # state at the end of a step
V_BETWEEN = 2  # state inside it
V_CHANGE = 3  # by which the end of a step differs from its prediction
V_REST = 4  # what the iteration leaves open
V_SCALE = 5  # what an error is measured against
V_GONE = 6  # by which the state goes on by itself, over the leading coefficient
V_RESCALING = 7  # 7 to 13, and 14 to 20: two small matrices
V_ROWS = 21
