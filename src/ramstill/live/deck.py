"""One flight as the pages command it: what a message asks for, done to a world, in the units of the trade."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ramstill.air.quantity import INH2O
from ramstill.air.units import FPM, FT, INHG, KT
from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.faults.unfolding import BY_HAND
from ramstill.live.looks import Looks
from ramstill.live.world.going import BENCH
from ramstill.live.world.moment import TICKS_A_SECOND

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.live.world.world import World

FEW = 4  # crafts
USUAL_HEIGHT_M = 3000.0 * FT  # over the field, where a flight by levers begins unless it is said


class Deck:
    """A world, what it is called, how it is flown, and how it looks to the pages."""

    def __init__(self, world: World) -> None:
        self.world, self.title = world, world.origin.title
        self.mode = world.flight.kind if world.flight.kind in ("levers", "ground") else "scenario"
        self.looks = Looks(world, self.title, self.mode)

    @classmethod
    def begin(cls, said: Mapping[str, Any], files: bool) -> Deck:
        """The flight that a message asks for. files: whether it may name files, or only what comes with the
        program. Raises InputError for what cannot be flown.
        """
        from ramstill.live.world.starting import of_scenario, of_tables

        named = [one for one in ("airplane", "scenario", "toml") if said.get(one)]
        if len(named) != 1:
            raise InputError("stage", "", " and ".join(named) or "nothing", "an airplane or one scenario")
        if named[0] == "airplane":
            return cls(_of_airplane(said, files))
        if named[0] == "toml":
            return cls(of_tables(_tables(str(said["toml"])), "scenario", Path()))
        from ramstill.run import bundled

        name = str(said["scenario"])
        if not files and name not in bundled():
            raise InputError("stage", "scenario", name[:80], ", ".join(bundled()))
        return cls(of_scenario(name))

    # where it stands

    @property
    def airplane(self) -> Airplane:
        """The airplane of all its crafts."""
        return self.world.airplane

    @property
    def tick(self) -> int:
        """Ticks since the flight's start."""
        return self.world.at

    @property
    def now_s(self) -> float:
        """The flight's clock [s]."""
        return self.world.time_s

    @property
    def ended(self) -> bool:
        """Whether the flight is at its end."""
        return self.world.over

    @property
    def branch(self) -> str:
        """On which branch it is."""
        return self.world.branch.id

    def slow(self, said: Mapping[str, Any]) -> bool:
        """Whether something takes long: a fault in a pilot's flight or in the past, a switch for many."""
        if said["do"] in ("levers", "press"):
            return False
        past = said.get("onset_s") is not None and said["onset_s"] < self.now_s
        return past or self.world.flight.kind == "pilot" or len(self.world.crafts) > FEW

    def way(self) -> list[list[Any]]:
        """The branches that lead here, each with the time from which on it was flown."""
        found, one = [], self.world.branch
        while True:
            found.append([one.id, self.looks.time_of(one.since)])
            if one.parent is None or one.parent not in self.world.branches:
                return found[::-1]
            one = self.world.branches[one.parent]

    def faults_of_crafts(self) -> dict[str, list[dict[str, Any]]]:
        """The faults of every craft, as the time line shows them."""
        return {craft: self.looks.faults(craft) for craft in self.world.crafts}

    def faults_kept(self, craft: str) -> list[dict[str, Any]]:
        """The faults of a craft that have come or have a time to come, as the record of a class has them."""
        world = self.world
        return [asdict(one.fault) for one in world.placed(craft) if world.has_come(craft, one)]

    # what is done

    def step(self) -> None:
        """One tick on."""
        self.world.tick()
        self.looks.note()

    def do(self, said: Mapping[str, Any]) -> None:
        """Do what a message says, or raise InputError and leave everything as it was."""
        world = self.world
        match said["do"]:
            case "levers":
                world.act(_levers(said))
            case "press":
                self._press(said)
            case "alternate":
                for craft in world.crafts:
                    world.alternate(craft, bool(said["open"]))
            case "heat":
                for craft in world.crafts:
                    world.heat(craft, bool(said["on"]))
            case "fault":
                feet = said.get("at_altitude_ft")
                world.lay(BENCH, self._fault(said), said.get("onset_s"), None if feet is None else feet * FT)
            case "move_fault":
                changes = {key: value for key, value in said.items() if key not in ("do", "fault")}
                if changes.get("onset_s", 0.0) is None:
                    del changes["onset_s"]
                world.move(BENCH, str(said["fault"]), **changes)
            case "lift":
                world.lift(BENCH, str(said["fault"]))
            case "drop":
                world.drop(BENCH, str(said["fault"]))
            case "give":
                self._give(str(said["craft"]), said["faults"])
            case "take":
                world.remove(str(said["craft"]))
            case "step":
                world.tick(max(1, round(float(said["seconds"]) * TICKS_A_SECOND)))
            case "rewind":
                world.rewind(float(said["to_s"]))
            case "branch":
                world.go_to(str(said["branch"]))
            case other:
                raise InputError("bench", "do", str(other), "what this program does")
        self.looks.turned()

    def _press(self, said: Mapping[str, Any]) -> None:
        from ramstill.live.world.pressing import Press

        hard = float(said.get("inh2o", 0.0)) * INH2O
        self.world.act(Press(str(said["opening"]), said["how"], hard))

    def _give(self, craft: str, faults: list[Mapping[str, Any]]) -> None:
        """A craft with faults of its own, and with what the instructor has switched for everyone."""
        world = self.world
        world.add(craft)
        try:
            for placed in world.placed(BENCH):
                if placed.fault.name in BY_HAND and placed.at_altitude_m is None:
                    world.lay(craft, placed.fault, placed.fault.onset_s)
            for written in faults:
                world.lay(craft, self._fault(written), written.get("onset_s"))
        except Exception:
            world.remove(craft)
            raise

    def _fault(self, said: Mapping[str, Any]) -> Fault:
        """A fault as a page writes it; where no onset is said, or one of null, it is now."""
        onset = said.get("onset_s")
        return Fault(
            name=str(said["name"]),
            where=said.get("where"),
            severity=float(said.get("severity", 1.0)),
            onset_s=self.now_s if onset is None else float(onset),
            end_s=said.get("end_s"),
            gradual_s=float(said.get("gradual_s", 0.0)),
            size=said.get("size"),
        )

    # what takes longer

    def text(self, title: str) -> str:
        """All that was flown, as the text of a scenario file."""
        from ramstill.live.world.telling import save

        return save(self.world, title=title).text

    def account(self, pointer: str) -> Callable[[], dict[str, Any]]:
        """What works out why a pointer reads what it reads now; it may be called while the flight goes on.

        Raises InputError for a pointer that is not on the panel, and before anything was flown.
        """
        from ramstill.live.explaining import explained
        from ramstill.live.world.telling import running

        names = [one.name for one in self.world.pointers]
        if pointer not in names:
            raise InputError("account", "pointer", pointer, ", ".join(names))
        if self.tick == 0:
            raise InputError("account", "", "a flight that has not begun", "a moment that was flown")
        return partial(explained, running(self.world), pointer, self.now_s)


def _of_airplane(said: Mapping[str, Any], files: bool) -> World:
    """A flight by levers, or the bench on the ground."""
    from ramstill.airplane.reading import hangar
    from ramstill.live.world.starting import by_levers, on_the_ground

    name, mode, start = str(said["airplane"]), said.get("mode", "levers"), said.get("start") or {}
    if not files and name not in hangar():
        raise InputError("stage", "airplane", name[:80], ", ".join(hangar()))
    if mode not in ("levers", "ground"):
        raise InputError("stage", "mode", mode, "levers or ground, where an airplane is named")
    field_m = float(start.get("elevation_ft") or 0.0) * FT
    setting = _si(start.get("setting_inhg"), INHG)
    if mode == "ground":
        return on_the_ground(name, field_m, setting_pa=setting)
    from ramstill.flight.levers import Start

    height = _si(start.get("altitude_ft"), FT)
    begins = Start(
        altitude_m=field_m + USUAL_HEIGHT_M if height is None else height,
        speed_m_s=_si(start.get("speed_kt"), KT),
        field_elevation_m=field_m,
        setting_pa=setting,
        on_ground=bool(start.get("on_ground", False)),
    )
    return by_levers(name, begins)


def _si(value: float | None, one: float) -> float | None:
    return None if value is None else value * one


def _tables(text: str) -> dict[str, Any]:
    """A scenario's tables, from text: it may name no file, as it is nobody's but the page's."""
    import tomllib

    from ramstill.airplane.reading import hangar

    try:
        tables = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError("scenario", "", str(error)[:120], "TOML, see docs/scenario-files.md") from None
    if "recording" in tables:
        raise InputError("scenario", "recording", "a file", "no file: give --scenario at the start instead")
    if tables.get("airplane") not in hangar():
        allowed = f"{', '.join(hangar())}; or give --scenario at the start for one of your own"
        raise InputError("scenario", "airplane", str(tables.get("airplane"))[:80], allowed)
    return tables


def _levers(said: Mapping[str, Any]) -> Any:
    from ramstill.flight.levers import Levers

    units = {"speed_kt": KT, "climb_fpm": FPM, "altitude_ft": FT, "setting_inhg": INHG}
    names = {"speed_kt": "speed_m_s", "climb_fpm": "climb_m_s", "altitude_ft": "altitude_m"}
    names |= {"setting_inhg": "setting_pa"}
    moved = {
        names.get(key, key): value * units[key] if key in units else value
        for key, value in said.items()
        if key != "do" and value is not None
    }
    return Levers(**moved)
