"""An airplane on the ground, whose openings are pressed. On the bench only: never on a live airplane.

System tests belong to appropriately rated people with the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ramstill import air
from ramstill.air.atmosphere import HIGHEST
from ramstill.air.constants import P0
from ramstill.air.quantity import INH2O
from ramstill.bench.openings import resolve
from ramstill.errors import InputError
from ramstill.flight.outside import boundary_names
from ramstill.flight.path import chosen_setting, right_setting
from ramstill.flight.tables import LONGEST_S
from ramstill.live.world.moment import NOTHING_SHUT, MetAll, Moment, time_of
from ramstill.live.world.pressing import Hand, Press
from ramstill.pneumatics import Truth
from ramstill.pneumatics.truth import quantities

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.live.world.flights import Deeds, Kind
    from ramstill.pneumatics import Schedule, Surroundings

_SOURCE = "live bench"
_MOST_PA = P0  # of the bench's twice that: no hand or mouth does more


class Force(NamedTuple):
    """What a hand does at an opening now: over the air around [Pa], in inches of water, and, at one that sees
    ram air and is blown into, as an airspeed [m/s], else None.
    """

    opening: str
    how: str
    pressure_pa: float
    inh2o: float
    airspeed_m_s: float | None


class _State(NamedTuple):
    tick: int
    hands: Mapping[str, Hand]
    openness: Mapping[str, Schedule]
    now: Moment


class OnTheGround:
    """Standing still at an elevation [m] on a day, open until somebody ends it.

    setting_pa: on the altimeters, None: right for the place. Raises InputError as the bench does.
    """

    kind: Kind = "ground"

    def __init__(
        self,
        airplane: Airplane,
        elevation_m: float = 0.0,
        day: air.Day | None = None,
        setting_pa: float | None = None,
    ) -> None:
        self.airplane, self.elevation_m, self.day = airplane, elevation_m, day or air.Day()
        right = right_setting(self.day, elevation_m, _SOURCE, "elevation")
        self.setting_pa = chosen_setting(setting_pa, right, _SOURCE, "altimeter_setting")
        self.boundary_names = boundary_names(airplane)
        self.start_s, self.end_s = 0.0, LONGEST_S
        height = float(air.geopotential_from_geometric(elevation_m))
        self.ambient_pa = float(self.day.pressure(height))
        self.walls_k = float(self.day.temperature(height))
        truth = Truth.steady(
            [0.0, 1.0],  # and so on: at rest no ice grows
            pressure_altitude_m=air.pressure_altitude(self.ambient_pa),
            geometric_altitude_m=elevation_m,
            static_pressure_pa=self.ambient_pa,
            outside_temperature_k=self.walls_k,
            altimeter_setting_pa=self.setting_pa,
            gear=1.0,
        )
        self._truth = {name: float(getattr(truth, name)[0]) for name in quantities()}
        self._met = MetAll(truth)
        self._place = {name: i for i, name in enumerate(self.boundary_names)}
        self._sees = {opening.name: opening.sees for opening in airplane.openings}
        self._tick = 0
        self.hands: Mapping[str, Hand] = {}
        self._openness: Mapping[str, Schedule] = NOTHING_SHUT
        self.now = self._moment()

    def step(self) -> Moment:
        """One tick on. ValueError beyond a day."""
        if time_of(self._tick + 1) > self.end_s:
            raise ValueError("a bench lasts a day at most")
        self._tick += 1
        self.now = self._moment()
        return self.now

    def _moment(self) -> Moment:
        now = time_of(self._tick)
        outside = np.full(len(self.boundary_names), self.ambient_pa)
        for name, hand in self.hands.items():
            outside[self._place[name]] += hand.at(now)
        following = time_of(self._tick + 1)
        return Moment(now, following, outside, self._truth, "standing", self._met, openness=self._openness)

    def act(self, deed: Any) -> None:
        """Press an opening. InputError for one that there is not, and for more than the bench gives."""
        if not isinstance(deed, Press):
            raise InputError(_SOURCE, "levers", "levers moved on the ground", "a flight by levers")
        names = resolve(self.airplane, deed.opening, _SOURCE, "press.opening")
        strong = deed.strength_pa
        leaves = float(air.static_pressure(HIGHEST)) if deed.how == "pull" else 0.0
        most = min(_MOST_PA, self.ambient_pa - leaves)
        if not 0.0 <= strong <= most:
            allowed = f"from 0 to {most / INH2O:,.0f} inH2O"
            raise InputError(_SOURCE, "press.strength", f"{strong / INH2O:,.1f} inH2O", allowed)
        now, hands = time_of(self._tick), dict(self.hands)
        for name in names:
            over = -strong if deed.how == "pull" else strong
            hands[name] = hands.get(name, Hand()).press(now, deed.how, over)
        self.hands = hands
        openness = {name: hand.openness() for name, hand in hands.items()}
        shut = {name: schedule for name, schedule in openness.items() if schedule is not None}
        if shut != self._openness:
            self._openness = shut

    def answer(self, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
        """The hands do nothing about them."""
        return faults

    def forces(self) -> tuple[Force, ...]:
        """What is done at the openings now, one by one, those let go left out."""
        now, found = time_of(self._tick), []
        for name, hand in self.hands.items():
            over, how = hand.at(now), hand.held(now)
            if how == "free" and over == 0.0:
                continue
            ram = self._sees[name] == "ram" and over >= 0.0
            speed = float(air.calibrated_airspeed(over)) if ram else None
            found.append(Force(name, how, over, over / INH2O, speed))
        return tuple(found)

    def state(self) -> object:
        """How it stands."""
        return _State(self._tick, self.hands, self._openness, self.now)

    def restore(self, state: Any) -> None:
        """Stand as it stood."""
        self._tick, self.hands, self._openness, self.now = state

    def replay(self, deeds: Deeds) -> Callable[[], Surroundings]:
        """What works out all that was done so far, as the bench has it."""
        from ramstill.live.world.saving import bench_table

        return partial(_surroundings, self.airplane, bench_table(self), self.day)


def _surroundings(airplane: Airplane, table: Mapping[str, Any], day: air.Day) -> Surroundings:
    from ramstill import bench

    return bench.surroundings(airplane, bench.parse_bench(table, _SOURCE), day, _SOURCE)
