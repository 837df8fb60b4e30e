"""Where each number of a fire case stands in the flat arrays of the kernel.

A case is one array of floats and one of integers, so that one compiled signature serves every
installation and a variant is a copy with a few entries overwritten. ``F_*`` index the floats,
``I_*`` the integers. Blocks of equal records follow the header; their offsets and counts stand
in the integer header. The state vector holds, for N spaces, M plugs and R relief valves:

    mass [kg] x N, internal energy of the air [J] x N, hot wall temperature [K] x N,
    cold wall temperature [K] x N, plug enthalpy above its start [J] x M,
    temperature of the boss under each plug [K] x M, temperature of each further patch of a
    wall [K], lift share x R,
    for each pool of condensate: liquid [kg], its temperature [K], share of vapour in its gas

The wall of a space is cut into patches. The hot wall is the one in the flames and the cold wall
the one at ambient, each there or not; all others are records of their own. A plug names its
patch: ``AMBIENT_PATCH``, ``FLAMES_PATCH``, or two and the number of the record.

Behind the state are carried what has passed the section (``SECTION_FLOWS``) and the creep damage
of every space.

The matrices of the linear equations have one row for each number of the state and one column
for each number of the same space: mass, energy, hot and cold wall, its plugs, their bosses, its
further patches, its relief valves and its pool. The rows of a space with a pool go on with two
columns for the mass and energy of each neighbour. Behind them stands one row for each block
between the air of two spaces, or of a space with itself: mass by mass, mass by energy, energy by
mass, energy by energy.
"""

from __future__ import annotations

# float header
F_AMBIENT_T = 0
F_AMBIENT_P = 1
F_FIRE_END = 2  # s
F_COOL_DOWN = 3  # s, longest time after the fire
F_FIRE_VALUE = 4  # flux [W/m2] or flame temperature [K]
F_LOSS = 5  # W/m2/K, zone out of the fire to ambient, radiation included
F_CONVECTION_FACTOR = 6
F_INNER_EMISSIVITY = 7
F_LIMIT_USE = 8  # strength use that counts as the limit
F_RTOL = 9
F_FIRST_STEP = 10  # s
F_LARGEST_STEP = 11  # s
F_DEAD_RELIEF = 12  # K, a relief valve in the fire is not credited above
F_FLAME_SHIFT = 13  # K, flames over the curve, not for a flux
F_FLAME_FACTOR = 14  # on the absolute temperature of the flames, not for a flux
F_HEAD = 16

# integer header
I_SPACES = 0
I_PLUGS = 1
I_RELIEFS = 2
I_DISCS = 3
I_LINKS = 4
I_FEEDS = 5
I_CURVE = 6  # fire curve kind
I_CURVE_POINTS = 7
I_ABSORBED = 8
I_INNER_RADIATION = 9
I_STOP_WHEN_EMPTY = 10
I_BUDGET = 11  # evaluations of the right-hand side
I_F_SPACE = 12  # float offsets of the blocks
I_F_PLUG = 13
I_F_RELIEF = 14
I_F_DISC = 15
I_F_LINK = 16
I_F_FEED = 17
I_F_CURVE = 18
I_F_STRENGTH = 19
I_I_SPACE = 20  # integer offsets of the blocks
I_I_PLUG = 21
I_I_RELIEF = 22
I_I_DISC = 23
I_I_LINK = 24
I_I_FEED = 25
I_I_OWN = 26  # plugs and relief valves by space: where those of each begin, and their list
I_I_ELIMINATION = 27  # steps of the elimination, see ``elimination``
I_I_STEPS = 28  # where each of them begins, counted from the first
I_BLOCKS = 29  # number of blocks between the spaces and of each with itself
I_POOLS = 30
I_F_POOL = 31
I_I_POOL = 32
I_I_BESIDE = 33  # neighbours of the spaces with a pool, see WI_FIRST
I_PATCHES = 34  # of all walls beyond the hot and the cold one
I_F_PATCH = 35
I_I_PATCH = 36
I_HEAD = 40

# gas space, floats
S_VOLUME = 0
S_HOT_AREA = 1
S_COLD_AREA = 2
S_HOT_MASS = 3
S_COLD_MASS = 4
S_EMISSIVITY = 5
S_CONVECTION = 6  # W/m2/K, flames to wall
S_BURST_FACTOR = 7  # gauge burst pressure = factor x strength
S_PRESSURE = 8  # start
S_TEMPERATURE = 9  # start
S_WALL_TEMPERATURE = 10  # start
S_BORE_AREA = 11  # full bore, for a line that ruptures
S_CREEP = 12  # polynomial of the rupture life, four numbers, and its constant; 0: no data
S_HOT_RESISTANCE = 17  # m2 K/W, insulation of the wall in the flames; 0: bare
S_COLD_RESISTANCE = 18  # m2 K/W, of the wall out of the fire
S_SIZE = 19

# gas space, integers
SI_METAL = 0  # specific heat law
SI_STRENGTH = 1  # float offset of the strength nodes, relative to the block
SI_STRENGTH_POINTS = 2  # 0: no wall that could rupture
SI_KIND = 3
SI_PATCH = 4  # first of its further patches
SI_PATCHES = 5
SI_SIZE = 6
VESSEL = 1
LINE = 0
JUNCTION = 2

# plug, floats
P_AREA = 0  # bore
P_COEFFICIENT = 1
P_HEAT_CAPACITY = 2  # J/K, body and core
P_LATENT = 3  # J, whole core
P_SOLIDUS = 4
P_LIQUIDUS = 5
P_CONTACT = 6  # W/K to its wall zone
P_FLAME_AREA = 7
P_EMISSIVITY = 8
P_AIR_AREA = 9
P_FOULING = 10  # m2 K/W
P_PIPE_DIAMETER = 11  # 0: open outlet
P_PIPE_LENGTH = 12
P_BOSS_CAPACITY = 13  # J/K; 0: the body is screwed straight into the wall
P_BOSS_CONTACT = 14  # W/K, wall to boss; P_CONTACT is then boss to body
P_BOSS_AREA = 15  # m2, of the boss outside the part
P_START = 16  # K
P_SIZE = 17

# plug, integers
PI_SPACE = 0
PI_PATCH = 1  # that it is screwed into
PI_IN_FLAMES = 2  # its head is struck by what strikes the patch
PI_FOLLOWS_WALL = 3
PI_ENABLED = 4
PI_SIZE = 5

# patch of a wall, floats
Q_AREA = 0
Q_MASS = 1
Q_EMISSIVITY = 2
Q_CONVECTION = 3  # W/m2/K, flames to wall, or wall to ambient
Q_FLUX = 4  # W/m2, incident radiation
Q_BEGINS = 5  # s, from when on it shines
Q_ENDS = 6  # s
Q_WETTED = 7  # m2, of its area over the condensate
Q_RESISTANCE = 8  # m2 K/W, its insulation; 0: bare
Q_SIZE = 9

# patch of a wall, integers
QI_EXPOSURE = 0
QI_SIZE = 1
IN_AMBIENT = 0
IN_FLAMES = 1
IN_RADIATION = 2
AMBIENT_PATCH = 0  # the cold wall
FLAMES_PATCH = 1  # the hot wall
FIRST_PATCH = 2

# relief valve, floats and integers
R_SET = 0  # gauge
R_AREA = 1
R_COEFFICIENT = 2
R_SIZE = 3
RI_SPACE = 0
RI_IN_FIRE = 1
RI_ENABLED = 2
RI_SIZE = 3

# bursting disc
D_BURST = 0  # gauge
D_AREA = 1
D_COEFFICIENT = 2
D_SIZE = 3
DI_SPACE = 0
DI_ENABLED = 1
DI_SIZE = 2

# pool of condensate
W_MASS = 0  # kg, liquid and vapour at the start
W_TEMPERATURE = 1  # K, start
W_WETTED = 2  # m2, outer surface over the liquid as far as it is in the fire
W_SURFACE = 3  # m2, of the liquid
W_SIZE = 4
WI_SPACE = 0
WI_FIRST = 1  # of its space's neighbours in their list, counted from the list's beginning
WI_COUNT = 2
WI_COLUMN = 3  # of the matrix rows of its space, where the columns of the neighbours begin
WI_SIZE = 4
BESIDE_SIZE = 2  # a neighbour, and the block by which the pool's space follows it
POOL_STATES = 3

# cumulated flows of the section behind the state: mass out, enthalpy with it, mass in,
# enthalpy with it, heat through walls, vapour out of the spaces of the pools
SECTION_FLOWS = 6

# link between two spaces
L_LENGTH = 0
L_DIAMETER = 1
L_LOSS = 2  # sum of K besides wall friction, entry and outlet
L_SIZE = 3
LI_FROM = 0
LI_TO = 1  # -1: atmosphere
LI_FORWARD = 2
LI_BACKWARD = 3
LI_THERE = 4  # block by which the first end follows the second
LI_BACK = 5  # block by which the second end follows the first
LI_SIZE = 6

# compressor feed
C_FLOW = 0  # kg/s
C_ENTHALPY = 1  # J/kg on the scale of the air table
C_CUT_IN = 2  # Pa absolute
C_CUT_OUT = 3
C_SIZE = 4
CI_SPACE = 0
CI_SIZE = 1

# fire curves, the first as in heat_kernel
CURVE_STANDARD = 0
CURVE_EXTERNAL = 1
CURVE_HYDROCARBON = 2
CURVE_SLOW = 3
CURVE_TEMPERATURE = 4
CURVE_FLUX = 5
CURVE_TABLE = 6

# events
E_PLUG = 1
E_LIFT = 2
E_RESEAT = 3
E_DISC = 4
E_RUPTURE = 5
E_LINE_RUPTURE = 6
E_EMPTY = 7
E_FIRE_END = 8
E_FEED_ON = 9
E_FEED_OFF = 10
E_RELIEF_DEAD = 11
E_FEED_HOLDS = 12

# run status
RUNNING = 0
ENDED = 1  # fire and cool-down over, or emptied where that was enough
RUPTURED = 2
BUDGET_SPENT = -1
STEP_TOO_SMALL = -2
OUT_OF_RANGE = -3  # the air left the table
BUFFER_FULL = 10
