"""A flight being laid out: one smooth track for each thing the legs change."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.errors import InputError
from ramstill.flight.track import Track

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.airplane.airframe import Speeds
    from ramstill.flight.planned import FlightPlan

Array = NDArray[np.float64]

# Power where a leg gives none, as a share of full: common practice, no source.
USUAL_POWER = {
    "take-off": 1.0,
    "climb": 0.9,
    "level": 0.65,
    "speed-change": 0.65,
    "turn": 0.65,
    "descent": 0.35,
    "approach": 0.3,
    "landing": 0.1,
}


@dataclass(slots=True)
class Course:
    """The tracks of a flight so far. Altitudes are shown altitudes [m], speeds calibrated [m/s]."""

    source: str
    speeds: Speeds
    day: air.Day
    setting_offset: float  # pressure altitude of the correct setting [m]
    field_elevation: float  # also what a correctly set altimeter shows there [m]
    floor: float  # lowest ground of the flight, as shown [m]
    start_altitude: float
    start_speed: float
    ground: list[tuple[float, float]] = field(default_factory=list)  # from when [s], geometric altitude [m]
    rate: Track = field(default_factory=lambda: Track(0.0))
    acceleration: Track = field(default_factory=lambda: Track(0.0))
    bank: Track = field(default_factory=lambda: Track(0.0))
    flap: Track = field(default_factory=lambda: Track(0.0))
    gear: Track = field(default_factory=lambda: Track(1.0))
    power: Track = field(default_factory=lambda: Track(0.0))
    sideslip: Track = field(default_factory=lambda: Track(0.0))
    on_ground: Track = field(default_factory=lambda: Track(0.0))
    phases: list[tuple[float, str]] = field(default_factory=list)
    now_s: float = 0.0
    altitude: float = 0.0
    speed: float = 0.0
    grounded: bool = False

    @classmethod
    def begin(
        cls, flight: FlightPlan, airplane: Airplane, day: air.Day, correct_pa: float, source: str
    ) -> Course:
        """Return the course before the first leg. Raises InputError for a start that contradicts it."""
        first, ground = flight.leg[0], flight.field_elevation
        grounded = first.kind == "take-off"
        if grounded:
            for name in ("start_altitude", "start_speed"):
                if getattr(flight, name) is not None:
                    raise InputError(
                        source, f"flight.{name}", "a value", "none when the first leg is a take-off"
                    )
            altitude, speed = ground, 0.0
        else:
            if flight.start_altitude is None:
                needed = "an altitude, as the first leg is not a take-off"
                raise InputError(source, "flight.start_altitude", "nothing", needed)
            altitude = flight.start_altitude
            speed = float(flight.start_speed or airplane.speeds.cruise)
            if altitude < ground:
                allowed = f"{ground:.0f} m (the field) or more"
                raise InputError(source, "flight.start_altitude", f"{altitude:.0f} m", allowed)
        course = cls(
            source=source,
            speeds=airplane.speeds,
            day=day,
            setting_offset=float(air.pressure_altitude(correct_pa)),
            field_elevation=ground,
            floor=ground,
            start_altitude=altitude,
            start_speed=speed,
            ground=[(0.0, ground)],
            altitude=altitude,
            speed=speed,
            grounded=grounded,
        )
        for leg in flight.leg:
            if leg.kind == "landing" and leg.elevation is not None:
                course.floor = min(course.floor, course.runway_altitude(leg.elevation))
        course.on_ground.value = float(grounded)
        course.power.value = 0.0 if grounded else USUAL_POWER[first.kind]
        return course

    def runway_altitude(self, elevation_m: float) -> float:
        """What the altimeter set for the field shows on a runway at a geometric elevation [m]."""
        height = float(air.geopotential_from_geometric(elevation_m))
        return float(self.day.pressure_altitude(height)) - self.setting_offset

    def sample_times(self, every_s: float) -> Array:
        """Even times over the whole course and the ends of all its pieces [s]."""
        tracks = (self.rate, self.acceleration, self.bank, self.flap, self.gear, self.power, self.sideslip)
        ends = [
            start + length
            for track in (*tracks, self.on_ground)
            for start, length in zip(track.start_s, track.length_s, strict=True)
        ]
        even = np.arange(0.0, self.now_s, every_s)
        times = np.unique(np.concatenate([even, [self.now_s], np.minimum(ends, self.now_s)]))
        # ends of pieces that fall beside an even time would make needlessly short steps
        keep = np.concatenate([[True], np.diff(times) > 1e-3 * every_s])
        times = times[keep]
        times[-1] = self.now_s
        return np.asarray(times)

    def ground_geometric(self, time_s: Array) -> Array:
        """Geometric altitude of the ground below [m]: the field's, led over to a runway's while landing."""
        when, elevation = zip(*self.ground, strict=True)
        return np.asarray(np.interp(time_s, when, elevation))
