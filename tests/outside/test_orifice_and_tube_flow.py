"""Flow through holes and tubes: gas-dynamics values, laminar tubes, and the general library `fluids`.

Sources row by row in data/orifice_pipe_flow.csv: ISO 5167-2 and Crane TP-410 worked examples as printed in
the documentation of `fluids` 1.3.1, compressible-flow tables, textbooks (some from memory, as the file says).
Sampson's flow through a hole: Phil. Trans. R. Soc. Lond. A 182 (1891) 449.
"""

from math import pi, sqrt

import numpy as np
import pytest

from ramstill.air import viscosity
from ramstill.air.constants import R_AIR, T0
from ramstill.pneumatics import Network
from ramstill.pneumatics.flow import R_CHOKED, link_flow
from ramstill.pneumatics.laws import HOLE_DISCHARGE, coefficients, laminar_tube_flow

fluids = pytest.importorskip("fluids", reason="test extra not installed")


def hole_flow(pa, pb, depth, bore, temperature=T0):
    network = Network(("a", "b"), np.ones(2), np.full(2, temperature), ()).with_hole(
        "h", "a", "b", bore, depth
    )
    g, e, _ = coefficients(network)
    return link_flow(pa, pb, 1.0, float(g[0]), float(e[0]), False)


def tube_flow(pa, pb, length, bore):
    network = Network(("a", "b"), np.ones(2), np.full(2, T0), ()).with_tube("t", "a", "b", length, bore)
    g, e, _ = coefficients(network)
    return link_flow(pa, pb, 1.0, float(g[0]), float(e[0]), False)


def row_of(read, case):
    return next(r for r in read("orifice_pipe_flow") if r["case"].startswith(case))


def test_critical_pressure_ratio(read, residual):
    row = row_of(read, "critical pressure ratio")
    residual("critical pressure ratio", abs(R_CHOKED - float(row["published"])), 5e-5)
    theirs = fluids.P_critical_flow(P=1e5, k=1.4) / 1e5
    residual("critical pressure ratio against fluids", abs(R_CHOKED - theirs), 1e-12)


def test_choked_mass_flow_factor(read, residual):
    """mdot sqrt(T) / (A p) = 0.0404 sqrt(K) s/m, times the discharge coefficient, whatever is downstream."""
    printed = float(row_of(read, "choked mass flow factor")["published"])
    bore = 3e-3
    for downstream in (5.0e4, 1e4, 1.0):
        flow = hole_flow(1e5, downstream, 1e-6, bore)
        factor = flow * sqrt(T0) / (pi / 4.0 * bore**2 * 1e5) / HOLE_DISCHARGE
        # printed to 0.0001; the viscous loss, in series, takes 0.1 % here
        residual(f"choked mass flow factor, {downstream:g} Pa beyond", abs(factor - printed), 1e-4)


def test_sharp_edged_discharge_coefficient(read, residual):
    """pi / (pi + 2) = 0.611 in potential flow: what our law comes to at a high Reynolds number."""
    bore, pa, pb = 5e-3, 101_325.0, 100_325.0
    density = pb / (R_AIR * T0)
    ideal = pi / 4.0 * bore**2 * sqrt(2.0 * density * (pa - pb))
    residual("discharge coefficient", abs(hole_flow(pa, pb, 1e-6, bore) / ideal - pi / (pi + 2.0)), 0.005)
    iso = fluids.C_Reader_Harris_Gallagher(D=0.07391, Do=0.0222, rho=1.165, mu=1.85e-5, m=0.12, taps="flange")
    printed = float(row_of(read, "ISO 5167-2 orifice C")["published"])
    residual("ISO 5167-2 example by fluids", abs(iso - printed), 1e-9)
    # the standard's coefficient in a pipe, of a hole 0.3 of its width: ours is of a hole in the open
    residual(
        "discharge coefficient against ISO 5167-2", abs(HOLE_DISCHARGE - iso / sqrt(1 - 0.3004**4)), 0.02
    )


def test_a_nozzles_flow_between_rest_and_choking(residual):
    """Isentropic flow at a few Mach numbers (textbook), times the discharge coefficient."""
    worst = 0.0
    for mach in (0.1, 0.3, 0.5, 0.8, 0.95, 1.0):
        ratio = (1.0 + 0.2 * mach**2) ** -3.5
        ideal = pi / 4.0 * 4e-3**2 * 1e5 / sqrt(R_AIR * T0) * sqrt(1.4) * mach / (1.0 + 0.2 * mach**2) ** 3
        worst = max(worst, abs(hole_flow(1e5, 1e5 * ratio, 0.0, 4e-3) / (HOLE_DISCHARGE * ideal) - 1.0))
    # the viscous loss in series: 0.13 % of the flow at Mach 0.1, less above
    residual("nozzle flow [-]", worst, 0.002)


def test_creeping_flow_through_a_thin_hole(residual):
    """q = d^3 dp / (24 mu) (Sampson 1891)."""
    bore, p, dp = 1e-4, 1e5, 1e-4
    expected = bore**3 * dp / (24.0 * float(viscosity(T0))) * p / (R_AIR * T0)
    residual("Sampson's flow [-]", abs(hole_flow(p + dp, p, 0.0, bore) / expected - 1.0), 1e-4)


def test_laminar_tube_rows(read, residual):
    worst, seen = 0.0, 0
    for row in read("orifice_pipe_flow"):
        if row["case"] != "laminar isothermal tube":
            continue
        given = dict(part.split()[:2] for part in row["inputs"].split("; "))
        found = laminar_tube_flow(
            float(given["p1"]), float(given["p2"]), float(given["L"]), float(given["d"]), float(given["T"])
        )
        worst = max(worst, abs(float(found) / float(row["recomputed"].split()[0]) - 1.0))
        seen += 1
    assert seen == 3
    residual("laminar tube [-]", worst, 1e-5)  # viscosity printed to six digits


def test_tubes_against_isothermal_pipe_flow(residual):
    """`fluids.isothermal_gas` (Crane TP-410 form) with the laminar friction factor 64 / Re."""
    example = fluids.isothermal_gas(rho=11.3, fd=0.00185, P1=1e6, P2=9e5, L=1000.0, D=0.5)
    assert example == pytest.approx(145.4847572636031, rel=1e-12)  # as printed
    worst = 0.0
    for bore, length, p1, p2 in (
        (4.6e-3, 5.0, 1e5, 99_950.0),
        (1e-3, 1.0, 1e5, 9.8e4),
        (2e-4, 0.5, 1e5, 6e4),
    ):
        flow = tube_flow(p1, p2, length, bore)
        for _ in range(50):
            friction = 64.0 * float(viscosity(T0)) * pi * bore / (4.0 * flow)
            flow = fluids.isothermal_gas(rho=p1 / (R_AIR * T0), fd=friction, P1=p1, P2=p2, L=length, D=bore)
        worst = max(worst, abs(tube_flow(p1, p2, length, bore) / flow - 1.0))
    # ours has ends (1.5 heads and 3 pi d / 16), theirs the speeding up of the gas along the tube
    residual("isothermal tube [-]", worst, 0.01)
