"""Which of an airplane's instruments a recording is of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

SHAKEN = 0.7  # share of its friction that a pointer is taken to hang back by, one standard deviation


@dataclass(frozen=True, slots=True)
class Panel:
    """Names of pointers that a recording's columns are of, None where the airplane shows no such thing, and
    of the tappings that they feel."""

    airspeed: str | None
    altitude: str | None
    rate: str | None
    airspeed_pitot: str | None
    airspeed_static: str | None
    altimeter_static: str | None
    friction: Mapping[str, float]  # quantity of a recording -> how far its pointer hangs back [SI]
    compensated: bool  # the rate is that of the total energy
    computed: frozenset[str]  # pointers of an air-data computer

    @property
    def pointers(self) -> tuple[str, ...]:
        """Names of the pointers."""
        return tuple(n for n in (self.altitude, self.airspeed, self.rate) if n is not None)

    @property
    def tappings(self) -> set[str]:
        """All of them."""
        names = (self.airspeed_pitot, self.airspeed_static, self.altimeter_static)
        return {name for name in names if name is not None}


def panel_of(airplane: Airplane) -> Panel:
    """Return the panel that is recorded: the first pointer in the airplane's file for each quantity."""
    from ramstill.instruments import pointers_of
    from ramstill.instruments.pointers import tappings_of

    first: dict[str, Any] = {}
    for pointer in pointers_of(airplane):
        first.setdefault(pointer.shows, pointer)
    speed, height, rate = (first.get(shows) for shows in ("airspeed", "altitude", "vertical-speed"))
    pitot, static = tappings_of(speed.instrument) if speed is not None else (None, None)
    return Panel(
        airspeed=speed.name if speed is not None else None,
        altitude=height.name if height is not None else None,
        rate=rate.name if rate is not None else None,
        airspeed_pitot=pitot,
        airspeed_static=static,
        friction={
            quantity: _hangs_back(pointer.instrument, step)
            for quantity, pointer, step in (
                ("ias", speed, "airspeed_step"),
                ("altitude", height, "altitude_step"),
                ("vertical speed", rate, "vertical_speed_step"),
            )
            if pointer is not None
        },
        compensated=rate is not None and rate.compensated,
        computed=frozenset(
            one.name for one in (speed, height, rate) if one is not None and one.kind == "air-data-computer"
        ),
        altimeter_static=tappings_of(height.instrument)[-1] if height is not None else None,
    )


def _hangs_back(instrument: Any, step: str) -> float:
    """By friction, or by digits in whole steps: of either one standard deviation."""
    if instrument.kind == "air-data-computer":
        return float(float(getattr(instrument, step)) / 12.0**0.5)
    return float(getattr(instrument, "friction", 0.0) or 0.0) * SHAKEN


def finely(airplane: Airplane) -> Airplane:
    """The airplane with digits as fine as they come: in whole steps a small change shows as none, or as a
    large one."""
    from ramstill.airplane.figure import Figure

    steps = {"airspeed_step": 0.01, "altitude_step": 0.1, "vertical_speed_step": 0.01}
    fine = {name: Figure(step, "assumed") for name, step in steps.items()}
    return airplane.model_copy(
        update={
            "instruments": tuple(
                one.model_copy(update=fine) if one.kind == "air-data-computer" else one
                for one in airplane.instruments
            )
        }
    )
