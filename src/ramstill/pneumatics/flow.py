"""The one flow law of every link: viscous and inertial losses in series.

docs/physics.md says where it comes from. With D = pa^2 - pb^2 [Pa^2], openness o and mass flow w [kg/s],

    G f o^2 D = t(Re) w + E k(r) w |w|

G [kg/(s Pa^2)] is the viscous conductance, E [s/kg] says when inertia takes over, r is the lower pressure
over the higher, and k(r) carries expansion and choking: 1 at r = 1. f is the compensation of a calibrated
leak, 1 elsewhere; t the turbulence of a tube (friction.py), 1 in laminar flow and elsewhere. Smooth to the
first derivative everywhere, through zero and at choking.

A slug of water in the link holds a difference back: D is then (pa + pb) g(pa - pb), with g zero up to what
holds it on that side and the rest of the difference beyond; water.py says what holds it.

The engine carries w along with the pressures and keeps to the law as it stands above, a polynomial in w.
Solved for w it is a square root: near zero flow, where a wide hole's slope changes a thousandfold within a
thousandth of a pascal, no step but a minute one would trust it.
"""

from math import exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import GAMMA, T0
from ramstill.pneumatics._compiled import inner_jit, lean_jit
from ramstill.pneumatics.friction import LAMINAR_BELOW, turbulence

FloatArray = NDArray[np.float64]

# Powers below are written out for gamma = 7/5: s = r^(2/7), the isentropic temperature ratio.
assert GAMMA == 1.4
EXPANSION = (GAMMA - 1.0) / GAMMA
S_CHOKED = 2.0 / (GAMMA + 1.0)
R_CHOKED = S_CHOKED**3.5  # 0.5283
V_CHOKED = (1.0 - R_CHOKED) / (1.0 + R_CHOKED)
PSI2_CHOKED = 7.0 * S_CHOKED**5 * (1.0 - S_CHOKED)

NEAR = 0.06  # r above 0.887: there the series below gives k to 3e-16
TERMS = 13


def _series() -> FloatArray:
    """Coefficients of k by powers of v.

    k is the mean of r^c over c = 2 j / 7, j = -5 to 1. With r = (1 - v) / (1 + v) each of these solves
    (1 - v^2) f' = -2 c f, so that (n + 1) f[n + 1] = (n - 1) f[n - 1] - 2 c f[n].
    """
    total = np.zeros(TERMS)
    for j in range(-5, 2):
        power = [1.0, -2.0 * EXPANSION * j]
        for n in range(1, TERMS - 1):
            power.append(((n - 1) * power[n - 1] - 2.0 * EXPANSION * j * power[n]) / (n + 1))
        total += np.array(power)
    return total / 7.0


SERIES = _series()

# What a maker's compensation aims at: the standard temperature at the pressure in the leak, with the corner
# at 11 km rounded so that its slope is smooth (0.02 % off at 25,000 ft, 1.7 % at 36,000 ft).
T_TOP = 216.65  # standard temperature above 11 km [K], ICAO Doc 7488
P_TOP = 22632.06  # standard pressure at 11 km [Pa], same
SLOPE = 0.190263  # 6.5 K/km R / g [-], same
ROUND = 40.0

BEND_PA = 1.0  # over so much a slug begins to let a difference by [Pa]


@lean_jit
def compensation(mean_pa: float) -> tuple[float, float]:
    """T0 over standard temperature at a pressure [Pa], and its slope [1/Pa]."""
    if mean_pa <= 0.0:
        return T0 / T_TOP, 0.0
    x = exp(ROUND * SLOPE * log(mean_pa / P_TOP))
    value = T0 / T_TOP * exp(-log(1.0 + x) / ROUND)
    return value, -value * SLOPE * x / ((1.0 + x) * mean_pa)


@lean_jit
def expansion(v: float) -> float:
    """k at v, the difference between two pressures over their sum: v = (1 - r) / (1 + r)."""
    return near_one(v) if 0.0 <= v <= NEAR else expansion_far(v)[0]


@inner_jit
def near_one(v: float) -> float:
    """k at a v up to NEAR."""
    k = SERIES[TERMS - 1]
    for n in range(TERMS - 2, -1, -1):
        k = SERIES[n] + v * k
    return float(k)


@lean_jit
def expansion_slope(v: float) -> tuple[float, float]:
    """k, and dk/dv."""
    if 0.0 <= v <= NEAR:
        k, slope = SERIES[TERMS - 1], 0.0
        for n in range(TERMS - 2, -1, -1):
            slope = k + v * slope
            k = SERIES[n] + v * k
        return float(k), float(slope)
    return expansion_far(v)


@lean_jit
def expansion_far(v: float) -> tuple[float, float]:
    """k and dk/dv in closed form; r is taken as 0 where v is what only a trial step may make of it."""
    if not 0.0 <= v < 1.0:
        return 1.0 / PSI2_CHOKED, 0.0
    r = (1.0 - v) / (1.0 + v)
    if v >= V_CHOKED:
        return (1.0 - r * r) / PSI2_CHOKED, 4.0 * r / ((1.0 + v) * (1.0 + v) * PSI2_CHOKED)
    s = r**EXPANSION
    powers = 1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s)))))
    rising = s * (1.0 + s * (2.0 + s * (3.0 + s * (4.0 + s * (5.0 + s * 6.0)))))
    k = powers / (7.0 * s**5)
    return k, -2.0 * k * EXPANSION * (rising / powers - 5.0) / ((1.0 - v) * (1.0 + v))


@lean_jit
def beyond(difference: float, hold_ab: float, hold_ba: float) -> tuple[float, float]:
    """g: what is left of a difference [Pa] beyond what is held back either way, and its slope [-].

    Bent over 1 Pa, so that the slope is continuous.
    """
    hold, sign = (hold_ab, 1.0) if difference >= 0.0 else (hold_ba, -1.0)
    if hold == 0.0:
        return difference, 1.0
    left = sign * difference - hold
    if left <= 0.0:
        return 0.0, 0.0
    if left < BEND_PA:
        return sign * left * left / (2.0 * BEND_PA), left / BEND_PA
    return sign * (left - 0.5 * BEND_PA), 1.0


@lean_jit
def link_flow(
    pa: float,
    pb: float,
    openness: float,
    conductance: float,
    inertia: float,
    compensated: bool,
    hold_ab: float = 0.0,
    hold_ba: float = 0.0,
    reynolds: float = 0.0,
    straight: float = 0.0,
) -> float:
    """Mass flow from a to b [kg/s] by the law, solved for it.

    reynolds: Re for each unit of flow [s/kg]; straight: share of the viscous loss in the tube itself.
    """
    viscous = conductance * openness * openness * beyond(pa - pb, hold_ab, hold_ba)[0] * (pa + pb)
    if compensated:
        return viscous * compensation(0.5 * (pa + pb))[0]
    if inertia == 0.0 or viscous == 0.0:
        return viscous
    k = expansion(abs(pa - pb) / (pa + pb))
    flow = 2.0 * viscous / (1.0 + sqrt(1.0 + 4.0 * inertia * k * abs(viscous)))
    if reynolds * abs(flow) <= LAMINAR_BELOW:
        return flow
    return _turbulent_flow(viscous, inertia * k, reynolds, straight, flow)


@lean_jit
def _turbulent_flow(
    viscous: float, inertial: float, reynolds: float, straight: float, laminar: float
) -> float:
    """Solve viscous = t(Re) w + inertial w |w| for w, which is no more than the laminar flow."""
    drive, low, high = abs(viscous), 0.0, abs(laminar)
    flow = high
    for _ in range(60):
        rough, bend = turbulence(reynolds * flow, straight)
        left = flow * (rough + inertial * flow) - drive
        low, high = (flow, high) if left < 0.0 else (low, flow)
        move = left / (rough + bend + 2.0 * inertial * flow)
        flow = flow - move if low <= flow - move <= high else 0.5 * (low + high)
        if abs(move) <= 1e-14 * flow:
            break
    return flow if viscous > 0.0 else -flow


@lean_jit
def residual(
    pa: float,
    pb: float,
    flow: float,
    openness: float,
    conductance: float,
    inertia: float,
    compensated: bool,
    hold_ab: float = 0.0,
    hold_ba: float = 0.0,
    reynolds: float = 0.0,
    straight: float = 0.0,
) -> float:
    """How much the law's left side exceeds its right side at a flow [kg/s]."""
    through = conductance * openness * openness
    if compensated:
        return through * (pa - pb) * (pa + pb) * compensation(0.5 * (pa + pb))[0] - flow
    if hold_ab > 0.0 or hold_ba > 0.0:
        return through * beyond(pa - pb, hold_ab, hold_ba)[0] * (pa + pb) - flow
    apart, size = pa - pb, abs(flow)
    rough = 1.0 if reynolds * size <= LAMINAR_BELOW else turbulence(reynolds * size, straight)[0]
    lost = inertia * expansion(abs(apart) / (pa + pb)) * size
    return through * apart * (pa + pb) - flow * (rough + lost)


@lean_jit
def residual_slopes(
    pa: float,
    pb: float,
    flow: float,
    openness: float,
    conductance: float,
    inertia: float,
    compensated: bool,
    hold_ab: float = 0.0,
    hold_ba: float = 0.0,
    reynolds: float = 0.0,
    straight: float = 0.0,
) -> tuple[float, float, float, float, float]:
    """`residual`; its slopes by pa and pb [kg/(s Pa)], by openness [kg/s], and minus that by flow [-]."""
    through = conductance * openness * openness
    if hold_ab > 0.0 or hold_ba > 0.0:
        left, slope = beyond(pa - pb, hold_ab, hold_ba)
        mean = pa + pb
        return (
            through * left * mean - flow,
            through * (slope * mean + left),
            through * (left - slope * mean),
            2.0 * conductance * openness * left * mean,
            1.0,
        )
    drive = (pa - pb) * (pa + pb)
    if compensated:
        factor, slope = compensation(0.5 * (pa + pb))
        bend = 0.5 * through * slope * drive
        return (
            through * factor * drive - flow,
            2.0 * through * factor * pa + bend,
            -2.0 * through * factor * pb + bend,
            2.0 * conductance * openness * factor * drive,
            1.0,
        )
    total, size = pa + pb, abs(flow)
    v = abs(pa - pb) / total
    k, bend = expansion_slope(v)
    lost = inertia * k * size
    rough, rougher = turbulence(reynolds * size, straight)
    by_v = inertia * bend * size * flow / total
    sign = 1.0 if pa >= pb else -1.0
    return (
        through * drive - flow * (rough + lost),
        2.0 * through * pa - by_v * (sign - v),
        -2.0 * through * pb + by_v * (sign + v),
        2.0 * conductance * openness * drive,
        rough + rougher + 2.0 * lost,
    )
