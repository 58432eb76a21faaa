"""Friction in a smooth tube at any Reynolds number, over that of laminar flow.

S. W. Churchill, Friction-factor equation spans all fluid-flow regimes, Chemical Engineering 84 (7 November
1977) 91, with no roughness: laminar below a Reynolds number of about 2000, and one smooth curve through
transition and into turbulence.
"""

from math import log, sqrt

from ramstill.pneumatics._compiled import lean_jit

LAMINAR_BELOW = 1000.0  # the formula's own departure from laminar flow is 2e-14 there


@lean_jit
def turbulence(reynolds: float, straight: float) -> tuple[float, float]:
    """Viscous loss over the laminar one at a Reynolds number [-], and its slope times that number.

    f Re / 64 in the tube itself, whose share of the laminar loss is `straight`; 1 at its ends.
    """
    if reynolds <= LAMINAR_BELOW or straight == 0.0:
        return 1.0, 0.0
    reynolds = min(reynolds, 1e15)  # beyond all sense, as a trial step may make it
    depth = log(reynolds / 7.0)
    smooth = (2.457 * 0.9 * depth) ** 16
    blend = (37530.0 / reynolds) ** 16
    both = smooth + blend
    beyond = (reynolds / 8.0) ** 12 / (both * sqrt(both))
    change = 12.0 - 1.5 * 16.0 * (smooth / depth - blend) / both
    more = (1.0 + beyond) ** (1.0 / 12.0)
    return 1.0 + straight * (more - 1.0), straight * more * beyond * change / (12.0 * (1.0 + beyond))
