"""The second opinion once more, vectorised with NumPy over cells and sparks: best torque, knock limit and their bands.

The same formulas as src/combustion, with the engine of its defaults; sources are named there.
"""

import numpy as np

ATMOSPHERE, GAS, STOICHIOMETRIC = 101_325.0, 280.0, 14.6
SIGMAS = dict(burn=0.10, speed=0.08, residual=0.25, knock=0.30, charge=10.0, heat=0.20)
SWEEP = np.arange(-10.0, 61.0, 5.0)
Y10, Y50, Y90 = (np.cbrt(-np.log(1 - share) / 5) for share in (0.1, 0.5, 0.9))
RATIO, OVERLAP, RATED, AMBIENT, RON, MON = 9.5, 25.0, 6000.0, 100e3, 95.0, 85.0
SWEPT = 0.5e-3
BORE = np.cbrt(4 * SWEPT / np.pi)
ANGLES = np.arange(-180.0, 141.0)


def volume(deg):
    turn = np.radians(deg)
    return SWEPT / (RATIO - 1) + SWEPT / 2 * (4.5 - np.cos(turn) - np.sqrt(3.5**2 - np.sin(turn) ** 2))


VOLUME, MIDDLE = volume(ANGLES), volume(ANGLES[:-1] + 0.5)
FIRST, SECOND = np.log(VOLUME[:-1] / MIDDLE), np.log(MIDDLE / VOLUME[1:])
WALL = 2.15 * np.pi / 4 * BORE**2 + 4 * (MIDDLE - SWEPT / (RATIO - 1)) / BORE


def exponent(t):
    return 0.29597 - 1.2682e-4 * t + 4.107e-8 * t * t


def slowness(t, p, phi, residual):
    undiluted = np.maximum(0.305 - 0.549 * (phi - 1.21) ** 2, 0.05)
    hot = np.exp((2.18 - 0.8 * (phi - 1)) * np.log(t / 298) + (0.22 * (phi - 1) - 0.16) * np.log(p / ATMOSPHERE))
    laminar = undiluted * hot * np.maximum(1 - 2.1 * residual, 0.15)
    return np.cbrt(3.3e-7 * t**0.7 * GAS * t / p / laminar**2)


class Cells:
    """Flat arrays of cells with their motored cycles, for one set of corrections."""

    def __init__(self, rpm, p, **moved):
        self.moved = dict.fromkeys(SIGMAS, 0.0) | moved
        self.rpm, self.p = rpm, p
        lam = np.interp(p / 100e3, [0, 0.75, 0.95, 1.3, 2], [1, 1, 0.88, 0.86, 0.82])
        self.phi = 1 / lam
        self.exhaust = AMBIENT + 1000 + 20e3 * (rpm / RATED * p / AMBIENT) ** 2
        q, factor = p / self.exhaust, 1.45 / (BORE * 1e3) * (107 + 7.8 * OVERLAP + OVERLAP**2) * 0.05
        back = 1.266 * factor / (rpm / 60) * q**-0.87 * np.sqrt(np.maximum(self.exhaust - p, 0) / 1e5)
        residual = (back + 0.632 * np.minimum(self.phi, 1) * q**-0.74 / RATIO) * np.exp(self.moved["residual"])
        self.residual = np.clip(residual, 0.02, 0.45)
        fresh = 298.15 + 0.25 * 65 - 12
        old = np.minimum(600 + 250 * np.sqrt(p / 1e5) + rpm / 20, 1300)
        share = 1.15 * self.residual
        self.t = ((1 - self.residual) * fresh + share * old) / (1 - self.residual + share) + self.moved["charge"]
        mass = p * VOLUME[0] / (GAS * self.t)
        air = mass * (1 - self.residual) / (1 + self.phi / STOICHIOMETRIC)
        self.heat = air * 44e6 / STOICHIOMETRIC / np.maximum(lam, 1) * 0.95
        self.second = 1 / (6 * rpm)
        octane = RON - 0.3 * (RON - MON) + 2 * STOICHIOMETRIC * np.abs(lam - 0.95)
        self.delay = 17.68e-3 * (octane / 100) ** 3.402 * np.exp(self.moved["knock"])
        self.gas_speed = 2.28 * 2 * BORE * rpm / 60
        self.gas_speed_per_pa = 3.24e-3 * SWEPT * self.t / (p * VOLUME[0])
        self.motor()

    def step(self, i, p, t, before, freed, motored):
        middle = t + 0.5 * (t - before)
        gamma = 1.338 - 6e-5 * middle + 1e-8 * middle**2
        speed = self.each(self.gas_speed, p) + self.each(self.gas_speed_per_pa, p) * np.maximum(p - motored, 0)
        flux = 129.8 * BORE**-0.2 * np.exp(self.moved["heat"]) * (p / 1e5 * speed) ** 0.8 * middle**-0.53 * (middle - 450)
        a = p * np.exp(gamma * FIRST[i])
        b = a + (gamma - 1) * (freed - flux * WALL[i] * self.each(self.second, p)) / MIDDLE[i]
        after = b * np.exp(gamma * SECOND[i])
        return after, (VOLUME[i + 1] - VOLUME[i]) * (p + 2 * (a + b) + after) / 6

    @staticmethod
    def each(values, like):
        return values[:, None] if like.ndim == 2 else values

    def motor(self):
        p, t, before = self.p, self.t, self.t
        self.pressures, self.temperatures = [p], [t]
        for i in range(320):
            after, _ = self.step(i, p, t, before, 0.0, p)
            p, t, before = after, t * after * VOLUME[i + 1] / (p * VOLUME[i]), t
            self.pressures.append(p)
            self.temperatures.append(t)
        self.pressures, self.temperatures = np.array(self.pressures), np.array(self.temperatures)

    def state(self, deg):
        along = np.clip(deg + 180, 0, 320 - 1e-9)
        at = along.astype(int)
        share, cell = along - at, np.arange(len(self.p))[:, None]
        pick = lambda values: values[at, cell] + (values[at + 1, cell] - values[at, cell]) * share
        return pick(self.pressures), pick(self.temperatures)

    def angles(self, spark):
        phi, residual = self.phi[:, None], self.residual[:, None]
        scale = np.exp(self.moved["burn"]) * (self.rpm[:, None] / 2000) ** (0.2 + self.moved["speed"])
        delay, main = 22.0, 27.0
        for _ in range(2):
            p, t = self.state(spark + 0.5 * delay)
            delay = 22.0 * scale * slowness(t, p, phi, residual) / slowness(665.0, 15e5, 1 / 0.88, 0.077)
        for _ in range(2):
            p, t = self.state(spark + delay + 0.45 * main)
            main = 27.0 * scale * slowness(t * 2 ** exponent(t), 2 * p, phi, residual)
            main = main / slowness(850.0, 40e5, 1 / 0.88, 0.077)
        return np.clip(delay, 2, 90), np.clip(main, 3, 120)

    def fire(self, advance):
        """Net mean pressure, ln of the knock integral and the half-burnt angle, cells by sparks."""
        spark = -np.broadcast_to(advance, (len(self.p), np.shape(advance)[-1]))
        delay, main = self.angles(spark)
        duration = main / (Y90 - Y10)
        begins = np.maximum(spark + delay - Y10 * duration, spark)
        ends = begins + Y90 * duration
        p = np.broadcast_to(self.p[:, None], spark.shape)
        t = before = np.broadcast_to(self.t[:, None], spark.shape)
        end_ln, burnt, work, knock, rate = np.log(t), 0.0, 0.0, 0.0, 0.0
        peak, last = np.zeros(spark.shape), p
        for i in range(320):
            y = np.clip((ANGLES[i + 1] - begins) / duration, 0, 2)
            now = 1 - np.exp(-5 * y**3)
            after, done = self.step(i, p, t, before, self.heat[:, None] * (now - burnt), self.pressures[i][:, None])
            hotter = t * after * VOLUME[i + 1] / (p * VOLUME[i])
            lit = np.clip(ANGLES[i + 1] - spark, 0, 1)
            end_ln = end_ln + lit * exponent(np.exp(end_ln)) * np.log(after / p) + (1 - lit) * np.log(hotter / t)
            if ANGLES[i + 1] > -60:
                delays = self.delay[:, None] * (after / ATMOSPHERE) ** -1.7 * np.exp(3800 / np.exp(end_ln))
                share = np.clip(ends - ANGLES[i], 0, 1)
                knock = knock + (rate + 0.5 * share * (1 / delays - rate)) * share * self.second[:, None]
                rate = 1 / delays
            if -40 < ANGLES[i] < 90:
                bend = np.minimum(last - 2 * p + after, -1e-9)
                top = p - 0.125 * (last - after) ** 2 / bend
                peak = np.where((p >= last) & (p > after), np.maximum(peak, top), peak)
            work, last, before, p, t, burnt = work + done, p, t, after, hotter, now
        work = work + 0.5 * (p + self.exhaust[:, None]) * (volume(180.0) - VOLUME[-1])
        net = work / SWEPT - 0.005 * peak - (self.exhaust - self.p)[:, None]
        return net, np.log(np.maximum(knock, 1e-9)), begins + Y50 * duration


def top(less, at, more):
    bend = less - 2 * at + more
    return np.where(bend < 0, 0.5 * (less - more) / np.where(bend == 0, 1, bend), 0)


def crossing(over):
    """Where rising values over the sweep first pass zero; infinite where they do not."""
    at = np.clip(np.argmax(over >= 0, axis=1), 1, len(SWEEP) - 1)
    cell = np.arange(len(over))
    low, high = over[cell, at - 1], over[cell, at]
    return np.where((over >= 0).any(axis=1), SWEEP[at - 1] + 5 * np.clip(-low / (high - low), 0, 1), np.inf)


def opinion(rpm, p):
    """Best torque, knock limit, both deviations and the bounds of the knock limit for flat arrays of cells."""
    cells = Cells(rpm, p)
    net, knock, _ = cells.fire(SWEEP)
    cell, best = np.arange(len(p)), np.clip(np.argmax(net, axis=1), 1, 13)
    near = SWEEP[best] + 5 * np.clip(top(*(net[cell, best + k] for k in (-1, 0, 1))), -1, 1)
    close, _, _ = cells.fire(near[:, None] + np.array([-2.0, 0.0, 2.0]))
    mbt = near + np.clip(2 * top(*close.T), -2, 2)
    limit = crossing(knock)
    known = np.isfinite(limit)
    beside = cells.fire(np.where(known, limit, mbt)[:, None] + np.array([-1.0, 1.0]))[1]
    limit = np.where(known, limit - 1 + 2 * np.clip(-beside[:, 0] / (beside[:, 1] - beside[:, 0]), -1, 2), np.inf)
    looked = np.column_stack((mbt - 4, mbt, mbt + 4, np.where(known, np.clip(limit, -10, 60), mbt)))
    base_net, base_knock, half = cells.fire(looked)
    variance_best, variance_knock = np.zeros(len(p)), np.full(len(p), SIGMAS["knock"] ** 2)
    for name, sigma in SIGMAS.items():
        if name == "knock":
            continue
        moved_net, moved_knock, _ = Cells(rpm, p, **{name: sigma / 2}).fire(looked)
        variance_best += (8 * (top(*moved_net.T[:3]) - top(*base_net.T[:3]))) ** 2
        variance_knock += (2 * (moved_knock - base_knock)[:, 3]) ** 2
    sigma_best = np.sqrt(variance_best + 2.5**2 + (0.5 * (half[:, 1] - 9)) ** 2)
    sigma_knock = np.sqrt(variance_knock + 0.2**2)
    sigma_best = np.where(cells.residual > 0.22, 2, 1) * sigma_best
    bounds = [crossing(knock + share * sigma_knock[:, None]) for share in (1.28, 1.0, -1.28)]
    return mbt, limit, sigma_best, sigma_knock, bounds


def bench_cells():
    """The 16 by 16 cells of benches/figures.rs."""
    rpm, kpa = np.meshgrid(1200 + 320 * np.arange(16), 36 + 4 * np.arange(16))
    return rpm.ravel().astype(float), kpa.ravel() * 1e3
