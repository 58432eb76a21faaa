"""A column in another unit than its header says: recognised by what the other columns say, and named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.diagnosis.agreement import FEWEST, NEAR_IN_WIND, Agreement, agreements, climbing, true_airspeed
from ramstill.diagnosis.scale import beyond_its_pointer, live, share_in_range
from ramstill.errors import InputError
from ramstill.flight.columns import COLUMNS

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]

OFF = 0.25  # share of windows that may agree as stated, where a unit is mistaken
ON = 0.75  # share of windows, in either half of the record, that must agree in the other unit
TELLING = 1.3  # factors nearer to 1 than this may be a fault's,
NARROW = 0.03  # unless they are met as near as this
STEADY = 0.1  # how near a vertical speed must stay to the changes of an altitude in another unit
AS_NEAR = 0.25  # units further than this from the nearest one are out, where the wind is not known
CALM = 0.15  # how near an airspeed must stay to a ground speed where the wind is not known
STRONG_WIND = 50.0 * units.KT  # along the whole flight [m/s]
CLIMBS, CLIMBS_THEN = 2.0, 1.2  # times the airplane's usual rates: as stated, and in the other unit
IN_RANGE = 0.8  # share of the flight's airspeeds within what the airplane flies at
OUT_OF_RANGE, ALL_IN_RANGE = 0.5, 0.9  # the same where nothing else speaks: as stated, and in the other unit
BEYOND = 0.3  # share of them beyond the indicator's scale, from which on no fault is behind it
WARM_K, RIGHT_K = 22.0, 12.0  # further above standard than any day; near enough to it [K]
SLOWEST_S, QUICKEST_S = 30.0, 0.005  # between readings; common practice, no source [s]

_UNIT = {
    "kt": "knots",
    "kmh": "km/h",
    "mph": "mph",
    "mps": "m/s",
    "ft": "feet",
    "m": "metres",
    "fpm": "ft/min",
    "c": "degrees Celsius",
    "f": "degrees Fahrenheit",
    "k": "kelvins",
    "s": "seconds",
    "ms": "milliseconds",
}


@dataclass(frozen=True, slots=True)
class Mistaken:
    """A column that would agree if it were in another unit. name: ours, as stated; other: ours of that unit.

    header: in the file; factor: the readings over what the others say; against: the columns that say so;
    certain: whether nothing else can be behind it.
    """

    name: str
    other: str
    header: str
    factor: float
    against: tuple[str, ...]
    certain: bool


def unit_of(name: str) -> str:
    """The unit that a column's name says, in words."""
    return _UNIT[name.rsplit("_", 1)[1]]


def check_time(recording: Recording) -> None:
    """Raise InputError for times in another unit, or too far apart to be of use."""
    apart = float(np.median(np.diff(recording.time_s)))
    name, header = recording.columns.get("time", ("time_s", "time_s"))
    if apart > SLOWEST_S:
        read, allowed = f"readings {apart:g} s apart", f"readings at most {SLOWEST_S:g} s apart"
        if name == "time_s":
            read += ", which look like milliseconds"
            allowed += f"; for milliseconds {_rename('time_ms', header)}"
        raise InputError(recording.source, f"line 1, {header}", read, allowed)
    if apart < QUICKEST_S:
        read = f"readings {apart * 1e3:g} ms apart"
        allowed = f"readings at least {QUICKEST_S * 1e3:g} ms apart"
        if name == "time_ms":
            read += ", which look like seconds"
            allowed += f"; for seconds {_rename('time_s', header)}"
        raise InputError(recording.source, f"line 1, {header}", read, allowed)


def check_units(airplane: Airplane, recording: Recording) -> tuple[str, ...]:
    """Return a sentence for each column that may be in another unit; raise InputError where one is.

    Where either of two columns may be the one, the line names both.
    """
    found = [
        *_by_comparison(airplane, recording),
        *_by_temperature(recording),
        *_by_speeds(airplane, recording),
        *_by_climbs(airplane, recording),
    ]
    certain = [one for one in found if one.certain]
    if certain:
        headers = {one.header: unit_of(one.name) for one in certain}
        allowed = " or ".join(f"{unit} in {header}" for header, unit in headers.items())
        renamed = "; or ".join(_rename(one.other, one.header) for one in certain)
        if not certain[0].against and COLUMNS[certain[0].name].quantity == "ias":
            renamed += "; or choose the airplane that was flown"
        raise InputError(
            recording.source,
            f"line 1, {' or '.join(headers)}",
            f"values that look like {_look(certain, len(headers) > 1)}",
            f"{allowed} ({renamed})",
        )
    return tuple(
        f"{one.header} has values that look like {_look([one], False)}: if it is so, "
        f"{_rename(one.other, one.header)}."
        for one in found
    )


def _look(found: list[Mistaken], parted: bool) -> str:
    """What units readings look like, and why; parted: it may be one column or another."""
    looks = (f"{unit_of(m.other)} in {m.header}" if parted else unit_of(m.other) for m in found)
    each = " or ".join(dict.fromkeys(looks))
    if not found[0].factor:
        return each
    against = "one off the other" if parted else f"off {' and '.join(found[0].against)}"
    return f"{each}, {against} by {found[0].factor:.4g}"


def _rename(other: str, header: str) -> str:
    return f"name the column {other}, or say --column {other}={header}"


def in_another_unit(values: Mapping[str, Array], quantity: str, name: str, other: str) -> dict[str, Array]:
    """The readings of a recording with one column taken as in another unit."""
    old, new = COLUMNS[name], COLUMNS[other]
    written = (values[quantity] - old.offset) / old.factor
    return dict(values) | {quantity: written * new.factor + new.offset}


def _others(recording: Recording, quantity: str) -> Iterator[str]:
    name = recording.columns[quantity][0]
    return (n for n, column in COLUMNS.items() if column.quantity == quantity and n != name)


def _by_comparison(airplane: Airplane, recording: Recording) -> Iterator[Mistaken]:
    values = dict(recording.values) | {"time": recording.time_s}
    stated = {a.of: a for a in agreements(values)}
    off = {of for of, a in stated.items() if a.share() <= OFF}
    exact = all(a.exact for a in stated.values())
    possible = []
    for quantity, (name, header) in recording.columns.items():
        # readings an hour apart are no flight: other units of time are seen where the vertical speed tells
        touched = {of for of in off if quantity in of or (quantity == "time" and "vertical speed" in of)}
        for other in _others(recording, quantity) if touched else ():
            changed = in_another_unit(values, quantity, name, other)
            after = {a.of: a for a in agreements(changed)}
            agree = [after[of] for of in sorted(touched) if of in after and after[of].share() >= ON]
            spoilt = any(
                of in after and after[of].share() <= OFF for of in stated if of not in off and quantity in of
            )
            factor = COLUMNS[name].factor / COLUMNS[other].factor
            if not agree or spoilt or not _likely(airplane, values, changed, quantity, factor, agree):
                continue
            against = tuple(_said_by(recording, a.of, quantity) for a in agree)
            certain = _certain(airplane, values, quantity, factor, agree)
            left = max(abs(float(np.log(a.typical))) for a in agree)
            possible.append((len(agree), left, Mistaken(name, other, header, factor, against, certain)))
    most = max((number for number, *_ in possible), default=0)
    least = min((left for number, left, _ in possible if number == most), default=0.0)
    tie = NARROW if exact else AS_NEAR
    likely = [one for one in possible if one[0] == most and one[1] <= least + tie]
    certain = any(mistaken.certain for *_, mistaken in likely)  # one of them, then, is it
    for *_, mistaken in sorted(likely, key=lambda one: one[1]):
        yield replace(mistaken, certain=certain)


def _likely(
    airplane: Airplane,
    values: Mapping[str, Array],
    changed: Mapping[str, Array],
    quantity: str,
    factor: float,
    agree: list[Agreement],
) -> bool:
    """Whether a column that agrees in another unit is worth naming."""
    speeds = quantity in ("ias", "ground speed") and "ias" in values
    if speeds and share_in_range(airplane, changed["ias"]) < IN_RANGE:
        return False
    if quantity == "ias" and any(a.near == NEAR_IN_WIND for a in agree):
        in_range = share_in_range(airplane, values["ias"]) >= IN_RANGE
        if not live(airplane, values) or (in_range and not _beyond_any_wind(values)):
            return False  # a shut line or the wind may do as much
    narrow = all(a.exact and a.share(NARROW) >= ON for a in agree)
    return narrow or max(factor, 1.0 / factor) >= TELLING


def _said_by(recording: Recording, of: tuple[str, str], quantity: str) -> str:
    """The column that a quantity is held against, by its header."""
    other = of[1] if of[0] == quantity else of[0]
    header = recording.columns[other][1]
    return f"the changes of {header}" if quantity == "vertical speed" else header


def _certain(
    airplane: Airplane, values: Mapping[str, Array], quantity: str, factor: float, agree: list[Agreement]
) -> bool:
    """Whether no fault has such a factor, and keeps it."""
    if "altitude" in quantity:  # a restrictor that is plugged in part makes the vertical speed too large
        return any("gps altitude" in a.of for a in agree) or all(a.share(STEADY) >= ON for a in agree)
    if quantity not in ("ias", "ground speed"):
        return True
    too_low = (factor > 1.0) == (quantity == "ground speed")  # as a leak from the pitot line makes it, too
    if too_low and max(factor, 1.0 / factor) < TELLING:
        return False
    if not all(a.exact for a in agree) and not live(airplane, values):
        return False  # a shut line makes any airspeed
    if any(a.near == NEAR_IN_WIND for a in agree):
        steady = all(a.share(CALM) >= ON for a in agree)
        return _beyond_any_wind(values) and (steady or not too_low)
    return True


def _beyond_any_wind(values: Mapping[str, Array]) -> bool:
    """Whether airspeed and ground speed are further apart than by a strong wind that never turns."""
    return float(np.nanmedian(np.abs(true_airspeed(values) - values["ground speed"]))) > STRONG_WIND


def _by_speeds(airplane: Airplane, recording: Recording) -> Iterator[Mistaken]:
    """An airspeed that nothing can be held against but what the airplane flies at."""
    values = recording.values
    if "ias" not in values or "ias" not in recording.columns or "ground speed" in values:
        return
    if share_in_range(airplane, values["ias"]) > OUT_OF_RANGE or not live(airplane, values):
        return
    name, header = recording.columns["ias"]
    for other in _others(recording, "ias"):
        then = in_another_unit(values, "ias", name, other)["ias"]
        factor = COLUMNS[name].factor / COLUMNS[other].factor
        if share_in_range(airplane, then) >= ALL_IN_RANGE:
            certain = factor > TELLING and beyond_its_pointer(airplane, values, BEYOND)
            yield Mistaken(name, other, header, 0.0, (), certain)


def _by_climbs(airplane: Airplane, recording: Recording) -> Iterator[Mistaken]:
    """An altitude that nothing can be held against but how fast the airplane climbs and descends."""
    values = dict(recording.values) | {"time": recording.time_s}
    if not {"altitude"} <= values.keys() & recording.columns.keys():
        return
    if "vertical speed" in values or "gps altitude" in values:
        return
    name, header = recording.columns["altitude"]
    rates = climbing("altitude", values)
    usual = max(float(airplane.speeds.climb_rate), float(airplane.speeds.descent_rate))
    for other in _others(recording, "altitude") if len(rates) >= FEWEST else ():
        factor = COLUMNS[name].factor / COLUMNS[other].factor
        stated = float(np.median(rates)) / usual
        if stated > CLIMBS and stated / factor < CLIMBS_THEN:
            yield Mistaken(name, other, header, 0.0, (), False)


def _by_temperature(recording: Recording) -> Iterator[Mistaken]:
    """Degrees of another scale, by how far from the standard day they would be."""
    quantity, values = "outside temperature", recording.values
    height = values.get("gps altitude", values.get("altitude"))
    if quantity not in values or quantity not in recording.columns or height is None:
        return
    name, header = recording.columns[quantity]
    standard = np.asarray(air.standard_temperature(np.clip(height, LOWEST, HIGHEST)))
    warm = float(np.nanmedian(values[quantity] - standard))
    for other in _others(recording, quantity):
        if {name, other} != {"oat_c", "oat_f"}:
            continue  # kelvins are seen at once
        then = in_another_unit(values, quantity, name, other)[quantity]
        if abs(float(np.nanmedian(then - standard))) < RIGHT_K and abs(warm) > WARM_K:
            # a hard winter may be as cold as Celsius read as Fahrenheit; no summer is as warm as the reverse
            yield Mistaken(name, other, header, 0.0, (), warm > 0.0)
