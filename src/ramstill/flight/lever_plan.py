"""What levers are moved to, and a whole flight by them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Levers:
    """What levers are moved to; None: not moved. All SI.

    speed_m_s: calibrated; in the air no less than the stall is flown. climb_m_s: of pressure altitude, below
    zero down. altitude_m: as an altimeter set correctly for the field shows it; it is climbed or descended to
    with as much as the climb lever says (the usual rate where that says 0) and held; moving the climb lever
    alone lets go of it. At the ground it is a landing. flap, power: 0 to 1; power "fits": what goes with the
    climb. gear: 0 up, 1 down. setting_pa: on the altimeter's scale.
    """

    speed_m_s: float | None = None
    climb_m_s: float | None = None
    altitude_m: float | None = None
    flap: float | None = None
    gear: float | None = None
    power: float | Literal["fits"] | None = None
    setting_pa: float | None = None


@dataclass(frozen=True, slots=True)
class Start:
    """Where a flight by levers begins, SI: in level flight, or standing on the ground.

    altitude_m: as an altimeter set correctly for the field shows it, of no account on the ground; speed_m_s:
    calibrated, None: the usual cruise; field_elevation_m: of the ground, everywhere; setting_pa: on the
    altimeter, None: right for the field. Flaps up; gear up where it can be.
    """

    altitude_m: float = 0.0
    speed_m_s: float | None = None
    field_elevation_m: float = 0.0
    setting_pa: float | None = None
    on_ground: bool = False


@dataclass(frozen=True, slots=True)
class LeverPlan:
    """A whole flight: the start, what is moved when ([s], rising), and how long it lasts [s].

    What is moved between two steps is felt from the next one on; whole steps are flown.
    """

    start: Start
    moves: tuple[tuple[float, Levers], ...] = ()
    duration_s: float = 600.0


@dataclass(frozen=True, slots=True)
class Ranges:
    """How far the levers go, lowest and highest, SI; retracts: whether the gear lever does anything."""

    speed_m_s: tuple[float, float]
    climb_m_s: tuple[float, float]
    altitude_m: tuple[float, float]
    retracts: bool
