"""Heat between air and walls: eigenvalues, limits, and the heat equation itself solved on a grid."""

import numpy as np
import pytest
from scipy.special import jn_zeros

from ramstill import air
from ramstill.air.constants import CP_AIR, GAMMA, P0, T0
from ramstill.air.units import FT
from ramstill.pneumatics import (
    case_exponent,
    case_time_constant,
    thermal_diffusivity,
    tube_exponent,
    tube_time_constant,
)
from ramstill.pneumatics.heat import _CYLINDER, sphere_radius

SPHERE_80_MM = np.pi / 6.0 * 0.08**3


def test_eigenvalues():
    assert _CYLINDER["dying-out"] == pytest.approx(jn_zeros(0, 1)[0] ** 2, rel=1e-12)


def test_the_numbers_in_the_docs():
    """0.044 s in a 4.6 mm line and 7.9 s in an 80 mm case at sea level, less in thinner air."""
    assert tube_time_constant(4.6e-3) == pytest.approx(0.0444, abs=1e-4)
    assert case_time_constant(SPHERE_80_MM) == pytest.approx(7.88, abs=0.01)
    high = air.static_pressure(25000.0 * FT)
    assert tube_time_constant(4.6e-3, high) == pytest.approx(0.0165, abs=1e-4)
    assert case_time_constant(SPHERE_80_MM, high) == pytest.approx(2.92, abs=0.01)
    cold = air.standard_temperature(25000.0 * FT)
    assert tube_time_constant(4.6e-3, high, cold) == pytest.approx(0.0237, abs=1e-4)
    assert case_time_constant(SPHERE_80_MM, high, cold) == pytest.approx(4.19, abs=0.01)


def test_diffusivity_as_printed():
    """2.2e-5 m2/s at 300 K and one atmosphere: textbooks of heat transfer, from memory, within 3 %."""
    assert thermal_diffusivity(P0, 300.0) == pytest.approx(2.2e-5, rel=0.03)
    assert thermal_diffusivity([P0, P0 / 2.0], 300.0)[1] == pytest.approx(
        2.0 * thermal_diffusivity(P0, 300.0)
    )


@pytest.mark.parametrize("dimension", [2, 3])
def test_against_the_heat_equation_on_a_grid(dimension):
    """Shells of a cylinder (2) or sphere (3): free decay, and the mean in an even change of pressure."""
    shells, radius = 200, 0.01
    edge = np.linspace(0.0, radius, shells + 1)
    middle = 0.5 * (edge[1:] + edge[:-1])
    volume = edge[1:] ** dimension - edge[:-1] ** dimension
    a = float(thermal_diffusivity())
    conduct = dimension * edge[1:-1] ** (dimension - 1) / np.diff(middle)
    wall = dimension * radius ** (dimension - 1) / (radius - middle[-1])
    matrix = np.diag(np.append(conduct, wall) + np.insert(conduct, 0, 0.0))
    matrix -= np.diag(conduct, 1) + np.diag(conduct, -1)
    matrix = a * matrix / volume[:, None]
    slowest = np.linalg.eigvals(matrix).real.min()
    mean = np.average(np.linalg.solve(matrix, np.ones(shells)), weights=volume)
    constant = {2: tube_time_constant, 3: case_time_constant}[dimension]
    size = {2: 2.0 * radius, 3: 4.0 / 3.0 * np.pi * radius**3}[dimension]
    # 200 shells resolve the slowest shape to about 1e-4
    assert constant(size) == pytest.approx(1.0 / slowest, rel=1e-3)
    assert constant(size, when="steady-change") == pytest.approx(mean, rel=1e-3)
    # and the complex exponent, from the same grid driven at one frequency
    f = 0.3 * slowest
    swing = np.linalg.solve(matrix + 2j * np.pi * f * np.eye(shells), np.full(shells, 2j * np.pi * f))
    share = np.average(swing, weights=volume)
    exponent = {2: tube_exponent, 3: case_exponent}[dimension](size, f)
    assert exponent == pytest.approx(1.0 / (1.0 - (GAMMA - 1.0) / GAMMA * share), rel=1e-3)


@pytest.mark.parametrize("exponent", [lambda f: tube_exponent(4.6e-3, f), lambda f: case_exponent(2.5e-4, f)])
def test_isothermal_when_slow_adiabatic_when_fast(exponent):
    assert exponent(0.0) == 1.0
    assert exponent(1e-7) == pytest.approx(1.0, abs=1e-4)
    assert exponent(1e7) == pytest.approx(GAMMA, abs=3e-3)
    between = exponent(np.geomspace(1e-4, 1e4, 300))
    assert (between.imag >= 0.0).all()
    assert ((between.real >= 1.0 - 1e-12) & (between.real <= GAMMA + 1e-12)).all()


def test_series_meets_closed_form():
    f = 1e-4 * thermal_diffusivity() / (2.0 * np.pi * sphere_radius(1e-4) ** 2)
    below, above = case_exponent(1e-4, [f * (1 - 1e-9), f * (1 + 1e-9)])
    assert below == pytest.approx(above, abs=1e-9)


def test_a_steady_climb_warms_next_to_nothing():
    """1,000 ft/min at sea level cools the mean of a large round case by a quarter of a kelvin."""
    rate = 61.0  # Pa/s
    off = rate / (air.density(P0, T0) * CP_AIR) * case_time_constant(SPHERE_80_MM, when="steady-change")
    assert 0.2 < off < 0.3


@pytest.mark.parametrize("call", [lambda: tube_time_constant(0.0), lambda: case_time_constant(-1.0)])
def test_bad_sizes(call):
    with pytest.raises(ValueError, match="above zero"):
        call()


def test_bad_air():
    with pytest.raises(ValueError, match="above zero"):
        tube_time_constant(1e-3, pressure_pa=0.0)
    with pytest.raises(ValueError, match="zero or more"):
        case_exponent(1e-4, -1.0)
