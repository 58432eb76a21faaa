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

from math import sqrt

from ramstill.air.constants import GAMMA, T0
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.friction import LAMINAR_BELOW, turbulence

# Powers below are written out for gamma = 7/5: s = r^(2/7), the isentropic temperature ratio.
assert GAMMA == 1.4
EXPANSION = (GAMMA - 1.0) / GAMMA
S_CHOKED = 2.0 / (GAMMA + 1.0)
R_CHOKED = S_CHOKED**3.5  # 0.5283
PSI2_CHOKED = 7.0 * S_CHOKED**5 * (1.0 - S_CHOKED)

NEAR = 0.02
# Coefficients of 1 - (1 - u)^(2/7).
C1 = EXPANSION
C2 = C1 * (1.0 - EXPANSION) / 2.0
C3 = C2 * (2.0 - EXPANSION) / 3.0
C4 = C3 * (3.0 - EXPANSION) / 4.0
C5 = C4 * (4.0 - EXPANSION) / 5.0
C6 = C5 * (5.0 - EXPANSION) / 6.0
C7 = C6 * (6.0 - EXPANSION) / 7.0

# What a maker's compensation aims at: the standard temperature at the pressure in the leak, with the corner
# at 11 km rounded so that its slope is smooth (0.02 % off at 25,000 ft, 1.7 % at 36,000 ft).
T_TOP = 216.65  # standard temperature above 11 km [K], ICAO Doc 7488
P_TOP = 22632.06  # standard pressure at 11 km [Pa], same
SLOPE = 0.190263  # 6.5 K/km R / g [-], same
ROUND = 40.0

BEND_PA = 1.0  # over so much a slug begins to let a difference by [Pa]


@jit
def compensation(mean_pa: float) -> tuple[float, float]:
    """T0 over standard temperature at a pressure [Pa], and its slope [1/Pa]."""
    if mean_pa <= 0.0:
        return T0 / T_TOP, 0.0
    x = (mean_pa / P_TOP) ** (ROUND * SLOPE)
    value = T0 / T_TOP * (1.0 + x) ** (-1.0 / ROUND)
    return value, -value * SLOPE * x / ((1.0 + x) * mean_pa)


@jit
def temperature_ratio(r: float) -> float:
    """r^(2/7); near 1, where nearly all links are nearly always, by the binomial series (to 1e-16)."""
    u = 1.0 - r
    if u > NEAR:
        return float(r**EXPANSION)
    return 1.0 - u * (C1 + u * (C2 + u * (C3 + u * (C4 + u * (C5 + u * (C6 + u * C7))))))


@jit
def expansion(r: float) -> tuple[float, float]:
    """k(r), and r dlnk/dr."""
    if r <= R_CHOKED:
        return (1.0 - r * r) / PSI2_CHOKED, -2.0 * r * r / (1.0 - r * r)
    s = temperature_ratio(r)
    powers = 1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s)))))
    rising = s * (1.0 + s * (2.0 + s * (3.0 + s * (4.0 + s * (5.0 + s * 6.0)))))
    return powers / (7.0 * s**5), EXPANSION * (rising / powers - 5.0)


@jit
def ratio(pa: float, pb: float) -> float:
    """Lower pressure over higher, within 0 and 1 whatever a trial step may have made of them."""
    high, low = max(pa, pb), min(pa, pb)
    return low / high if low > 0.0 else 0.0


@jit
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


@jit
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
    k = expansion(ratio(pa, pb))[0]
    flow = 2.0 * viscous / (1.0 + sqrt(1.0 + 4.0 * inertia * k * abs(viscous)))
    if reynolds * abs(flow) <= LAMINAR_BELOW:
        return flow
    return _turbulent_flow(viscous, inertia * k, reynolds, straight, flow)


@jit
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


@jit
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
    viscous = conductance * openness * openness * beyond(pa - pb, hold_ab, hold_ba)[0] * (pa + pb)
    if compensated:
        return viscous * compensation(0.5 * (pa + pb))[0] - flow
    if inertia == 0.0 or flow == 0.0:
        return viscous - flow
    rough = turbulence(reynolds * abs(flow), straight)[0]
    return viscous - rough * flow - inertia * expansion(ratio(pa, pb))[0] * flow * abs(flow)


@jit
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
    lost, by_ln_r, rough, rougher = 0.0, 0.0, 1.0, 0.0
    if inertia != 0.0 and flow != 0.0:
        k, bend = expansion(ratio(pa, pb))
        lost = inertia * k * abs(flow)
        by_ln_r = lost * flow * bend if min(pa, pb) > 0.0 else 0.0
        rough, rougher = turbulence(reynolds * abs(flow), straight)
    low_first = 1.0 if pa < pb else -1.0
    return (
        through * drive - flow * (rough + lost),
        2.0 * through * pa - low_first * by_ln_r / pa,
        -2.0 * through * pb + low_first * by_ln_r / pb,
        2.0 * conductance * openness * drive,
        rough + rougher + 2.0 * lost,
    )
