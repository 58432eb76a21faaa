"""How a flight looks to the pages: what they are given once, the figures of each frame, lists and words."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, INHG, KT
from ramstill.bench import near
from ramstill.faults import catalogue
from ramstill.faults.unfolding import ALTERNATE, HEAT_OFF
from ramstill.live.answers import answers_for
from ramstill.live.line import written
from ramstill.live.stage import Heights, bench_fields, bench_stage, seat_fields, seat_stage
from ramstill.live.world.going import BENCH
from ramstill.live.world.ground import OnTheGround
from ramstill.live.world.moment import TICKS_A_SECOND, time_of
from ramstill.pictures.hand_laws import figure
from ramstill.run.sealed import sealed_over

if TYPE_CHECKING:
    from ramstill.live.world.world import World

Array = NDArray[np.float64]
DEEDS, ROWS = 40, 1800  # at most told: the last deeds, the last rows of the strip charts
WALL, TRUTH, FAULTS = "wall", "truth", "faults"


class Looks:
    """Of one world; it reads the world and changes nothing."""

    def __init__(self, world: World, title: str, mode: str) -> None:
        self._world, self._title, self._mode = world, title, mode
        airplane, network = world.airplane, world.healthy
        self._fields = bench_fields(airplane)
        self._seat = len(seat_fields(airplane))
        self._heights = Heights(airplane, network.node_names, network.boundary_names)
        self._figures = {pointer.name: figure(pointer) for pointer in world.pointers}
        self._stage = bench_stage(airplane) | {"title": title, "mode": mode}
        self._seat_stage = seat_stage(airplane) | {"title": title}
        self._answers = answers_for(airplane)
        self.answers = frozenset(answer["name"] for answer in self._answers)
        self._phases: list[tuple[float, str]] = []
        self.note()

    def time_of(self, tick: int) -> float:
        """When a tick is [s]."""
        return time_of(tick, self._world.flight.start_s)

    def note(self) -> None:
        """A tick was made."""
        phase = self._world.now.phase
        if not self._phases or self._phases[-1][1] != phase:
            self._phases.append((self._world.time_s, phase))

    def turned(self) -> None:
        """It may stand elsewhere than a tick further on."""
        now = self._world.time_s
        self._phases = [one for one in self._phases if one[0] <= now]
        self.note()

    # given once

    def bench_stage(self) -> str:
        """Everything of the airplane for the instructor's page."""
        return written({"say": "stage", **self._stage, "now_s": self._world.time_s})

    def seat_stage(self, name: str, revealed: Collection[str]) -> str:
        """The panel for a learner's page, and of the rest what is revealed."""
        said = {"say": "stage", **self._seat_stage, "answers": self._answers, "name": name}
        said |= {"now_s": self._world.time_s, "fields": [self._fields[i] for i in self._open(revealed)]}
        if WALL in revealed:
            said["walls"] = self._stage["walls"]
        if TRUTH in revealed:
            said["dials"] = self._stage["dials"]
        return written(said)

    # every frame

    def bench_figures(self, pace: float) -> Array:
        """The figures of the instructor's frame, in the order of its fields."""
        figures = self.whole(BENCH)
        figures[-1] = pace
        return figures

    def whole(self, craft: str) -> Array:
        """All there is to see of a craft, in the order of the instructor's fields."""
        world, one = self._world, self._world.crafts[craft]
        truth, static = world.now.truth, world.now.truth["static_pressure_pa"]
        return np.concatenate(
            [
                one.shown,
                [truth["altimeter_setting_pa"]],
                world.true,
                self._heights.of(one.pressure_pa, one.outside_pa, static),
                [
                    truth["pressure_altitude_m"],
                    truth["height_over_ground_m"],
                    truth["cas_m_s"],
                    truth["climb_m_s"],
                    static,
                    1.0,
                ],
            ]
        )

    def seat_figures(self, craft: str, revealed: Collection[str]) -> Array:
        """The figures of a learner's frame, in the order of its fields."""
        if WALL in revealed or TRUTH in revealed:
            return self.of_whole(self.whole(craft), revealed)
        one = self._world.crafts[craft]
        return np.append(one.shown, self._world.now.truth["altimeter_setting_pa"])

    def of_whole(self, whole: Array, revealed: Collection[str]) -> Array:
        """A learner's share of all there is to see."""
        return whole[self._open(revealed)]

    def _open(self, revealed: Collection[str]) -> list[int]:
        """Which of the instructor's fields a learner sees."""
        more = [
            i
            for i, name in enumerate(self._fields)
            if (name.startswith("true:") and TRUTH in revealed)
            or ((name.startswith("column:") or name == "static") and WALL in revealed)
        ]
        return [*range(self._seat), *more]

    # lists and words

    def faults(self, craft: str) -> list[dict[str, Any]]:
        """The faults of a craft as the time line shows them; an onset of null waits for its altitude."""
        found = []
        for placed in self._world.placed(craft):
            fault, waits = placed.fault, not self._world.has_come(craft, placed)
            found.append(
                {
                    "id": placed.id,
                    "name": fault.name,
                    "title": catalogue()[fault.name].title,
                    "where": fault.where or catalogue()[fault.name].default_place(self._world.airplane),
                    "severity": fault.severity,
                    "size": fault.size,
                    "gradual_s": fault.gradual_s,
                    "onset_s": None if waits else fault.onset_s,
                    "end_s": fault.end_s,
                    "at_altitude_ft": None if placed.at_altitude_m is None else placed.at_altitude_m / FT,
                }
            )
        return found

    def timeline(self) -> dict[str, Any]:
        """What was laid, done and flown, and when."""
        world = self._world
        end = world.flight.end_s
        return {
            "now_s": world.time_s,
            "end_s": end if np.isfinite(end) and self._mode == "scenario" else None,
            "faults": self.faults(BENCH),
            "deeds": self._deeds(),
            "phases": self._phases,
            "branches": [
                {
                    "id": branch.id,
                    "title": f"Branch {branch.id}",
                    "from_s": self.time_of(branch.since),
                    "until_s": self.time_of(branch.end),
                    "here": branch.id == world.branch.id,
                }
                for branch in world.branches.values()
            ],
            "trapped": self._trapped(),
            "stopped": world.stopped,
        }

    def news(self) -> object:
        """What is other than it was where the time line changed by itself."""
        world = self._world
        craft, branch = world.bench, world.branch
        done = branch.id, len(branch.deeds), len(self._phases)
        return craft.placed, craft.came, done, self._trapped(), dict(world.stopped)

    def _deeds(self) -> list[dict[str, Any]]:
        there = [deed for deed in self._world.branch.deeds if deed[0] <= self._world.at]
        return [{"at_s": self.time_of(tick), "title": _in_words(deed)} for tick, deed in there[-DEEDS:]]

    def _trapped(self) -> dict[str, float]:
        """Tappings of the bench's craft with no way to any air outside now, and since when [s]."""
        world = self._world
        start, now = world.flight.start_s, world.time_s + 1.0 / TICKS_A_SECOND
        around: Any = SimpleNamespace(start_s=start, end_s=now, openness=world.now.openness)
        sealed = sealed_over(world.bench.session.network, around)
        return {name: one.since_s for one in sealed if one.until_s >= now for name in one.tappings}

    def levers(self) -> dict[str, Any]:
        """How the levers and the switches stand."""
        world = self._world
        hand = getattr(world.flight, "levers", None)
        said: dict[str, Any] = {}
        if hand is not None:
            units = {"speed_m_s": ("speed_kt", KT), "climb_m_s": ("climb_fpm", FPM)}
            units |= {"altitude_m": ("altitude_ft", FT), "setting_pa": ("setting_inhg", INHG)}
            for name, (written, one) in units.items():
                value = getattr(hand, name)
                said[written] = None if value is None else round(value / one, 4)
            power = hand.power if isinstance(hand.power, float | int) else world.now.truth["power"]
            said |= {"flap": hand.flap, "gear": hand.gear, "power": power}
        now = world.time_s
        by_hand = [p.fault.name for p in world.placed(BENCH) if p.fault.end_s is None or p.fault.end_s > now]
        return said | {"heat": HEAT_OFF not in by_hand, "alternate": ALTERNATE in by_hand}

    def force(self) -> dict[str, Any]:
        """What is held at the openings, and how near it brings each instrument to its limits.

        Where several are held, the one that is pressed hardest is told.
        """
        world = self._world
        forces = world.flight.forces() if isinstance(world.flight, OnTheGround) else ()
        most = max(forces, key=lambda one: abs(one.pressure_pa), default=None)
        speed = None if most is None else most.airspeed_m_s
        bench = world.bench
        shown = dict(zip(bench.names, bench.shown.tolist(), strict=True))
        pressure = dict(zip(bench.session.network.node_names, bench.pressure_pa.tolist(), strict=True))
        return {
            "opening": "" if most is None else most.opening,
            "how": "free" if most is None else most.how,
            "inh2o": 0.0 if most is None else round(most.inh2o, 3),
            "knots": None if speed is None else round(speed / KT, 1),
            "near": [
                {
                    "instrument": one.instrument,
                    "limit": one.limit_name,
                    "share": round(one.share, 4) if one.share == one.share else 0.0,
                }
                for one in near(world.airplane, shown, pressure)
            ],
        }

    def strip(self) -> dict[str, Any]:
        """Two rows a second of what was shown and what was true, up to now; older ones are fewer."""
        world, trace = self._world, self._world.branch.trace
        ticks = sorted(tick for tick in trace if tick <= world.at)[-ROWS:]
        names = [pointer.name for pointer in world.pointers]
        return {
            "time_s": [self.time_of(tick) for tick in ticks],
            "shown": _by_name(names, [trace[tick].shown for tick in ticks]),
            "true": _by_name(names, [trace[tick].true for tick in ticks]),
        }

    def revealed(self, craft: str, revealed: Collection[str]) -> dict[str, Any]:
        """What a learner at a craft is told beyond figures."""
        said: dict[str, Any] = {}
        if FAULTS in revealed:
            said["faults"] = self.faults(craft)
        if TRUTH in revealed:
            world = self._world
            shown = world.crafts[craft].shown
            said["truth"] = [
                {"title": one.title, "shown": one.words(float(s)), "true": one.words(float(t))}
                for one, s, t in zip(self._figures.values(), shown, world.true, strict=True)
            ]
        return said


def _by_name(names: Sequence[str], rows: Sequence[Array]) -> dict[str, list[float | None]]:
    """Rows (k, p) by name, rounded to what a chart shows, null for nothing."""
    table = np.round(np.array(rows).reshape(-1, len(names)).T, 2).tolist()
    return {n: [None if v != v else v for v in row] for n, row in zip(names, table, strict=True)}


def _in_words(deed: Any) -> str:
    """A deed for a list: the lever moved, or what was done at an opening."""
    if hasattr(deed, "opening"):
        return f"{deed.how} at {deed.opening.replace('-', ' ')}"
    said: dict[str, Callable[[Any], str]] = {
        "speed_m_s": lambda v: f"speed {v / KT:.0f} kt",
        "climb_m_s": lambda v: f"climb {v / FPM:+.0f} ft/min",
        "altitude_m": lambda v: f"altitude {v / FT:,.0f} ft",
        "flap": lambda v: f"flap {v:.0%}",
        "gear": lambda v: "gear down" if v else "gear up",
        "power": lambda v: f"power {v:.0%}" if isinstance(v, float | int) else "power as fits",
        "setting_pa": lambda v: f"setting {v / INHG:.2f} inHg",
    }
    moved = [words(getattr(deed, name)) for name, words in said.items() if getattr(deed, name) is not None]
    return ", ".join(moved)
