"""Compressible-flow tables, gamma 1.4.

A fluid-mechanics textbook appendix (table A.1), Aeronautical Engineer's Data Book table A4.1, and Farokhi,
Aircraft Propulsion, appendix B; Rayleigh and shock rows of NACA Report 1135 from memory.
"""

import pytest

from ramstill import air


def _ours(quantity, mach):
    q = air.impact_pressure_from_mach(mach, 1.0)
    isentropic = air.total_temperature(1.0, mach) ** 3.5
    return {
        # below Mach 1 the impact law itself; above it the tables' isentropic ratio has no shock in it
        "p/pt isentropic": 1.0 / (1.0 + q) if mach <= 1.0 else 1.0 / isentropic,
        "pt/p isentropic": 1.0 + q if mach <= 1.0 else isentropic,
        "T/Tt": 1.0 / air.total_temperature(1.0, mach),
        "p1/pt2 Rayleigh pitot": 1.0 / (1.0 + q),
        "pt2/pt1 normal shock": (1.0 + q) / isentropic,
    }[quantity]


@pytest.mark.parametrize(
    "quantity",
    ["p/pt isentropic", "pt/p isentropic", "T/Tt", "p1/pt2 Rayleigh pitot", "pt2/pt1 normal shock"],
)
def test_ratio(read, residual, quantity):
    rows = [r for r in read("compressible_flow") if r["quantity"] == quantity]
    assert rows
    off = [abs(_ours(quantity, float(r["mach"])) - float(r["printed"])) for r in rows]
    residual(quantity, max(off), 1e-4)  # four digits printed


def test_every_row_has_a_law(read):
    """The static ratio over a shock is the one quantity in the file that no function here gives."""
    left = {r["quantity"] for r in read("compressible_flow")} - {"p/pt isentropic", "pt/p isentropic", "T/Tt"}
    assert left == {"p1/pt2 Rayleigh pitot", "pt2/pt1 normal shock", "p2/p1 normal shock"}


def test_back_to_mach(read, residual):
    off = []
    for r in read("compressible_flow"):
        if r["quantity"] == "p1/pt2 Rayleigh pitot":
            ratio, mach = float(r["printed"]), float(r["mach"])
            slope = (
                abs(_ours("p1/pt2 Rayleigh pitot", mach + 1e-5) - _ours("p1/pt2 Rayleigh pitot", mach)) / 1e-5
            )
            off.append(abs(air.mach(1.0 / ratio - 1.0, 1.0) - mach) * slope)
    residual("Rayleigh pitot, back from print [ratio]", max(off), 1e-4)
