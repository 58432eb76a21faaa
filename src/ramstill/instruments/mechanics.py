"""What stands between a capsule and its pointer: scale error, play (friction), lag, stops.

An instrument applies them in this order: law, scale error, friction, lag, stops. Every function takes and
returns arrays over time, shape (t,), in the unit of the pointer [m/s or m]. `Mechanism` does them all in one
go, and can go on from where a pointer stands.
"""

from dataclasses import dataclass
from typing import Self

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


_NO_CARD = np.zeros((2, 0))


@dataclass(frozen=True, slots=True)
class Mechanism:
    """All between the law and the pointer; arrays are (t,), or (1,) for what stays.

    datum: taken off what the law gives; card (2, k): the correction card, see `with_scale_error`; offset:
    added to that; band, stuck: see `play` and `held_back`; lag_s [s]; lowest, highest: the stops.
    """

    datum: Array
    card: Array
    offset: Array
    band: Array
    stuck: Array
    lag_s: float
    lowest: float
    highest: float

    @classmethod
    def of(
        cls,
        *,
        datum: npt.ArrayLike = 0.0,
        scale_error: tuple[tuple[float, float], ...] = (),
        offset: npt.ArrayLike = 0.0,
        band: npt.ArrayLike = 0.0,
        stuck: npt.ArrayLike = 0.0,
        lag_s: float = 0.0,
        lowest: float = -np.inf,
        highest: float = np.inf,
    ) -> Self:
        """Make one of plain numbers and arrays."""
        card = np.array(sorted(scale_error), dtype=float).T.copy() if scale_error else _NO_CARD
        return cls(
            datum=_over_time(datum),
            card=card,
            offset=_over_time(offset),
            band=_over_time(band),
            stuck=_over_time(stuck),
            lag_s=float(lag_s),
            lowest=float(lowest),
            highest=float(highest),
        )

    def since(self, row: int) -> "Mechanism":
        """The same from a row on."""
        return Mechanism(
            datum=_from(row, self.datum),
            card=self.card,
            offset=_from(row, self.offset),
            band=_from(row, self.band),
            stuck=_from(row, self.stuck),
            lag_s=self.lag_s,
            lowest=self.lowest,
            highest=self.highest,
        )

    def pointer(self, time_s: Array, law: Array, known: Array | None = None) -> Array:
        """Return what the pointer shows, (t,), for what the law gives.

        known (3,): how play, share and lag stand at the first time, which `movement` tells, where the pointer
        has moved before; by default it starts tapped and in equilibrium.
        """
        return self._run(time_s, law, _NO_CARD[0] if known is None else known, np.empty((0, 3)))

    def movement(self, time_s: Array, law: Array) -> tuple[Array, Array]:
        """Return what the pointer shows, (t,), and how play, share and lag stand meanwhile, (t, 3)."""
        moved = np.empty((len(law), 3))
        return self._run(time_s, law, _NO_CARD[0], moved), moved

    def _run(self, time_s: Array, law: Array, known: Array, moved: Array) -> Array:
        from ramstill.instruments import _kernels

        shown = np.empty(len(law))
        _kernels.needle(
            _floats(time_s),
            _floats(law),
            self.datum,
            self.card,
            self.offset,
            self.band,
            self.stuck,
            self.lag_s,
            self.lowest,
            self.highest,
            known,
            moved,
            shown,
        )
        return shown


def with_scale_error(reading: Array, scale_error: tuple[tuple[float, float], ...]) -> Array:
    """Return `reading`, what the law gives, plus the scale error there.

    `scale_error` is a correction card: (right, error) pairs in the unit of the pointer, error = shown minus
    right. Straight lines between the pairs, the end errors held beyond them.
    """
    if not scale_error:
        return reading
    at, error = np.array(sorted(scale_error), dtype=float).T
    return np.asarray(reading + np.interp(reading, at, error))


def play(mechanism: Array, band: float | Array) -> Array:
    """Friction as play: the pointer moves only when the mechanism has moved away by more than `band`.

    `band` (scalar or (t,), never negative) is in the unit of the pointer: the most by which a pointer hangs
    back until the panel is tapped. Starts tapped, so without error. A zero band is no effect. The play
    operator does not depend on the speed of the motion (Coulomb friction without inertia).
    """
    bands = np.broadcast_to(np.asarray(band, dtype=float), mechanism.shape)
    if not bands.any():
        return mechanism
    from ramstill.instruments import _kernels

    return _kernels.play(_floats(mechanism), _floats(bands))


def held_back(mechanism: Array, stuck: float | Array) -> Array:
    """A sticking pointer: it makes only the share 1 - `stuck` of every movement of the mechanism.

    `stuck` (scalar or (t,)) is 0 for a free pointer, which then stands where the mechanism says, and 1 for
    one that does not move at all.
    """
    shares = np.broadcast_to(np.asarray(stuck, dtype=float), mechanism.shape)
    if not shares.any():
        return mechanism
    from ramstill.instruments import _kernels

    return _kernels.held_back(_floats(mechanism), _floats(shares))


def first_order_lag(time_s: Array, mechanism: Array, lag_s: float) -> Array:
    """Return `mechanism` through a first-order lag of time constant `lag_s` [s], started in equilibrium.

    Exact where the input is a straight line between samples: y' = (x - y) / lag. Sample times need not be
    even; two samples at one time are a jump, at which the pointer has had no time to move.
    """
    if lag_s <= 0.0 or mechanism.size < 2:
        return mechanism
    from ramstill.instruments import _kernels

    return _kernels.first_order_lag(_floats(time_s), _floats(mechanism), float(lag_s))


def between_stops(pointer: Array, lowest: float, highest: float) -> Array:
    """Return `pointer` held between its two stops."""
    return np.clip(pointer, lowest, highest)


def _from(row: int, values: Array) -> Array:
    return values[row:] if len(values) > 1 else values


def _over_time(values: npt.ArrayLike) -> Array:
    return _floats(np.atleast_1d(np.asarray(values, dtype=np.float64)))


def _floats(values: Array) -> Array:
    """As the compiled loops take them: float64, side by side in memory."""
    return np.ascontiguousarray(values, dtype=np.float64)
