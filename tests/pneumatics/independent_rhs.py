"""The equations of docs/physics.md written a second time, from that page: slow, plain, and by another route.

Shares no code with the engine: reads a network's description (names, sizes, schedules) and works with
dictionaries, logarithms and SciPy's own Hermite curves.
"""

from math import expm1, log, log1p, pi

import numpy as np
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import brentq

from ramstill.air.constants import P0, R_AIR, T0
from ramstill.air.gas import thermal_conductivity

TUBE, HOLE, LEAK_LAMINAR, LEAK_ORIFICE, SLUG = 0, 1, 2, 3, 4  # as the network numbers them


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


def churchill(reynolds):
    """f Re / 64 of a smooth tube, in logarithms."""
    if reynolds < 1000.0:
        return 1.0
    re = np.longdouble(reynolds)
    theta_1 = (2.457 * np.log(1.0 / (7.0 / re) ** 0.9)) ** 16
    theta_2 = (37530.0 / re) ** 16
    f = 8.0 * ((8.0 / re) ** 12 + (theta_1 + theta_2) ** -1.5) ** (1.0 / 12.0)
    return float(f * re / 64.0)


def series(drive, a, b, k, o, per_flow=0.0, own=0.0):
    """|w| of A phi w + B k w^2 = o^2 |D|: the quadratic with expm1 and log1p, phi by bisection around it."""

    def laminar(ao):
        bk = b * k / o**2
        return ao / (2.0 * bk) * expm1(0.5 * log1p(4.0 * bk * drive / ao**2))

    if o == 0.0 or drive == 0.0:
        return 0.0
    w = laminar(a / o**2)
    if per_flow * w < 1000.0:
        return w
    return brentq(
        lambda x: laminar(a * (1.0 - own + own * churchill(per_flow * x)) / o**2) - x,
        0.1 * w,
        w,
        xtol=1e-18,
        rtol=1e-14,
    )


def nudge(difference, forward, backward):
    """What is left of a difference beyond what a slug holds."""
    hold = forward if difference > 0.0 else backward
    x = abs(difference) - hold
    if hold == 0.0:
        return difference
    return float(np.sign(difference)) * (0.0 if x < 0.0 else x * x / 2.0 if x < 1.0 else x - 0.5)


def leak_temperature(p):
    return 216.65 * (1.0 + (p / 22632.06) ** (40.0 * 0.190263)) ** (1.0 / 40.0)


class FromThePage:
    """`slope(t, y, piece, end)` as radau_reference wants it: pressures, masses, swellings."""

    def __init__(self, network, surroundings, start=None, end=None):
        self.volumes = list(network.node_names)
        self.size = dict(zip(self.volumes, network.volume_m3.tolist(), strict=True))
        self.warmth = dict(zip(self.volumes, network.temperature_k.tolist(), strict=True))
        self.kept = network.heat == "isothermal"
        if network.heat_w_k is None:
            passed = [
                20.0
                * pi
                * float(thermal_conductivity(self.warmth[v]))
                * (0.75 * self.size[v] / pi) ** (1 / 3)
                for v in self.size
            ]
        else:
            passed = network.heat_w_k.tolist()
        walls = network.heat == "walls"
        self.passed = {v: h if walls else 0.0 for v, h in zip(self.volumes, passed, strict=True)}
        everything = [*self.volumes, *network.boundary_names]
        self.capsules = [
            (self.volumes[a], self.volumes[b] if b >= 0 else None, c)
            for a, b, c in zip(network.swell_a, network.swell_b, network.swell_m3_pa.tolist(), strict=True)
        ]
        self.links = {}
        for i, name in enumerate(network.link_names):
            ends = everything[network.link_a[i]], everything[network.link_b[i]]
            t = np.mean([self.warmth[e] for e in ends if e in self.warmth])
            self.links[name] = (ends, self._law(int(network.link_kind[i]), network.link_size[i], float(t)))
        self.schedules = {
            name: [s for s in (network.openness[i], surroundings.openness.get(name)) if s is not None]
            for i, name in enumerate(network.link_names)
        }
        self.curves = self._curves(surroundings)
        per_mass = [self.size[v] / (R_AIR * self.warmth[v]) for v in self.volumes]
        self.per_pa = np.concatenate(
            [np.ones(len(per_mass)), per_mass, [self.size[a] * 1e-5 for a, _, _ in self.capsules]]
        )

    def state(self, inside):
        pressure = dict(zip(self.volumes, inside.pressure_pa.tolist(), strict=True))
        warmth = dict(zip(self.volumes, inside.temperature_k.tolist(), strict=True))
        grown = [self._in_the_end(pressure, *capsule) for capsule in self.capsules]
        size = self._sizes(grown)
        mass = [pressure[v] * size[v] / (R_AIR * warmth[v]) for v in self.volumes]
        return np.array([*pressure.values(), *mass, *grown])

    def _in_the_end(self, pressure, inner, outer, compliance):
        apart = pressure[inner] - (P0 if outer is None else pressure[outer])
        most = 0.5 * min(self.size[v] for v in (inner, outer) if v)
        return compliance * apart / np.sqrt(1.0 + (compliance * apart / most) ** 2)

    def _sizes(self, grown):
        size = dict(self.size)
        for (inner, outer, _), x in zip(self.capsules, grown, strict=True):
            size[inner] += x
            if outer:
                size[outer] -= x
        return size

    @staticmethod
    def _law(kind, size, t):
        """(name, A or G or k, B or thresholds, (Re for each unit of flow, the tube's own share), w0)."""
        mu = 1.458e-6 * t**1.5 / (t + 110.4)
        if kind in (TUBE, HOLE):
            length, d, number = size[:3]
            a = 256.0 * mu * R_AIR * t * (length + 3.0 * pi / 16.0 * d) / (pi * d**4) / number
            b = R_AIR * t / ((0.61 if kind == HOLE else 1.0 / 1.5**0.5) * pi * d**2 / 4.0) ** 2
            turbulent = (4.0 / (pi * d * mu * number), length / (length + 3.0 * pi / 16.0 * d))
            return ("series", a, b / number**2, turbulent if kind == TUBE else (0.0, 0.0), 0.2 * P0 / a)
        if kind == SLUG:
            return ("slug", size[2], (size[0], size[1]), None, 0.1 * P0 * size[2])
        tau, volume = size[:2]
        if kind == LEAK_LAMINAR:
            g = volume / (R_AIR * t) / (2.0 * P0 * tau)
            return ("compensated", g, None, None, 0.2 * P0 * g)
        full = size[2]
        w = volume / (R_AIR * t) * full / tau
        a = 0.69 * 2.0 * P0 * full / w
        return ("series", a, 0.31 * 2.0 * P0 * full / w**2, (0.0, 0.0), 0.2 * P0 / a)

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

    def slope(self, t, y, piece, end):
        n = len(self.volumes)
        pressure = dict(zip(self.volumes, y, strict=False))
        size = self._sizes(y[2 * n :])
        warmth = {
            v: pressure[v] * size[v] / (R_AIR * m) for v, m in zip(self.volumes, y[n : 2 * n], strict=True)
        }
        mass, hot = dict.fromkeys(self.volumes, 0.0), dict.fromkeys(self.volumes, 0.0)
        for name, ((a, b), law) in self.links.items():
            pa, pb = (pressure[e] if e in pressure else self._outside(e, t, end) for e in (a, b))
            o = float(np.prod([self._open(s, t, end) for s in self.schedules[name]]))
            w = self._flow(pa, pb, o, law)
            ta, tb = (warmth[e] if e in warmth else self.warmth[f] for e, f in ((a, b), (b, a)))
            along = 0.5 * (ta + tb) + 0.5 * (ta - tb) * w / np.hypot(w, law[4])
            for v, gain in ((a, -w), (b, w)):
                if v in mass:
                    mass[v] += gain
                    hot[v] += gain * (self.warmth[v] if self.kept else along)
        gamma = 1.0 if self.kept else 1.4
        swelling, growing = [], dict.fromkeys(self.volumes, 0.0)
        for (inner, outer, c), x in zip(self.capsules, y[2 * n :], strict=True):
            rate = (self._in_the_end(pressure, inner, outer, c) - x) / 2e-3
            swelling.append(rate)
            growing[inner] += rate
            if outer:
                growing[outer] -= rate
        heat = {v: self.passed[v] * (self.warmth[v] - warmth[v]) for v in self.volumes}
        rises = [
            (gamma * R_AIR * hot[v] + (gamma - 1.0) * heat[v] - gamma * pressure[v] * growing[v]) / size[v]
            for v in self.volumes
        ]
        return np.array([*rises, *mass.values(), *swelling])

    @staticmethod
    def _flow(pa, pb, o, law):
        kind, first, second, turbulent, _ = law
        drive = (pa - pb) * (pa + pb)
        if kind == "compensated":
            return o**2 * first * T0 / leak_temperature(0.5 * (pa + pb)) * drive
        if kind == "slug":
            return o**2 * 0.5 * first * (pa + pb) * nudge(pa - pb, *second)
        k = kappa(min(pa, pb), max(pa, pb))
        return np.copysign(series(abs(drive), first, second, k, o, *turbulent), drive)
