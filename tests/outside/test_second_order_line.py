"""What a line with a case does after a step, against the textbook's second-order instrument.

Source: E. O. Doebelin, Measurement Systems (from memory), a transmission line with laminar flow that fills a
volume: natural frequency w = c sqrt(3 A / (4 L V)), the parabola of the flow carrying 4/3 of the inertia, and
damping from Poiseuille's law. Solved over time by scipy.signal. The volume is adiabatic, so is c; the line is
slender beside the volume, so that its own air hardly counts.
"""

import numpy as np
import pytest
from scipy import signal

from ramstill.air.constants import GAMMA, P0, R_AIR, T0
from ramstill.air.gas import viscosity
from ramstill.pneumatics import Network, step_departures
from ramstill.pneumatics.departures import EARLY_S, STEP_HZ
from ramstill.pneumatics.laws import end_length


@pytest.mark.parametrize(
    ("length", "bore", "volume", "damping"),
    [(1.0, 2.2e-3, 2.0e-4, 0.76), (1.5, 2.8e-3, 4.0e-4, 0.80), (0.6, 2.2e-3, 3.0e-4, 0.72)],
)
def test_a_step_into_a_line_and_a_case(length: float, bore: float, volume: float, damping: float) -> None:
    half = np.pi / 8.0 * bore**2 * length
    network = Network(
        ("case",), np.array([volume + half]), np.array([T0]), ("outside",), heat="adiabatic"
    ).with_tube("line", "outside", "case", length, bore)
    found = step_departures(network, ["case"], np.array([P0]), np.array([P0])).of_boundaries[0, 0]
    after = found[round(EARLY_S * STEP_HZ) :]

    reach, area = length + float(end_length(bore)), np.pi / 4.0 * bore**2
    density, sound2 = P0 / (R_AIR * T0), GAMMA * R_AIR * T0
    natural = np.sqrt(sound2 * 3.0 * area / (4.0 * reach * volume))
    resistance = 128.0 * float(viscosity(T0)) * reach / (np.pi * bore**4) / density
    zeta = 0.5 * resistance * volume / sound2 * natural
    time = np.arange(len(after)) / STEP_HZ
    second = signal.step(([1.0], [1.0 / natural**2, 2.0 * zeta / natural, 1.0]), T=time)[1]
    first = -np.expm1(-time / (resistance * (volume + half) / sound2))
    expected = second - first

    assert zeta == pytest.approx(damping, abs=0.2)  # neither rings for long nor creeps
    assert np.abs(expected).max() > 0.15  # there is something to be seen
    # 3 % of the step: the air along the line, the gentle cut at 32 Hz, friction that grows with frequency
    assert after == pytest.approx(expected, abs=0.03)
