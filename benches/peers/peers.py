"""The peers' side of every figure in the README: the same jobs done with NumPy, SciPy and pandas.

Prints one JSON object of seconds per job (medians). `--quick` runs each once on less data. `--points FILE OUT` also
does the points job file to file, and `--fairing DIR` solves the problems that benches/figures.rs wrote there.
"""

import json
import os
import sys
import time

# One thread: set before NumPy loads its linear algebra.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np
from scipy.interpolate import RegularGridInterpolator
from scipy.sparse import coo_matrix, eye, kron
from scipy.sparse.linalg import spsolve

import fairing
import opinion as second_opinion

QUICK = "--quick" in sys.argv


def median(runs, job):
    job()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        job()
        times.append(time.perf_counter() - start)
    return sorted(times)[len(times) // 2]


def axis(low, high, size):
    return low + (high - low) * (np.arange(size) / (size - 1)) ** 1.2


def table(size):
    """The same bumpy table as in benches/figures.rs; rows are loads."""
    x, y = axis(500.0, 8000.0, size), axis(0.0, 100.0, size)
    xx, yy = np.meshgrid(x, y)
    z = 10.0 + 25.0 * np.sqrt(xx / 8000.0) - 0.1 * yy + 2.0 * np.sin(xx / 300.0) * np.cos(yy / 7.0)
    return x, y, z


def lookup(figures):
    count = 100_000 if QUICK else 10_000_000
    x, y, z = table(16)
    random = np.random.default_rng(1)
    points = np.column_stack((random.uniform(0.0, 100.0, count), random.uniform(500.0, 8000.0, count)))
    interpolator = RegularGridInterpolator((y, x), z, method="linear")
    figures["lookup"] = median(1 if QUICK else 3, lambda: interpolator(points))


def second_differences(x):
    """Second divided differences over an axis scaled to unit mean spacing."""
    n = len(x)
    h = np.diff(x) / np.mean(np.diff(x))
    rows, columns, values = [], [], []
    for i in range(n - 2):
        h1, h2 = h[i], h[i + 1]
        rows += [i, i, i]
        columns += [i, i + 1, i + 2]
        values += [2 / (h1 * (h1 + h2)), -2 / (h1 * h2), 2 / (h2 * (h1 + h2))]
    return coo_matrix((values, (rows, columns)), shape=(n - 2, n)).tocsr()


def smoothing(figures):
    """The same minimum by a general sparse solve, matrix assembly included on both sides."""
    x, y, z = table(64)
    strength = 2.0

    def solve(held):
        dx, dy = second_differences(x), second_differences(y)
        penalty = kron(eye(64), dx.T @ dx) + kron(dy.T @ dy, eye(64))
        system = (eye(64 * 64) + strength**4 * penalty).tocsc()
        d = z.ravel()
        right = -(strength**4) * (penalty @ d)
        if held is None:
            return d + spsolve(system, right)
        free = np.flatnonzero(~held)
        result = d.copy()
        result[free] += spsolve(system[free][:, free], right[free])
        return result

    runs = 1 if QUICK else 9
    index = np.arange(64 * 64)
    held = index * 7919 % 10 == 0
    figures["smooth_free"] = median(runs, lambda: solve(None))
    figures["smooth_tenth_held"] = median(runs, lambda: solve(held))


def edge_times(figures):
    """The times of the wheel's edges alone, for the runs of benches/figures.rs: the floor of what a rig must do."""
    plain = np.array([(0.0, 900.0), (2.0, 8000.0), (6.0 if QUICK else 600.0, 8000.0)])
    index = np.arange(4 if QUICK else 300)
    everything = np.column_stack((2.0 * index, 900.0 + 6900.0 * (index * 37 % 101) / 100.0))
    for suffix, rows, teeth, missing in (("", plain, 36, 1), ("_everything", everything, 60, 2)):
        job = lambda: times_of_edges(rows, teeth, missing)
        figures["edge_times" + suffix] = median(1 if QUICK else 5, job)
        figures["edge_count" + suffix] = len(job())


def times_of_edges(rows, teeth, missing):
    """Seconds at which each edge of a wheel passes, the crank at 0 at the run's start; rows are (seconds, rpm)."""
    time, speed = rows[:, 0], 6.0 * rows[:, 1]
    angle = np.concatenate(([0.0], np.cumsum((speed[1:] + speed[:-1]) / 2 * np.diff(time))))
    acceleration = np.diff(speed) / np.diff(time)
    turns = np.arange(int(angle[-1] // 360) + 1)
    edges = (turns[:, None] * 360.0 + np.arange(teeth - missing) * (360.0 / teeth)).ravel()
    edges = edges[edges <= angle[-1]]
    span = np.clip(np.searchsorted(angle, edges) - 1, 0, len(acceleration) - 1)
    ahead, begin = edges - angle[span], speed[span]
    return time[span] + 2 * ahead / (begin + np.sqrt(begin**2 + 2 * acceleration[span] * ahead))


def opinion(figures):
    """Best torque, knock limit and bands of the cells of benches/figures.rs."""
    cells = second_opinion.bench_cells()
    figures["opinion"] = median(1 if QUICK else 5, lambda: second_opinion.opinion(*cells))


def points(source, target, figures):
    import pandas as pd

    x, y, z = table(16)

    def job():
        frame = pd.read_csv(source)
        interpolator = RegularGridInterpolator((y, x), z, method="linear", bounds_error=False, fill_value=None)
        at = np.column_stack((frame["load"].clip(y[0], y[-1]), frame["speed_rpm"].clip(x[0], x[-1])))
        frame["table_deg"] = interpolator(at)
        frame.to_csv(target, index=False)

    start = time.perf_counter()
    job()
    figures["points"] = time.perf_counter() - start


def main():
    figures = {}
    lookup(figures)
    smoothing(figures)
    edge_times(figures)
    opinion(figures)
    if "--points" in sys.argv:
        at = sys.argv.index("--points")
        points(sys.argv[at + 1], sys.argv[at + 2], figures)
    if "--fairing" in sys.argv:
        folder = sys.argv[sys.argv.index("--fairing") + 1]
        fairing.measure(folder, QUICK, figures, lambda text: print(text, file=sys.stderr))
    print(json.dumps(figures, indent=1))


main()
