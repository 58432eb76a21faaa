"""The one flow law of every link, with its slopes: viscous and inertial losses in series.

docs/physics.md says where it comes from. With D = pa^2 - pb^2 [Pa^2] and openness o

    w = 2 o^2 G D / (1 + sqrt(1 + 4 H k(r) o^2 |D|))

G [kg/(s Pa^2)] is the viscous conductance, H [1/Pa^2] says when inertia takes over, r is the lower pressure
over the higher, and k(r) carries expansion and choking: 1 at r = 1. Smooth to the first derivative
everywhere.
"""

from ramstill.air.constants import GAMMA, T0
from ramstill.pneumatics._compiled import jit

# Powers below are written out for gamma = 7/5: s = r^(2/7), the isentropic temperature ratio.
assert GAMMA == 1.4
EXPANSION = (GAMMA - 1.0) / GAMMA
S_CHOKED = 2.0 / (GAMMA + 1.0)
R_CHOKED = S_CHOKED**3.5  # 0.5283
PSI2_CHOKED = 7.0 * S_CHOKED**5 * (1.0 - S_CHOKED)

# What a maker's compensation aims at: the standard temperature at the pressure in the leak, with the corner
# at 11 km rounded so that its slope is smooth (0.02 % off at 25,000 ft, 1.7 % at 36,000 ft).
T_TOP = 216.65  # standard temperature above 11 km [K], ICAO Doc 7488
P_TOP = 22632.06  # standard pressure at 11 km [Pa], same
SLOPE = 0.190263  # 6.5 K/km R / g [-], same
ROUND = 40.0


@jit
def compensation(mean_pa: float) -> tuple[float, float]:
    """T0 over standard temperature at a pressure [Pa], and its slope [1/Pa]."""
    if mean_pa <= 0.0:
        return T0 / T_TOP, 0.0
    x = (mean_pa / P_TOP) ** (ROUND * SLOPE)
    value = T0 / T_TOP * (1.0 + x) ** (-1.0 / ROUND)
    return value, -value * SLOPE * x / ((1.0 + x) * mean_pa)


@jit
def link_flow(
    pa: float, pb: float, openness: float, conductance: float, inertia: float, compensated: bool
) -> tuple[float, float, float, float]:
    """Mass flow from a to b [kg/s] and its slopes by pa, by pb [kg/(s Pa)] and by openness [kg/s]."""
    through = openness * openness * conductance
    if through == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    drive = (pa - pb) * (pa + pb)
    if compensated:
        factor, slope = compensation(0.5 * (pa + pb))
        flow = through * factor * drive
        bend = 0.5 * through * slope * drive
        return (
            flow,
            2.0 * through * factor * pa + bend,
            -2.0 * through * factor * pb + bend,
            2.0 * flow / openness,
        )
    high, low = (pa, pb) if pa >= pb else (pb, pa)
    if inertia == 0.0 or high <= 0.0:
        flow = through * drive
        return flow, 2.0 * through * pa, -2.0 * through * pb, 2.0 * flow / openness

    # k(r) and r dlnk/dr
    r = low / high
    if r > R_CHOKED:
        s = r**EXPANSION
        powers = 1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s * (1.0 + s)))))
        rising = s * (1.0 + s * (2.0 + s * (3.0 + s * (4.0 + s * (5.0 + s * 6.0)))))
        k = powers / (7.0 * s**5)
        bend = EXPANSION * (rising / powers - 5.0)
    else:
        k = (1.0 - r * r) / PSI2_CHOKED
        bend = -2.0 * r * r / (1.0 - r * r)

    size = abs(drive)
    root = (1.0 + 4.0 * inertia * k * openness * openness * size) ** 0.5
    flow = 2.0 * through * size / (1.0 + root)
    by_k = -flow * (root - 1.0) / (2.0 * root)  # by ln k
    by_high = through * 2.0 * high / root - by_k * bend / high
    by_low = -through * 2.0 * low / root + (by_k * bend / low if low > 0.0 else 0.0)
    by_openness = 2.0 * openness * conductance * size / root
    if pa >= pb:
        return flow, by_high, by_low, by_openness
    return -flow, -by_low, -by_high, -by_openness
