"""The problems of fairing that benches/figures.rs wrote, solved by others: quadratic programs by piqp, OSQP and DAQP, and
the least sum of shortfalls of what contradicts itself by HiGHS. Only the solving is timed, not what goes before.
"""

import json
import time
from pathlib import Path

import daqp
import numpy as np
import osqp
import piqp
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, eye, hstack, triu, vstack

# DAQP keeps a dense matrix.
MOST_DENSE = 32
# How far a peer's table may lie from ours, degrees.
ALLOWED_DEG = 1e-3


class Problem:
    """Minimise ½δᵀHδ + gᵀδ with low ≤ Aδ ≤ high; the first rows of A are those of the identity."""

    def __init__(self, path):
        written = json.loads(Path(path).read_text())
        problem, self.ours = written["problem"], np.array(written["ours"])
        self.cells = problem["cells"]
        row, column, value = zip(*problem["quadratic"])
        upper = coo_matrix((value, (row, column)), shape=(self.cells, self.cells)).tocsc()
        self.upper, self.whole = upper, (upper + triu(upper, 1).T).tocsc()
        self.linear = np.array(problem["linear"])
        limits = problem["limits"]
        entries = [(at, cell, weight) for at, limit in enumerate(limits) for cell, weight in limit["entries"]]
        row, column, value = zip(*entries)
        self.limits = coo_matrix((value, (row, column)), shape=(len(limits), self.cells)).tocsc()
        self.low = np.array([limit["low"] for limit in limits])
        self.high = np.array([limit["high"] for limit in limits])


def by_piqp(problem):
    n = problem.cells
    solver = piqp.SparseSolver()
    bounds = problem.low[:n], problem.high[:n]
    solver.setup(problem.whole, problem.linear, None, None, problem.limits[n:], problem.low[n:], problem.high[n:], *bounds)

    def solve():
        assert solver.solve() == piqp.PIQP_SOLVED
        return solver.result.x

    return solve


def by_osqp(problem):
    solver = osqp.OSQP()
    settings = dict(eps_abs=1e-8, eps_rel=1e-8, max_iter=20_000, warm_starting=False, verbose=False)
    solver.setup(problem.upper, problem.linear, problem.limits, problem.low, problem.high, **settings)
    return lambda: solver.solve().x


def by_daqp(problem):
    n = problem.cells
    whole, others = problem.whole.toarray(), np.ascontiguousarray(problem.limits[n:].toarray())
    sense = np.zeros(len(problem.low), dtype=np.intc)

    def solve():
        x, _, flag, _ = daqp.solve(whole, problem.linear, others, problem.high, problem.low, sense)
        assert flag == 1
        return x

    return solve


def least_sum(limits, low, high):
    """The least sum by which limits must be exceeded, degrees, and the price of each."""
    rows, cells = limits.shape
    give = eye(rows)
    matrix = vstack([hstack([limits, -give]), hstack([-limits, -give])]).tocsc()
    price = np.concatenate([np.zeros(cells), np.ones(rows)])
    free = [(None, None)] * cells + [(0.0, None)] * rows
    found = linprog(price, A_ub=matrix, b_ub=np.concatenate([high, -low]), bounds=free, method="highs")
    assert found.status == 0
    upper, lower = np.split(found.ineqlin.marginals, 2)
    return found.fun, np.abs(upper - lower)


def by_highs(problem):
    return lambda: least_sum(problem.limits, problem.low, problem.high)[0]


def least_set_by_highs(problem):
    """Limits of which none is to spare: those with a price, less all that can be left out, one after the other."""
    limits = problem.limits.tocsr()

    def short_deg(rows):
        part = limits[rows]
        return least_sum(part[:, np.unique(part.indices)], problem.low[rows], problem.high[rows])[0]

    def solve():
        _, prices = least_sum(problem.limits, problem.low, problem.high)
        kept = list(np.flatnonzero(prices > 1e-9))
        for row in list(kept):
            rest = [other for other in kept if other != row]
            if short_deg(rest) > 1e-6:
                kept = rest
        return short_deg(kept)

    return solve


def timed(figures, name, runs, job):
    """A job's median time over so many runs, its mean time on the processor, and its answer; all runs are alike."""
    times, busy = [], time.process_time()
    for _ in range(runs):
        start = time.perf_counter()
        answer = job()
        times.append(time.perf_counter() - start)
    figures[name] = sorted(times)[runs // 2]
    figures[f"{name}_cpu"] = (time.process_time() - busy) / runs
    return answer


def measure(folder, quick, figures, say):
    for size in (16, 32, 64):
        problem = Problem(Path(folder) / f"fair_{size}.json")
        for name, prepare in (("piqp", by_piqp), ("osqp", by_osqp), ("daqp", by_daqp)):
            if name == "daqp" and size > MOST_DENSE:
                continue
            runs = 1 if quick or size > MOST_DENSE else 5
            found = timed(figures, f"{name}_{size}", runs, prepare(problem))
            far_deg = float(np.abs(found - problem.ours).max())
            say(f"fairing {size}x{size}: {name} is {far_deg:.1e} degrees from ours")
            assert far_deg <= ALLOWED_DEG, name
    for size in (16, 32):
        problem = Problem(Path(folder) / f"contradiction_{size}.json")
        least_deg = timed(figures, f"highs_{size}", 1 if quick else 5, by_highs(problem))
        set_deg = timed(figures, f"highs_set_{size}", 1 if quick else 5, least_set_by_highs(problem))
        # A least set is short by no more than all of them together.
        say(f"contradiction {size}x{size}: all limits are short by {least_deg:.6f}, our least set by {float(problem.ours):.6f}, its by {set_deg:.6f}")
        assert 1e-6 < problem.ours <= least_deg + 1e-6 and set_deg <= least_deg + 1e-6
