#!/usr/bin/env python3
"""Writes dyno-day.csv: an invented day on a brake with the engine of tarn-special.

Nothing here was measured. The truth is written down below, point by point: torque over advance, where it knocks, and
what goes wrong at the brake. The same file comes out of every run, on every Python 3.

    python3 sample-projects/dyno_day.py

Torque at d degrees retarded from best torque is top·(1 - bend·d²·(1 - SKEW·d)). The skew is a little more than the one
that the program fits, as a real engine's would not be the same either. Each reading has noise of NOISE of the top, and
torque falls by DRIFT of it over a sweep, as oil and air warm; each sweep ends where it began, so that this can be told.

Against the table of tarn-special, best torque lies

- 3.6 to 4.8° above it between 2000 and 3000 rpm at 10 to 40 % throttle: to advance,
- 2.9 to 3.9° below it from 4000 rpm on at 28 to 56 %: to retard,
- 1 to 2° above it elsewhere, but for the two points at full throttle and low speed, where knock comes first.

The least advance that loses no more than 1 % lies about 5° below best torque.
"""

from math import cos, log, pi, sqrt
from pathlib import Path
from random import Random

SEED = 1_911
SKEW = 0.010
NOISE = 0.003
DRIFT = 0.006

# speed in rpm, throttle in %, best torque in degrees, top in Nm, bend in 1/degree², knock from (degrees; None: nowhere),
# advances that were read
POINTS = [
    (1500, 14, 22.8, 96.0, 0.00040, None, range(10, 36, 2)),
    (2200, 10, 32.8, 71.0, 0.00034, None, range(18, 46, 2)),
    (2200, 34, 28.4, 133.0, 0.00040, None, range(14, 42, 2)),
    (3000, 23, 35.4, 108.0, 0.00036, None, range(22, 48, 2)),
    (3000, 40, 31.1, 141.0, 0.00040, None, range(18, 44, 2)),
    (2600, 56, 25.0, 149.0, 0.00042, None, range(12, 38, 2)),
    (3450, 76, 24.6, 158.0, 0.00044, 31.0, range(12, 34, 2)),
    (4000, 28, 29.0, 112.0, 0.00038, None, range(16, 44, 2)),
    (4000, 56, 23.5, 156.0, 0.00042, None, range(11, 37, 2)),
    (6200, 48, 27.3, 141.0, 0.00040, None, range(14, 42, 2)),
    (4500, 88, 26.4, 165.0, 0.00044, None, range(14, 38, 2)),
    (3100, 98, 28.6, 163.0, 0.00044, 23.5, range(10, 25, 1)),
    (2500, 96, 28.0, 157.0, 0.00044, 22.5, range(8, 24, 1)),
    # The oil was too hot to go on: a short sweep, well before best torque.
    (5600, 92, 27.8, 161.0, 0.00042, None, range(20, 26, 1)),
]
# The belt of the brake slipped once: the point, the reading, and what it lost in Nm.
SLIP = (5, 4, 5.5)

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
