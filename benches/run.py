#!/usr/bin/env python3
"""Measures our jobs beside their peers in one run and prints the ratios.

    benches/run.py [--quick]

Needs Python 3 with venv; fetches NumPy, SciPy, pandas, piqp, OSQP and DAQP from PyPI into target/peers. clarabel runs in
our own process. The window figures need a display, or xvfb-run. `--quick` does every job once on little data: it shows that all of it works, not how fast.
"""

import json
import os
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
WORK = TARGET / "peers"
QUICK = "--quick" in sys.argv
ROWS = 20_000 if QUICK else 5_000_000


def run(*command, **options):
    return subprocess.run([str(part) for part in command], check=True, text=True, **options)


def python():
    """A Python with the peers in it."""
    found = WORK / "venv" / "bin" / "python"
    wanted = (ROOT / "benches/peers/requirements.txt").read_text()
    stamp = WORK / "requirements.txt"
    if not found.exists() or not stamp.exists() or stamp.read_text() != wanted:
        WORK.mkdir(parents=True, exist_ok=True)
        run(sys.executable, "-m", "venv", WORK / "venv")
        run(found, "-m", "pip", "install", "--quiet", "-r", ROOT / "benches/peers/requirements.txt")
        stamp.write_text(wanted)
    return found


def write_inputs(interpreter):
    """The benches' table as CSV and random points, some of them beyond the axes."""
    script = f"""
import numpy as np, pandas as pd
axis = lambda low, high: low + (high - low) * (np.arange(16) / 15) ** 1.2
x, y = axis(500.0, 8000.0), axis(0.0, 100.0)
xx, yy = np.meshgrid(x, y)
z = 10 + 25 * np.sqrt(xx / 8000) - 0.1 * yy + 2 * np.sin(xx / 300) * np.cos(yy / 7)
pd.DataFrame(z, index=y, columns=x).to_csv(r"{WORK / 'table.csv'}")
random = np.random.default_rng(2)
points = dict(speed_rpm=random.uniform(400, 8200, {ROWS}).round(1), load=random.uniform(0, 100, {ROWS}).round(2))
pd.DataFrame(points).to_csv(r"{WORK / 'points.csv'}", index=False)
"""
    run(interpreter, "-c", script)


def points(interpreter, figures, peers):
    """`lookup --points` file to file; both outputs must hold the same values."""
    sparkloft = TARGET / "release" / "sparkloft"
    project = WORK / "bench.ron"
    run(sparkloft, "new", "--cylinders", 4, "--load", "throttle", "-o", project, stdout=subprocess.DEVNULL)
    run(sparkloft, "import", WORK / "table.csv", "--into", project, "-o", project, stdout=subprocess.DEVNULL)
    times = []
    for _ in range(1 if QUICK else 5):
        start = time.perf_counter()
        run(sparkloft, "lookup", project, "--points", WORK / "points.csv", "-o", WORK / "ours.csv", stdout=subprocess.DEVNULL)
        times.append(time.perf_counter() - start)
    figures["points"] = statistics.median(times)
    flags = ["--quick"] if QUICK else []
    printed = run(interpreter, ROOT / "benches/peers/peers.py", *flags, "--points", WORK / "points.csv", WORK / "theirs.csv", "--fairing", WORK, stdout=subprocess.PIPE)
    peers.update(json.loads(printed.stdout))
    check = f"""
import numpy as np, pandas as pd
a, b = (pd.read_csv(r"{WORK}/" + name)["table_deg"].to_numpy() for name in ("ours.csv", "theirs.csv"))
assert len(a) == len(b) == {ROWS}
print(float(np.abs(a - b).max()))
"""
    worst = float(run(interpreter, "-c", check, stdout=subprocess.PIPE).stdout)
    assert worst < 1e-9, f"ours and SciPy's values differ by {worst}"
    print(f"lookup --points agrees with SciPy on {ROWS} rows to {worst:.1e} degrees")


def streamed(project, name, rows):
    """Edges of a run whose events go to a file, and the most memory it took in MB."""
    drive, events = WORK / f"{name}.csv", WORK / f"{name}-events.csv"
    drive.write_text(rows)
    command = [TARGET / "release" / "sparkloft", "rig", project, "--run", drive, "-o", events, "--json"]
    process = subprocess.Popen([str(part) for part in command], stdout=subprocess.PIPE, text=True)
    summary = json.loads(process.stdout.read())
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    events.unlink()
    return summary["edges"], usage.ru_maxrss / 1024


def second_opinion(interpreter):
    """Ours by the command line and NumPy's of the same 256 cells: both must say the same."""
    sparkloft, project = TARGET / "release" / "sparkloft", WORK / "opinion.ron"
    run(sparkloft, "new", "--cylinders", 4, "--load", "pressure", "--size", "16x16", "-o", project, stdout=subprocess.DEVNULL)
    axes = [f"advance.speed_rpm={','.join(str(1200 + 320 * i) for i in range(16))}", f"advance.load={','.join(str(36 + 4 * i) for i in range(16))}"]
    engine = ["engine.displacement_l=2", "engine.compression_ratio=9.5", "engine.fuel_octane_ron=95", "engine.chamber=two_valve_side_plug"]
    run(sparkloft, "set", project, "-o", project, *axes, *engine, stdout=subprocess.DEVNULL)
    ours = json.loads(run(sparkloft, "opinion", project, "--json", stdout=subprocess.PIPE).stdout)["cells"]
    script = f"""
import json, sys
sys.path.insert(0, r"{ROOT / 'benches/peers'}")
import opinion
best, knock, sigma, _, _ = opinion.opinion(*opinion.bench_cells())
print(json.dumps([best.tolist(), [k if k < 1e9 else None for k in knock.tolist()], sigma.tolist()]))
"""
    best, knock, sigma = json.loads(run(interpreter, "-c", script, stdout=subprocess.PIPE).stdout)
    known = [at for at, cell in enumerate(ours) if cell["refused"] is None]
    worst = max(abs(ours[at]["best_torque_deg"] - best[at]) for at in known)
    limits = [(ours[at]["knock_limit_deg"], knock[at]) for at in known]
    assert all((own is None) == (other is None) for own, other in limits)
    worst_knock = max(abs(own - other) for own, other in limits if own is not None)
    assert worst < 0.01 and worst_knock < 0.01, f"best torque differs by {worst} degrees, knock limit by {worst_knock}"
    print(f"opinion agrees with NumPy on {len(known)} cells to {worst:.1e} degrees of best torque, {worst_knock:.1e} of the knock limit")


def plain_rows(seconds):
    return f"time_s,speed_rpm,load\n0,900,60\n2,8000,60\n{seconds},8000,60\n"


def everything_rows():
    """The speeds of benches/figures.rs; whatever else its rows have moves no edge."""
    rows = (f"{2 * index},{900 + 6900 * (index * 37 % 101) / 100},{index * 53 % 101}" for index in range(4 if QUICK else 300))
    return "time_s,speed_rpm,load\n" + "\n".join(rows) + "\n"


def rig(peers):
    """Both sides must count the same edges; memory must not grow with the run."""
    sparkloft, project = TARGET / "release" / "sparkloft", WORK / "rig.ron"
    run(sparkloft, "new", "--cylinders", 4, "--load", "throttle", "-o", project, stdout=subprocess.DEVNULL)
    run(sparkloft, "set", project, "-o", project, "limits.over_speed.enabled=no", stdout=subprocess.DEVNULL)
    long, short = (6, 3) if QUICK else (600, 60)
    _, little = streamed(project, "short", plain_rows(short))
    edges, much = streamed(project, "long", plain_rows(long))
    assert edges == peers["edge_count"], f"{edges} edges, and NumPy has {peers['edge_count']}"
    assert much < little + 2, f"{much:.1f} MB for the long run, {little:.1f} MB for the short one"
    real, _ = streamed(ROOT / "sample-projects" / "tarn-special.ron", "everything", everything_rows())
    assert real == peers["edge_count_everything"], f"{real} edges, and NumPy has {peers['edge_count_everything']}"
    print(f"rig counts NumPy's {edges} and {real} edges; streaming events takes {little:.1f} MB for {short} s, {much:.1f} MB for {long} s")


def first_frame(command):
    """Seconds until the first frame was drawn, and resident memory in MB two seconds later."""
    environment = dict(os.environ, RUST_LOG="sparkloft=info", SPARKLOFT_DATA=str(WORK / "data"))
    start = time.perf_counter()
    process = subprocess.Popen([str(part) for part in command], stderr=subprocess.PIPE, text=True, env=environment)
    try:
        for line in process.stderr:
            if "first frame" in line:
                seconds = time.perf_counter() - start
                time.sleep(2)
                status = Path(f"/proc/{process.pid}/status").read_text()
                memory = next(line for line in status.splitlines() if line.startswith("VmRSS"))
                return seconds, int(memory.split()[1]) / 1024
    finally:
        process.kill()
        process.wait()
    raise RuntimeError(f"{command[0]} drew nothing")


def window(figures, peers):
    ours = [TARGET / "release" / "sparkloft"]
    label = [TARGET / "release" / "examples" / "label_window"]
    runs = 1 if QUICK else 5
    pairs = [(first_frame(ours), first_frame(label)) for _ in range(runs)]
    for index, name in enumerate(("first_frame", "memory_mb")):
        figures[name] = statistics.median(pair[0][index] for pair in pairs)
        peers[name] = statistics.median(pair[1][index] for pair in pairs)


AIMS = [
    ("lookup, 10 million points, one thread", "lookup_1_thread", "lookup", "at least 10 times SciPy"),
    ("lookup, 10 million points, two threads", "lookup_2_threads", "lookup", "at least 18 times SciPy"),
    ("smooth 64x64, nothing fixed", "smooth_free", "smooth_free", "at least 50 times SciPy"),
    ("smooth 64x64, prepared for a preview", "smooth_free_prepared", "smooth_free", ""),
    ("smooth 64x64, a tenth held", "smooth_tenth_held", "smooth_tenth_held", "at least 2 times SciPy"),
    ("second opinion 16x16 with bands, one thread", "opinion_1_thread", "opinion", "under 0.4 s"),
    ("second opinion 16x16 with bands, two threads", "opinion_2_threads", "opinion", "under 0.25 s"),
    ("fair 16x16", "fair_16", "clarabel_16", "at most a quarter of clarabel's time (ratio 4), under 3 ms"),
    ("fair 32x32", "fair_32", "clarabel_32", "at most half of clarabel's time (ratio 2)"),
    ("fair 64x64", "fair_64", "clarabel_64", "at most 0.75 of clarabel's time (ratio 1.33)"),
    ("fair 16x16, beside clarabel and its setting up", "fair_16", "clarabel_whole_16", ""),
    ("fair 32x32, beside clarabel and its setting up", "fair_32", "clarabel_whole_32", ""),
    ("fair 64x64, beside clarabel and its setting up", "fair_64", "clarabel_whole_64", ""),
    ("fair 16x16 from nearby", "fair_near_16", "clarabel_16", "under 1 ms"),
    ("fair 32x32 from nearby", "fair_near_32", "clarabel_32", ""),
    ("fair 64x64 from nearby", "fair_near_64", "clarabel_64", ""),
    ("fair 16x16, beside piqp", "fair_16", "piqp_16", ""),
    ("fair 32x32, beside piqp", "fair_32", "piqp_32", ""),
    ("fair 64x64, beside piqp", "fair_64", "piqp_64", ""),
    ("fair 16x16, beside OSQP", "fair_16", "osqp_16", ""),
    ("fair 32x32, beside OSQP", "fair_32", "osqp_32", ""),
    ("fair 64x64, beside OSQP", "fair_64", "osqp_64", ""),
    ("fair 16x16, beside DAQP", "fair_16", "daqp_16", ""),
    ("fair 32x32, beside DAQP", "fair_32", "daqp_32", ""),
    ("least set of a contradiction, 16x16", "contradiction_16", "highs_set_16", "faster than HiGHS"),
    ("least set of a contradiction, 32x32", "contradiction_32", "highs_set_32", "faster than HiGHS"),
    ("the same, beside HiGHS' least sum alone, 16x16", "contradiction_16", "highs_16", ""),
    ("the same, beside HiGHS' least sum alone, 32x32", "contradiction_32", "highs_32", ""),
    ("fit 64x64 and how sure, with the search", "fit_64", None, "under 450 ms"),
    ("how sure alone, 64x64, with the search", "how_sure_64", None, ""),
    ("lookup --points, 5 million rows", "points", "points", "at least 20 times pandas + SciPy"),
    ("rig, ten minutes to 8000 rpm, 36-1", "rig_run", "edge_times", "at most 5 times NumPy's edge times alone (ratio 0.2), under 0.3 s"),
    ("rig, 300 rows with limits and outputs, 60-2", "rig_everything", "edge_times_everything", "at most 5 times NumPy's edge times alone (ratio 0.2)"),
    ("first frame", "first_frame", "first_frame", "at most 1.3 times a label window"),
    ("resident memory (MB)", "memory_mb", "memory_mb", "at most 1.5 times a label window"),
    ("frame while dragging, 16x16", "frame_drag_16", None, "under 2 ms"),
    ("frame while dragging, 64x64", "frame_drag_64", None, "under 6 ms"),
]


def report(figures, peers):
    """The last ratio is of processor's time, where both sides have it: what else the machine does hardly changes it."""
    print(f"\n{'job':48} {'ours':>10} {'peer':>10} {'peer/ours':>10} {'processor':>10}  aim")
    for name, ours, peer, aim in AIMS:
        if ours not in figures:
            continue
        theirs = peers.get(peer)
        shown = f"{theirs:10.4g} {theirs / figures[ours]:10.2f}" if theirs else " " * 21
        busy, their_busy = figures.get(f"{ours}_cpu"), peers.get(f"{peer}_cpu")
        ratio = f"{their_busy / busy:10.2f}" if busy and their_busy else " " * 10
        print(f"{name:48} {figures[ours]:10.4g} {shown} {ratio}  {aim}")


def main():
    flags = ["--quick"] if QUICK else []
    interpreter = python()
    run("cargo", "build", "--release", "--bins", "--examples", cwd=ROOT)
    write_inputs(interpreter)
    printed = run("cargo", "bench", "--bench", "figures", "--", *flags, "--problems", WORK, cwd=ROOT, stdout=subprocess.PIPE)
    figures = json.loads(printed.stdout)
    peers = {name: seconds for name, seconds in figures.items() if name.startswith("clarabel_")}
    points(interpreter, figures, peers)
    rig(peers)
    second_opinion(interpreter)
    if os.environ.get("DISPLAY"):
        window(figures, peers)
    elif shutil.which("xvfb-run") and "--inside" not in sys.argv:
        print("no display: the window figures need one (run under xvfb-run)")
    report(figures, peers)


main()
