"""Whether a recording is fit to be diagnosed at all: enough of it, in its units, of this airplane."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units
from ramstill.diagnosis.agreement import agreements, flying, true_airspeed
from ramstill.diagnosis.scale import beyond_its_pointer
from ramstill.diagnosis.units_mistaken import check_time, check_units
from ramstill.errors import InputError
from ramstill.flight.columns import INSTRUMENTS

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]

FEWEST, SHORTEST_S = 30, 30.0  # readings of one instrument, and over how long [s], that say anything
GAP_S, GAP_STEPS = 10.0, 5.0  # a gap is longer than this, and than so many usual steps [s]
FAR_ABOVE = 1.2  # times the never-exceed speed, for most of the flight: another airplane
FAR_BELOW = 0.7  # times the stall speed, in the air
MOST = 0.6  # share of the flight
STRONGEST_WIND = 60.0 * units.KT  # that is allowed for where only a ground speed speaks [m/s]
AIRBORNE_M = 200.0  # altitude gained or lost by GPS that no runway has [m]


def check(airplane: Airplane, recording: Recording) -> tuple[str, ...]:
    """Return what has to be said about a recording before it is diagnosed, in sentences.

    Raises InputError where it is unfit: too little of it, a column in another unit, another airplane. A
    pointer that does not move is a symptom, and no fault of the recording.
    """
    check_time(recording)
    check_length(recording)
    notes = (*gaps(recording), *check_units(airplane, recording))
    fits_airplane(airplane, recording)
    return notes


def check_length(recording: Recording) -> None:
    """Raise InputError for too few readings, or over too short a time."""
    best, longest = 0, 0.0
    for quantity in INSTRUMENTS:
        if quantity in recording.values:
            at = recording.time_s[~np.isnan(recording.values[quantity])]
            if not len(at):
                continue
            best, longest = max(best, len(at)), max(longest, float(at[-1] - at[0]))
    if best < FEWEST or longest < SHORTEST_S:
        raise InputError(
            recording.source,
            "",
            f"{best} readings of an instrument over {longest:.3g} s",
            f"{FEWEST} readings or more of one instrument, over {SHORTEST_S:g} s or more",
        )


def gaps(recording: Recording) -> tuple[str, ...]:
    """Return a sentence about gaps in time, if there are any."""
    steps = np.diff(recording.time_s)
    wide = np.flatnonzero(steps > max(GAP_S, GAP_STEPS * float(np.median(steps))))
    if not len(wide):
        return ()
    longest = int(wide[np.argmax(steps[wide])])
    at = f"{steps[longest]:.0f} s from {recording.time_s[longest]:.0f} s on"
    number = f"{len(wide)} gaps, the longest of {at}" if len(wide) > 1 else f"a gap of {at}"
    return (f"The recording has {number}: what set in there is known no better than that.",)


def fits_airplane(airplane: Airplane, recording: Recording) -> None:
    """Raise InputError for a recording of another airplane: speeds this one does not fly at, for most of it.

    Only where no fault can be behind them: the ground speed says the same, or the airspeed indicator cannot
    show them, and neither the altimeter stands still nor the inlet's pressure.
    """
    values = dict(recording.values) | {"time": recording.time_s}
    low, high = float(airplane.speeds.stall_landing), float(airplane.speeds.never_exceed)
    shown = flying(values["ias"]) if "ias" in values else np.empty(0)
    ground = _calibrated_ground_speed(values)
    agree = next((a for a in agreements(values) if a.of == ("ias", "ground speed")), None)
    confirmed = agree is not None and agree.share(0.25) >= MOST
    too_fast = len(shown) > 0 and float(np.mean(shown > FAR_ABOVE * high)) > MOST
    if len(ground) and float(np.mean(ground - STRONGEST_WIND > FAR_ABOVE * high)) > MOST:
        raise _another(airplane, recording, "ground speed", ground)
    if too_fast and (confirmed or (not len(ground) and beyond_its_pointer(airplane, values, MOST))):
        raise _another(airplane, recording, "ias", shown)
    too_slow = len(shown) > 0 and float(np.mean(shown < FAR_BELOW * low)) > MOST
    if too_slow and confirmed and _airborne(values) and float(np.median(ground)) < FAR_BELOW * low:
        raise _another(airplane, recording, "ias", shown)


def _another(airplane: Airplane, recording: Recording, quantity: str, speeds: Array) -> InputError:
    header = recording.columns[quantity][1] if quantity in recording.columns else quantity
    low, high = (f"{float(np.percentile(speeds, q)) / units.KT:.0f}" for q in (10, 90))
    what = "in calibrated airspeed" if quantity == "ground speed" else "mostly"
    return InputError(
        recording.source,
        f"column {header}",
        f"{low} to {high} kt {what}, from another airplane or in another unit",
        f"a flight of {airplane.name}, which stalls at {airplane.speeds.stall_landing / units.KT:.0f} kt "
        f"and never exceeds {airplane.speeds.never_exceed / units.KT:.0f} kt; no fault explains this",
    )


def _calibrated_ground_speed(values: dict[str, Array]) -> Array:
    """The ground speeds of the flight as calibrated airspeeds without wind [m/s]; none where not recorded."""
    if "ground speed" not in values:
        return np.empty(0)
    ground = values["ground speed"]
    as_if = true_airspeed(values | {"ias": ground})
    with np.errstate(invalid="ignore", divide="ignore"):
        slower = np.where(as_if > 0.0, ground / as_if, 1.0)
    return flying(ground * slower)


def _airborne(values: dict[str, Array]) -> bool:
    height = values.get("gps altitude", values.get("altitude"))
    return height is not None and float(np.nanmax(height) - np.nanmin(height)) > AIRBORNE_M
