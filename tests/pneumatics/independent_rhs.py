"""The equations of docs/physics.md written a second time, from that page: slow, plain, and by another route.

Shares no code with the engine: reads a network's description (names, sizes, schedules) and works with
dictionaries, logarithms and SciPy's own Hermite curves.
"""

from math import expm1, log, log1p, pi

import numpy as np
from scipy.interpolate import CubicHermiteSpline

from ramstill.air.constants import P0, R_AIR, T0

TUBE, HOLE, LEAK_LAMINAR, LEAK_ORIFICE = 0, 1, 2, 3  # as the network numbers them


def kappa(low, high):
    """(1 - r^2) / psi^2(r), with psi from the textbook's nozzle."""
    g = 1.4
    critical = (2.0 / (g + 1.0)) ** (g / (g - 1.0))
    if low == high:
        return 1.0
    ln_r = log1p((low - high) / high)
    ln_psi = max(ln_r, log(critical))
    nozzle = 2.0 * g / (g - 1.0) * np.exp(2.0 / g * ln_psi) * -expm1((g - 1.0) / g * ln_psi)
    return -expm1(2.0 * ln_r) / nozzle


def series(drive, a, b, k, o):
    """|w| of A w + B k w^2 = o^2 |D|, B k w^2 in the same units: written with expm1 and log1p."""
    if o == 0.0 or drive == 0.0:
        return 0.0
    bk = b * k / o**2
    ao = a / o**2
    return ao / (2.0 * bk) * expm1(0.5 * log1p(4.0 * bk * drive / ao**2))


def leak_temperature(p):
    return 216.65 * (1.0 + (p / 22632.06) ** (40.0 * 0.190263)) ** (1.0 / 40.0)


class FromThePage:
    """`slope(t, y, end)` as radau_reference wants it."""

    def __init__(self, network, surroundings):
        self.volumes = list(network.node_names)
        warmth = dict(zip(self.volumes, network.temperature_k.tolist(), strict=True))
        self.capacity = {
            name: v / (R_AIR * warmth[name])
            for name, v in zip(self.volumes, network.volume_m3.tolist(), strict=True)
        }
        everything = [*self.volumes, *network.boundary_names]
        self.links = {}
        for i, name in enumerate(network.link_names):
            ends = everything[network.link_a[i]], everything[network.link_b[i]]
            t = np.mean([warmth[e] for e in ends if e in warmth])
            self.links[name] = (ends, self._law(int(network.link_kind[i]), network.link_size[i], float(t)))
        self.schedules = {
            name: [s for s in (network.openness[i], surroundings.openness.get(name)) if s is not None]
            for i, name in enumerate(network.link_names)
        }
        self.curves = self._curves(surroundings)

    @staticmethod
    def _law(kind, size, t):
        mu = 1.458e-6 * t**1.5 / (t + 110.4)
        if kind in (TUBE, HOLE):
            length, d, number = size[:3]
            a = 256.0 * mu * R_AIR * t * (length + 3.0 * pi / 16.0 * d) / (pi * d**4)
            b = R_AIR * t / ((0.61 if kind == HOLE else 1.0 / 1.5**0.5) * pi * d**2 / 4.0) ** 2
            return ("series", a / number, b / number**2)
        tau, volume = size[:2]
        if kind == LEAK_LAMINAR:
            return ("compensated", volume / (R_AIR * t) / (2.0 * P0 * tau), None)
        full = size[2]
        w = volume / (R_AIR * t) * full / tau
        return ("series", 0.69 * 2.0 * P0 * full / w, 0.31 * 2.0 * P0 * full / w**2)

    @staticmethod
    def _curves(s):
        """For each boundary the smooth stretches (from, to, curve)."""
        cuts = np.flatnonzero(np.diff(s.knots_s) > 0.0)
        return {
            name: [
                (
                    s.knots_s[i],
                    s.knots_s[i + 1],
                    CubicHermiteSpline(
                        s.knots_s[i : i + 2],
                        s.pressure_pa[i : i + 2, j],
                        [s.slope_right_pa_s[i, j], s.slope_left_pa_s[i + 1, j]],
                    ),
                )
                for i in cuts
            ]
            for j, name in enumerate(s.boundary_names)
        }

    def _outside(self, name, t, end):
        stretches = self.curves[name]
        for start, stop, curve in stretches:
            if start <= t < stop or (t == stop and t >= end):
                return float(curve(t))
        start, stop, curve = stretches[0] if t < stretches[0][0] else stretches[-1]
        return float(curve(min(max(t, start), stop)))

    @staticmethod
    def _open(schedule, t, end):
        times, values = list(schedule.times_s), list(schedule.values)
        if t >= end:  # the left value
            times, values = [-x for x in reversed(times)], list(reversed(values))
            t = -t
        after = next((i for i, x in enumerate(times) if x > t), len(times))
        if after == 0:
            return values[0]
        if after == len(times):
            return values[-1]
        (t0, t1), (v0, v1) = times[after - 1 : after + 1], values[after - 1 : after + 1]
        return v0 + (t - t0) / (t1 - t0) * (v1 - v0)

    def slope(self, t, y, end):
        pressure = dict(zip(self.volumes, y, strict=True))
        gain = dict.fromkeys(self.volumes, 0.0)
        for name, ((a, b), (law, first, second)) in self.links.items():
            pa, pb = (pressure[e] if e in pressure else self._outside(e, t, end) for e in (a, b))
            o = float(np.prod([self._open(s, t, end) for s in self.schedules[name]]))
            drive = (pa - pb) * (pa + pb)
            if law == "compensated":
                w = o**2 * first * T0 / leak_temperature(0.5 * (pa + pb)) * drive
            else:
                w = np.copysign(series(abs(drive), first, second, kappa(min(pa, pb), max(pa, pb)), o), drive)
            if a in gain:
                gain[a] -= w
            if b in gain:
                gain[b] += w
        return np.array([gain[name] / self.capacity[name] for name in self.volumes])
