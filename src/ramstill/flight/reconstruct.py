"""From a recorded flight back to the pressures outside.

The record says what the instruments showed. Taking the airplane as healthy, the pressures outside are those
that make it show the smooth curve behind the readings: its lag and position error are undone by flying it
through a guess, and correcting the guess by what it then shows too much, until it shows the record.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.errors import InputError
from ramstill.flight.attitude import angle_of_attack
from ramstill.flight.companions import Companions, companions
from ramstill.flight.outside import boundary_names, pressures
from ramstill.flight.readings import Readings, smooth_readings
from ramstill.flight.replay import Replay, replay
from ramstill.flight.smoothing import smoothest
from ramstill.pneumatics import SolverError, Surroundings, Truth, compile_network

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
DEAD = 20.0 * units.KT  # below this an airspeed indicator says nothing [m/s]; common practice, no source
ROUNDS = 6  # at most; two or three are usual
CLOSE = 0.1  # of a step: near enough
STALLED = 0.8  # a round that does not bring the largest miss below this share of it ends the search
CALM_S = 0.35  # corrections quicker than this are left out [s]


@dataclass(frozen=True, slots=True)
class Reconstruction:
    """Outside pressures, what the healthy replay shows, and how near it comes to the record.

    furthest: quantity -> largest distance of the replay from a sound reading [steps].
    """

    surroundings: Surroundings
    readings: Readings
    replay: Replay
    furthest: dict[str, float]
    rounds: int
    notes: tuple[str, ...]


def reconstruct(airplane: Airplane, recording: Recording) -> Surroundings:
    """Return the outside pressures that make a healthy `airplane` show `recording`.

    Rounded to the record's step the healthy replay returns every sound reading within one step. Assumptions:
    flap and gear up, wings level, no sideslip; the standard day's temperature where the outside one is not
    recorded. Raises InputError for readings that no air outside can bring about.
    """
    return reconstruction(airplane, recording).surroundings


def reconstruction(airplane: Airplane, recording: Recording) -> Reconstruction:
    """As `reconstruct`, with the replay and the notes."""
    readings = smooth_readings(airplane, recording)
    wanted = {"ias": readings.ias_m_s, "altitude": readings.altitude_m}
    behind = np.asarray(air.pressure_altitude(readings.setting_pa))
    static = np.asarray(air.static_pressure(np.clip(readings.altitude_m + behind, LOWEST, HIGHEST)))
    impact = np.asarray(air.impact_pressure(readings.ias_m_s))
    company = companions(airplane, recording, readings)
    try:
        outside, shown, rounds = _rounds(airplane, recording, readings, company, wanted, static, impact)
    except (ValueError, SolverError) as error:
        raise InputError(
            recording.source, "", "readings that no air can bring about", f"a flight ({error})"
        ) from None
    furthest = {
        quantity: float(np.max(distance(recording, readings, quantity, shown), initial=0.0))
        for quantity in readings.recorded
        if quantity in shown.values
    }
    missed = tuple(
        f"The healthy replay misses {quantity} by up to {far:.1f} steps of the record."
        for quantity, far in furthest.items()
        if far > 1.0
    )
    notes = (*readings.notes, *company.notes, *missed)
    return Reconstruction(outside, readings, shown, furthest, rounds, notes)


def _rounds(
    airplane: Airplane,
    recording: Recording,
    readings: Readings,
    company: Companions,
    wanted: dict[str, Array],
    static: Array,
    impact: Array,
) -> tuple[Surroundings, Replay, int]:
    behind = np.asarray(air.pressure_altitude(readings.setting_pa))
    network = compile_network(airplane)
    steps = {q: recording.steps.get(q, units.FT if q == "altitude" else units.KT) for q in wanted}
    best: tuple[float, Surroundings, Replay] | None = None
    number = 0
    while number < ROUNDS:
        number += 1
        outside = _outside(airplane, recording, readings, company, static, impact)
        shown = replay(airplane, outside, readings.time_s, readings.setting_pa, network)
        miss = {q: shown.values[q] - wanted[q] for q in wanted if q in shown.values}
        worst = max((_worst(m, q, wanted) / steps[q] for q, m in miss.items()), default=0.0)
        better = best is None or worst < STALLED * best[0]
        if best is None or worst < best[0]:
            best = worst, outside, shown
        if worst < CLOSE or not better:
            break
        if "altitude" in miss:
            should = wanted["altitude"] + behind
            does = should + _calm(readings.time_s, miss["altitude"])
            static = static + np.asarray(air.static_pressure(np.clip(should, LOWEST, HIGHEST)))
            static = static - np.asarray(air.static_pressure(np.clip(does, LOWEST, HIGHEST)))
        if "ias" in miss:
            does = wanted["ias"] + _calm(readings.time_s, miss["ias"])
            felt = np.copysign(np.asarray(air.impact_pressure(np.abs(does))), does)
            impact = np.maximum(impact + np.asarray(air.impact_pressure(wanted["ias"])) - felt, 0.0)
    assert best is not None
    return best[1], best[2], number


def _calm(time_s: Array, miss: Array) -> Array:
    """What a lag misses is smooth: anything quicker would be answered by a ripple, and a larger one next."""
    return smoothest(time_s, miss, np.full(len(miss), np.inf), pull_s=CALM_S)


def _worst(miss: Array, quantity: str, wanted: dict[str, Array]) -> float:
    """Largest miss where it counts: an airspeed indicator says nothing near zero."""
    counts = wanted["ias"] > DEAD if quantity == "ias" else np.ones(len(miss), dtype=bool)
    return float(np.max(np.abs(miss[counts]), initial=0.0))


def distance(recording: Recording, readings: Readings, quantity: str, shown: Replay) -> Array:
    """How far the replay is from each sound reading of `quantity` [steps], unrounded."""
    recorded = recording.values[quantity]
    sound = ~np.isnan(recorded) & ~np.isin(recording.time_s, readings.set_aside.get(quantity, np.empty(0)))
    if quantity == "ias":
        sound &= recorded > DEAD
    return np.asarray(np.abs(shown.values[quantity] - recorded)[sound] / recording.steps[quantity])


def _outside(
    airplane: Airplane,
    recording: Recording,
    readings: Readings,
    company: Companions,
    static: Array,
    impact: Array,
) -> Surroundings:
    altitude = np.asarray(air.pressure_altitude(static))
    warmth = company.temperature_k
    if warmth is None:
        warmth = np.asarray(air.standard_temperature(np.clip(altitude, LOWEST, HIGHEST)))
    mach = np.asarray(air.mach(impact, static))
    tas = np.asarray(air.true_airspeed(mach, warmth))
    cas = np.asarray(air.calibrated_airspeed(impact))
    flying = np.clip(cas / float(airplane.speeds.stall_landing) * 5.0 - 4.0, 0.0, 1.0)
    alpha = angle_of_attack(airplane.wing, static, mach, np.ones(len(cas)), np.zeros(len(cas))) * flying
    truth = Truth.steady(
        readings.time_s,
        phases=((float(readings.time_s[0]), "recorded flight"),),
        pressure_altitude_m=altitude,
        geometric_altitude_m=company.geometric_m,
        static_pressure_pa=static,
        impact_pressure_pa=impact,
        cas_m_s=cas,
        tas_m_s=tas,
        climb_m_s=company.climb_m_s,
        outside_temperature_k=warmth,
        altimeter_setting_pa=readings.setting_pa,
        angle_of_attack_rad=alpha,
        power=company.power,
        height_over_ground_m=company.height_over_ground_m,
        ground_speed_m_s=tas if company.ground_speed_m_s is None else company.ground_speed_m_s,
    )
    return Surroundings.from_samples(
        readings.time_s, boundary_names(airplane), pressures(airplane, truth), truth, title="recorded flight"
    )
