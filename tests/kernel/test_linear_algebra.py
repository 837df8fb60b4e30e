"""The linear equations of a network: eliminated space by space, as a dense solver solves them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from airrisk.fire.case import FireCase
from airrisk.fire.elimination import elimination, own_devices
from airrisk.fire.run import Workspace, column_count, new_state
from airrisk.kernel import layout as at
from airrisk.kernel.batch_entries import begin
from airrisk.kernel.jacobian import jacobian
from airrisk.kernel.linear_algebra import neighbour_of, newton_factors, newton_solve, pool_in
from airrisk.kernel.places import state_count
from airrisk.kernel.records import Case
from airrisk.kernel.rhs import rates, turn_links
from tests.fire.systems import case_of, fire, line, plug, random_case, relief, vessel


def net(*joints: tuple[int, int], wet: tuple[int, ...] = (), **other: Any) -> FireCase:
    """Vessels at different pressures joined as given, two plugs and a relief valve on the first.

    Those that are ``wet`` hold three litres of water.
    """
    count = 1 + max(max(pair) for pair in joints)
    vessels = [
        vessel(
            f"R{k}",
            volume=0.3 + 0.4 * k,
            pressure=(8 + k) * 1e5,
            condensate=0.003 if k in wet else 0.0,
        )
        for k in range(count)
    ]
    lines = [line(f"L{k}", f"R{a}", f"R{b}", **other) for k, (a, b) in enumerate(joints)]
    devices = [plug("FP1", "R0"), plug("FP2", "R0", bore=0.02), relief(on="R0"), plug("FP3", "R1")]
    return case_of(*vessels, *lines, *devices, fire([one.id for one in vessels], share=0.5))


RING = ((0, 1), (1, 2), (2, 3), (3, 0))
GRID = tuple(
    (3 * row + column, 3 * row + column + step)
    for row in range(3)
    for column in range(3)
    for step in (1, 3)
    if (step == 1 and column < 2) or (step == 3 and row < 2)
)
NETS = {
    "chain": net((0, 1), (1, 2), (2, 3)),
    "chain of long lines": net((0, 1), (1, 2), length=200.0),
    "ring": net(*RING),
    "grid": net(*GRID),
    "two lines between two vessels": net((0, 1), (0, 1), (1, 2)),
    "wet ring": net(*RING, wet=(0, 1, 2)),
    "wet grid": net(*GRID, wet=(0, 4, 5)),
    "star": net((0, 1), (0, 2), (0, 3), (0, 4)),
}


class Begun:
    """A case at its start, moved a little, with its rates and its Jacobian."""

    def __init__(self, case: FireCase) -> None:
        self.case = case
        self.use = Workspace()
        self.use.fit(case)
        self.n = state_count(case.integers)
        self.given = Case(case.floats, case.integers)
        state = new_state(case)
        self.mode, self.y = state.modes, state.numbers
        begin(self.given, state, self.use.work.air, self.use.tables.air)
        spaces = len(case.spaces)
        self.y[2 * spaces : 3 * spaces] += 120.0
        self.y[3 * spaces : 4 * spaces] += 40.0  # at no difference convection has a corner
        for w in range(len(case.pools)):
            row = self.n - at.POOL_STATES * (len(case.pools) - w)
            self.y[row : row + at.POOL_STATES] = (2.0, 460.0, 0.6)
        if case.plugs:
            self.mode[1] = 1  # a plug is open
        self.rates(self.y)
        turn_links(self.given, self.mode, self.use.work.air)

    def rates(self, y: np.ndarray) -> np.ndarray:
        found = np.zeros(column_count(self.case))
        rates(60.0, y, found, self.given, self.mode, self.use.work.air, self.use.tables)
        return found[: self.n]

    def jacobian(self) -> np.ndarray:
        """The compact Jacobian of the kernel."""
        found = np.zeros(column_count(self.case))
        found[: self.n] = self.rates(self.y)
        work = self.use.work
        jacobian(
            60.0, self.y, found, work.jacobian, self.n, work.vectors[2], work.vectors[4],
            self.given, self.mode, work.air, self.use.tables,
        )  # fmt: skip
        return work.jacobian

    def whole(self, compact: np.ndarray) -> np.ndarray:
        """The same with one row and column for each number of the state."""
        numbers, spaces = self.case.integers, len(self.case.spaces)
        whole = np.zeros((self.n, self.n))
        starts = numbers[numbers[at.I_I_OWN] :][: spaces + 1]
        listed = numbers[numbers[at.I_I_OWN] + spaces + 1 :]
        for i in range(spaces):
            own = [4 * spaces + int(k) for k in listed[starts[i] : starts[i + 1]]]
            places = [i, spaces + i, 2 * spaces + i, 3 * spaces + i, *own]
            whole[np.ix_(places, places)] = compact[places, : len(places)]
            w = pool_in(i, numbers)
            for number in range(0 if w < 0 else numbers[numbers[at.I_I_POOL] + w * at.WI_SIZE + 2]):
                beside = int(numbers[neighbour_of(w, number, numbers)])
                column = len(places) + 2 * number
                whole[np.ix_(places, [beside, spaces + beside])] = compact[places, column:][:, :2]
        for pair, block in self.between().items():
            rows, columns = ([k, spaces + k] for k in pair)
            whole[np.ix_(rows, columns)] = compact[self.n + block].reshape(-1)[:4].reshape(2, 2)
        return whole

    def between(self) -> dict[tuple[int, int], int]:
        """Blocks of the spaces that a link joins."""
        ends = tuple((one.first, one.second) for one in self.case.links)
        joined = {pair for a, b in ends for pair in ((a, b), (b, a)) if min(pair) >= 0}
        return {
            pair: block
            for pair, block in elimination(len(self.case.spaces), ends).blocks.items()
            if pair in joined
        }


@pytest.mark.parametrize("case", NETS.values(), ids=NETS)
@pytest.mark.parametrize("c", [1e-4, 0.1, 30.0])
def test_a_network_is_solved_as_by_a_dense_solver(case: FireCase, c: float) -> None:
    # independent: numpy on the whole matrix
    begun = Begun(case)
    compact = begun.jacobian()
    matrix = np.eye(begun.n) - c * begun.whole(compact)
    wanted = np.random.default_rng(5).normal(size=begun.n)
    # mass, energy, temperatures and shares are of very different size
    wanted *= np.maximum(np.abs(begun.y[: begun.n]), 0.1)
    found = matrix @ wanted
    factors, pivot = begun.use.work.factors, begun.use.work.pivot
    assert newton_factors(factors, compact, c, begun.n, pivot, case.integers) == 1
    newton_solve(factors, begun.n, pivot, found, case.integers)
    dense = np.linalg.solve(matrix, matrix @ wanted)
    # as good as the dense solver, whose errors grow with the stiffness
    scale = np.maximum(np.abs(wanted), 1e-9)
    assert np.max(np.abs(found - wanted) / scale) < max(
        1e-9, 100.0 * np.max(np.abs(dense - wanted) / scale)
    )


@pytest.mark.parametrize("name", ["ring", "two lines between two vessels", "wet ring"])
def test_the_jacobian_is_how_the_rates_change(name: str) -> None:
    # independent: central differences of the rates, column by column
    begun = Begun(NETS[name])
    sizes = np.maximum(np.abs(begun.y[: begun.n]), 1e-3)
    found = begun.whole(begun.jacobian()) * sizes
    changes = np.empty_like(found)
    for column, size in enumerate(sizes):
        up, down = begun.y.copy(), begun.y.copy()
        up[column] += 1e-5 * size
        down[column] -= 1e-5 * size
        changes[:, column] = (begun.rates(up) - begun.rates(down)) / 2e-5
    # links are taken over one hundredth of their difference of pressure, where they are bent
    largest = np.max(np.abs(changes), axis=1, keepdims=True)
    assert np.all(np.abs(found - changes) <= 5e-3 * largest + 1e-9)


def test_one_space_keeps_the_dense_solver() -> None:
    begun = Begun(case_of(vessel(), plug(), relief(), fire(share=0.5)))
    compact = begun.jacobian()
    matrix = np.eye(begun.n) - 0.5 * compact[: begun.n]
    rest = np.arange(1.0, begun.n + 1.0)
    found = rest.copy()
    factors, pivot = begun.use.work.factors, begun.use.work.pivot
    assert newton_factors(factors, compact, 0.5, begun.n, pivot, begun.case.integers) == 1
    newton_solve(factors, begun.n, pivot, found, begun.case.integers)
    assert np.allclose(matrix @ found, rest, rtol=1e-9, atol=1e-9)


def test_a_singular_matrix_is_said_to_be_one() -> None:
    begun = Begun(NETS["ring"])
    compact = begun.jacobian()
    compact[2 * len(begun.case.spaces)] = 0.0
    compact[2 * len(begun.case.spaces), 2] = 2.0  # 1 - c J is nothing for c = 0.5
    found = newton_factors(
        begun.use.work.factors, compact, 0.5, begun.n, begun.use.work.pivot, begun.case.integers
    )
    assert found == 0


def test_chains_and_trees_join_no_further_spaces() -> None:
    # property: from the leaves inwards nothing is left to join
    chain = elimination(80, tuple((k, k + 1) for k in range(79)))
    assert chain.count == 80 + 2 * 79
    star = elimination(9, tuple((0, k) for k in range(1, 9)))
    assert star.count == 9 + 2 * 8
    assert star.steps[0][0] != 0


def test_a_large_mesh_stays_sparse() -> None:
    # a dense matrix would hold 80 x 80 blocks
    joints = tuple(
        (10 * row + column, 10 * row + column + step)
        for row in range(8)
        for column in range(10)
        for step in (1, 10)
        if (step == 1 and column < 9) or (step == 10 and row < 7)
    )
    assert elimination(80, joints).count < 1200
    most = max(len(left) for _, left in elimination(80, joints).steps)
    assert most <= 12


def test_links_to_the_atmosphere_and_spaces_apart_are_allowed() -> None:
    found = elimination(3, ((0, -1), (1, 2)))
    assert found.count == 5
    assert {space for space, _ in found.steps} == {0, 1, 2}


def test_every_device_stands_in_the_list_of_its_space() -> None:
    listed = own_devices([1, 0, 1], 3).tolist()
    assert listed == [0, 1, 3, 3, 1, 0, 2]


@pytest.mark.parametrize("seed", range(12))
def test_random_systems_are_solved_too(seed: int) -> None:
    case = random_case(np.random.default_rng(seed))
    begun = Begun(case)
    compact = begun.jacobian()
    matrix = np.eye(begun.n) - 0.2 * begun.whole(compact)
    found = matrix @ begun.y[: begun.n]
    factors, pivot = begun.use.work.factors, begun.use.work.pivot
    assert newton_factors(factors, compact, 0.2, begun.n, pivot, case.integers) == 1
    newton_solve(factors, begun.n, pivot, found, case.integers)
    assert np.allclose(found, begun.y[: begun.n], rtol=1e-7, atol=1e-9)
