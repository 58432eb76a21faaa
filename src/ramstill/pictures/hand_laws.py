"""How each hand's angle, and each figure in words, follows from a reading: as data that a page can evaluate.

Every law of the faces is straight in pieces, so a law is its corners; `moving.js` evaluates the same data.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from ramstill.air import units
from ramstill.pictures import faces
from ramstill.pictures.of_airplane import airspeed_face
from ramstill.pictures.of_run import TREND, TREND_S, finest, meter
from ramstill.pictures.panels import RATE, faces_unit
from ramstill.pictures.scales import spoken

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer


@dataclass(frozen=True, slots=True)
class HandLaw:
    """One hand of one dial: straight between its corners.

    hand: its name on the drawing; pointer: the reading it follows, as in `pointers_of`; at: readings at the
    corners, rising (SI: m/s or m); degrees: clockwise from straight up; beyond: whether it goes on outside
    the corners as it does inside, as an altimeter's does, or stops there.
    """

    hand: str
    pointer: str
    at: tuple[float, ...]
    degrees: tuple[float, ...]
    beyond: bool = False

    def angle(self, reading: float) -> float:
        """Degrees at a reading (SI)."""
        if not self.beyond:
            reading = min(max(reading, self.at[0]), self.at[-1])
        i = min(max(bisect_right(self.at, reading) - 1, 0), len(self.at) - 2)
        share = (reading - self.at[i]) / (self.at[i + 1] - self.at[i])
        return self.degrees[i] + share * (self.degrees[i + 1] - self.degrees[i])

    def as_data(self) -> dict[str, Any]:
        """Plain data, ready for JSON."""
        return asdict(self)


@dataclass(frozen=True, slots=True)
class Figure:
    """How a reading is said: divided by `one` (SI of its unit), rounded to `step`, with so many decimals.

    trend: how far it has to go within trend_s [s] before a mark says so (SI); shows: the quantity, or "" of
    an encoder, which nobody looks at.
    """

    pointer: str
    title: str
    unit: str
    one: float
    step: float
    decimals: int
    trend: float
    trend_s: float
    shows: str

    def words(self, reading: float) -> str:
        """A reading (SI) in words; a dash for nothing."""
        if reading != reading:
            return f"{spoken(reading)} {self.unit}"
        return f"{spoken(round(reading / self.one / self.step) * self.step + 0.0, self.decimals)} {self.unit}"

    def as_data(self) -> dict[str, Any]:
        """Plain data, ready for JSON."""
        return asdict(self)


def hand_laws(pointer: Pointer, airplane: Airplane) -> tuple[HandLaw, ...]:
    """Return the law of every hand on the dial of one of `pointers_of`; none for what shows digits."""
    instrument, name = pointer.instrument, pointer.name
    if instrument.kind == "airspeed-indicator":
        face, one = airspeed_face(instrument, airplane), faces_unit(instrument)
        corners = face.corners()
        at = tuple(value * one for value, _ in corners)
        return (HandLaw(name, name, at, tuple(angle for _, angle in corners)),)
    if instrument.kind == "altimeter":
        turns = faces.altimeter_angles(1000.0)
        at = (0.0, 1000.0 * units.FT)
        return tuple(
            HandLaw(f"{name}.{hand}", name, at, (0.0, turn), beyond=True) for hand, turn in turns.items()
        )
    if instrument.kind in ("vertical-speed-indicator", "variometer"):
        one = RATE[instrument.unit] if instrument.kind == "variometer" else units.FPM
        corners = faces.VerticalSpeedFace(instrument.full_scale / one).corners()
        return (HandLaw(name, name, tuple(v * one for v, _ in corners), tuple(a for _, a in corners)),)
    return ()


def figure(pointer: Pointer) -> Figure:
    """Return how the reading of one of `pointers_of` is said."""
    shown, step = meter(pointer), finest(pointer)
    title = pointer.title[:1].upper() + pointer.title[1:]
    shows = "" if pointer.kind == "encoder" else pointer.shows
    return Figure(
        pointer.name,
        title,
        shown.unit,
        shown.one,
        step,
        1 if step < 1.0 else 0,
        TREND[pointer.shows],
        TREND_S,
        shows,
    )
