#!/usr/bin/env python3
"""Writes dyno-day.csv: an invented day on a brake with the engine of tarn-special.

Nothing here was measured. The truth is written down below, point by point: torque over advance, where it knocks, and
what goes wrong at the brake. The same file comes out of every run, on every Python 3.

    python3 sample-projects/dyno_day.py

Torque at d degrees retarded from best torque is top·(1 - bend·d²·(1 - SKEW·d)). The skew is a little more than the one
that the program fits, as a real engine's would not be the same either. Each reading has noise of NOISE of the top, and
torque falls by DRIFT of it over a sweep, as oil and air warm; each sweep ends where it began, so that this can be told.

The least advance that loses no more than 1 % lies about 5° below best torque. Against the table of tarn-special it lies

- about 2 to 3° above at 2200 and 3100 rpm and 16 to 37 % throttle: to advance,
- about 2° below at 4100 rpm and 37 to 60 %: to retard,
- within a degree or so elsewhere, but for the two points at full throttle and low speed, where knock comes first.
"""

from math import cos, log, pi, sqrt
from pathlib import Path
from random import Random

SEED = 1_913
SKEW = 0.010
NOISE = 0.003
DRIFT = 0.006

# speed in rpm, throttle in %, best torque in degrees, top in Nm, bend in 1/degree², knock from (degrees; None: nowhere),
# advances that were read
POINTS = [
    (1450, 16, 26.2, 84.0, 0.00038, None, range(12, 40, 2)),
    (2200, 16, 35.2, 92.0, 0.00036, None, range(20, 48, 2)),
    (3100, 16, 40.4, 84.0, 0.00034, None, range(26, 52, 2)),
    (2200, 37, 31.7, 137.0, 0.00040, None, range(18, 44, 2)),
    (3100, 37, 35.0, 139.0, 0.00040, None, range(20, 48, 2)),
    (4100, 37, 33.4, 128.0, 0.00039, None, range(20, 46, 2)),
    (2200, 60, 27.8, 150.0, 0.00042, None, range(14, 40, 2)),
    (3100, 60, 28.8, 157.0, 0.00043, None, range(16, 42, 2)),
    (4100, 60, 29.0, 158.0, 0.00042, None, range(16, 42, 2)),
    (5700, 60, 32.8, 151.0, 0.00041, None, range(20, 46, 2)),
    (4100, 94, 29.6, 166.0, 0.00044, None, range(16, 40, 2)),
    (3100, 94, 28.2, 164.0, 0.00044, 23.5, range(10, 25, 1)),
    (2200, 94, 27.5, 156.0, 0.00044, 22.5, range(8, 24, 1)),
    # The oil was too hot to go on: a short sweep, well before best torque.
    (5700, 94, 31.0, 161.0, 0.00042, None, range(22, 28, 1)),
]
# The belt of the brake slipped once: the point, the reading, and what it lost in Nm.
SLIP = (7, 5, 5.5)

COLUMNS = "time_s,speed_rpm,load_pct,advance_deg,torque_nm,knock,lambda,coolant_c,air_c"


def normal(random):
    """A normal deviate by Box and Muller: random() alone is the same in every Python."""
    return sqrt(-2.0 * log(1.0 - random.random())) * cos(2.0 * pi * random.random())


def torque_nm(point, advance_deg):
    _, _, best_deg, top_nm, bend, _, _ = point
    retard_deg = best_deg - advance_deg
    return top_nm * (1.0 - bend * retard_deg**2 * (1.0 - SKEW * retard_deg))


def rows():
    random = Random(SEED)
    time_s = 0.0
    for number, point in enumerate(POINTS):
        speed_rpm, load_pct, _, top_nm, _, knock_from_deg, advances = point
        # Up in steps, then the first advance again.
        order = [*advances, advances[0]]
        for step, advance_deg in enumerate(order):
            time_s += 34.0 + 3.0 * random.random()
            drifted = 1.0 - DRIFT * step / (len(order) - 1)
            read_nm = torque_nm(point, advance_deg) * drifted + NOISE * top_nm * normal(random)
            if (number, step) == SLIP[:2]:
                read_nm -= SLIP[2]
            beyond_deg = -1.0 if knock_from_deg is None else advance_deg - knock_from_deg
            knocks = max(0, round(2.0 + 3.0 * beyond_deg)) if beyond_deg >= 0.0 else 0
            yield [
                f"{time_s:.0f}",
                f"{speed_rpm + 5.0 * normal(random):.0f}",
                f"{load_pct + 0.15 * normal(random):.1f}",
                str(advance_deg),
                f"{read_nm:.1f}",
                str(knocks),
                f"{0.88 + 0.004 * normal(random):.3f}",
                f"{84.0 + 0.8 * normal(random):.1f}",
                f"{24.0 + 0.4 * normal(random) + 0.1 * number:.1f}",
            ]
        # To the next point, and warm through.
        time_s += 240.0


def main():
    lines = [COLUMNS, *(",".join(row) for row in rows())]
    text = "".join(f"{line}\n" for line in lines)
    (Path(__file__).parent / "dyno-day.csv").write_text(text, encoding="ascii", newline="")


if __name__ == "__main__":
    main()
