"""Friction in a tube beyond laminar flow, against the library `fluids`.

Churchill_1977 and Blasius: friction factors (Darcy's). isothermal_gas: compressible flow in a long pipe,
m^2 = S^2 (p1^2 - p2^2) / (R T (f L / d + 2 ln(p1 / p2))). Ours has 1.5 dynamic heads for the two ends
besides, which is added to theirs, and the nozzle's expansion in place of the logarithm.
"""

from math import pi

import numpy as np
import pytest

from ramstill.air.constants import R_AIR
from ramstill.air.gas import viscosity
from ramstill.pneumatics import Network
from ramstill.pneumatics.flow import link_flow
from ramstill.pneumatics.friction import turbulence
from ramstill.pneumatics.laws import coefficients, friction

fluids = pytest.importorskip("fluids", reason="test extra not installed")
WARM = 288.15


def test_friction_factor(residual):
    reynolds = np.geomspace(100.0, 1e7, 400)
    ours = np.array([64.0 / re * turbulence(float(re), 1.0)[0] for re in reynolds])
    theirs = np.array([fluids.friction.Churchill_1977(float(re), 0.0) for re in reynolds])
    residual(
        "Churchill's friction factor, Re 100 to 1e7 [-]", float(np.max(np.abs(ours / theirs - 1.0))), 1e-12
    )


def test_blasius(residual):
    reynolds = np.geomspace(6e3, 1e5, 60)
    ours = np.array([64.0 / re * turbulence(float(re), 1.0)[0] for re in reynolds])
    theirs = np.array([fluids.friction.Blasius(float(re)) for re in reynolds])
    # two fits to the same measurements; Churchill's is a little higher
    residual(
        "friction factor against Blasius', Re 6e3 to 1e5 [-]",
        float(np.max(np.abs(ours / theirs - 1.0))),
        0.03,
    )


@pytest.mark.parametrize(("length", "bore"), [(3.0, 4.6e-3), (5.0, 6.35e-3), (10.0, 4.6e-3)])
def test_isothermal_flow_in_a_long_line(length, bore, residual):
    network = Network(("a", "b"), np.full(2, 1e-4), np.full(2, WARM), ()).with_tube(
        "tube", "a", "b", length, bore
    )
    (g, e, c), (per_flow, straight) = coefficients(network), friction(network)
    worst, fastest, mu = 0.0, 0.0, float(viscosity(WARM))
    for difference in np.geomspace(10.0, 15e3, 25):
        p1, p2 = 1e5, 1e5 - float(difference)
        ours = link_flow(p1, p2, 1.0, g[0], e[0], bool(c[0]), 0.0, 0.0, per_flow[0], straight[0])
        reynolds = 4.0 * ours / (pi * bore * mu)
        fastest = max(fastest, reynolds)
        # their flow with the friction at our flow, ends added to the friction of the length
        factor = fluids.friction.Churchill_1977(reynolds, 0.0) + 1.5 * bore / length
        theirs = fluids.isothermal_gas(rho=p1 / (R_AIR * WARM), fd=factor, P1=p1, P2=p2, L=length, D=bore)
        worst = max(worst, abs(ours / theirs - 1.0))
    assert fastest > 5000.0
    # the ends' creeping loss (0.1 %), and 2 ln(p1/p2), 0.3 beside some 20 of friction at the most
    residual(f"flow in {length:g} m of {bore * 1e3:g} mm up to Re {fastest:.0f} [-]", worst, 0.01)
