"""What a bench programme does to the pressures at the openings. On the bench only: never on a live airplane.

System tests belong to appropriately rated people with the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.atmosphere import HIGHEST
from ramstill.bench.openings import resolve
from ramstill.bench.shapes import Bent, Held, shape_of
from ramstill.errors import InputError
from ramstill.flight.outside import boundary_names
from ramstill.flight.tables import LONGEST_S
from ramstill.pneumatics import Schedule, Surroundings, Truth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.bench.programme import AnyApply, Programme

Array = NDArray[np.float64]
SAMPLE_S = 0.1  # [s]; a breath's swell takes a second
AFTER_S = 30.0  # how long the programme goes on after its last step [s]


@dataclass(frozen=True, slots=True)
class _Step:
    """One step at one opening: `number` counts the steps from 1."""

    number: int
    apply: AnyApply
    opening: str


def surroundings(
    airplane: Airplane, programme: Programme, day: air.Day | None = None, source: str = "bench programme"
) -> Surroundings:
    """Return the outside pressures of a bench programme at every boundary of an airplane's network.

    The airplane stands still at `programme.elevation`: what nothing is applied to has the pressure of the
    place. Steps at one opening follow one another. Raises InputError naming the step for an opening the
    airplane does not have, two steps at one opening at the same time, and a suction that leaves no air.
    """
    day = day or air.Day()
    height = float(air.geopotential_from_geometric(programme.elevation))
    try:
        ambient = float(day.pressure(height))
    except ValueError as error:
        raise InputError(source, "bench.elevation", f"{programme.elevation:g} m", str(error)) from None
    steps = _steps(airplane, programme, source)
    sees = {opening.name: opening.sees for opening in airplane.openings}
    ports = [o.name for o in airplane.openings if o.kind == "static-port"]
    # what ram openings get from a test set stands on what the static ports get, so those come first
    columns: dict[str, Held] = {name: Held.of(ambient) for name in sees}
    for name in sorted(sees, key=lambda n: sees[n] == "ram"):
        for step in sorted((s for s in steps if s.opening == name), key=lambda s: s.apply.begin):
            reference = [columns[port] for port in ports] if sees[name] == "ram" else []
            bent = shape_of(step.apply, columns[name], ambient, reference, sees[name])
            _check(bent, step, columns[name], source)
            columns[name] = columns[name].then(bent)
    ends = [bent.end_s for column in columns.values() for bent in column.bends]
    longest = max(programme.duration or 0.0, *ends)
    if longest > LONGEST_S:
        hours = f"{LONGEST_S / 3600.0:g} h at most"
        raise InputError(source, "bench", f"a programme of {longest / 3600.0:.3g} h", hours)
    return _built(airplane, programme, steps, columns, day, ambient, height)


def _steps(airplane: Airplane, programme: Programme, source: str) -> list[_Step]:
    found: list[_Step] = []
    for number, apply in enumerate(programme.apply, start=1):
        for written in apply.opening:
            where = f"bench.apply[{number}].opening"
            found += [_Step(number, apply, name) for name in resolve(airplane, written, source, where)]
    return found


def _check(bent: Bent, step: _Step, column: Held, source: str) -> None:
    where = f"bench.apply[{step.number}]"
    if bent.begin_s < column.busy_until_s - 1e-9:
        read = f"{bent.begin_s:g} s at {step.opening}"
        allowed = f"{column.busy_until_s:g} s or later, when the step before it at this opening is over"
        raise InputError(source, f"{where}.from", read, allowed)
    least = float(air.static_pressure(HIGHEST))
    if bent.lowest_pa < least:
        allowed = f"a suction that leaves {least:.0f} Pa, the air of the standard day at {HIGHEST:g} m"
        raise InputError(source, where, f"down to {bent.lowest_pa:.0f} Pa", allowed)


def _built(
    airplane: Airplane,
    programme: Programme,
    steps: list[_Step],
    columns: dict[str, Held],
    day: air.Day,
    ambient: float,
    height: float,
) -> Surroundings:
    bends = [bent for column in columns.values() for bent in column.bends]
    end = max(bent.end_s for bent in bends)
    duration = programme.duration or end + AFTER_S
    kinks = sorted({k for bent in bends for k in bent.kinks_s if 0.0 < k < duration})
    even = np.arange(0.0, duration, SAMPLE_S)
    time = np.unique(np.concatenate([even, kinks, [duration]]))
    # samples closer to a kink than rounding of times matters are dropped; the kink itself stays
    near = np.concatenate([[False], np.diff(time) < 1e-6]) & ~np.isin(time, [*kinks, duration])
    time = time[~near]
    names = boundary_names(airplane)
    pressure = np.full((len(time), len(names)), ambient)
    openness: dict[str, Schedule] = {}
    for name, column in columns.items():
        pressure[:, names.index(name)] = column.at(time)
        for bent in column.bends:
            if bent.openness is not None:
                there = openness.get(name)
                openness[name] = there.times(bent.openness) if there else bent.openness
    setting = programme.altimeter_setting or float(air.altimeter_setting(ambient, programme.elevation))
    phases = sorted({(step.apply.begin, step.apply.title) for step in steps})
    truth = Truth.steady(
        time,
        phases=((0.0, "standing"), *phases) if not phases or phases[0][0] > 0.0 else tuple(phases),
        pressure_altitude_m=air.pressure_altitude(ambient),
        geometric_altitude_m=programme.elevation,
        static_pressure_pa=ambient,
        outside_temperature_k=day.temperature(height),
        altimeter_setting_pa=setting,
        gear=1.0,
    )
    return Surroundings.from_samples(
        time, names, pressure, truth, kinks_s=kinks, openness=openness, title="bench programme"
    )
