"""Does each instrument make sense? Marks, settings, scale errors, leaks."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from ramstill.air import constants
from ramstill.airplane.quantity import complain

if TYPE_CHECKING:
    from ramstill.airplane.air_data import AirDataComputer
    from ramstill.airplane.airframe import Speeds
    from ramstill.airplane.instruments import AirspeedIndicator, Altimeter, Instrument
    from ramstill.airplane.rates import Variometer, VerticalSpeedIndicator

LEAK_MATCH = 0.1  # the needle may be this wrong by the file's own figures; a healthy one is within 5 %
MADE_UP = (0.3, 1.5)  # share of the leak's lateness that a pump may make up for
MOST_HYSTERESIS = 0.05  # a healthy one has below 0.01 (75 ft at 20,000 ft: 14 CFR 43 appendix E, table II)


def sound(instrument: Instrument, speeds: Speeds) -> None:
    """Whatever one instrument's figures say twice must agree."""
    if instrument.kind == "airspeed-indicator":
        _airspeed(instrument, speeds)
    elif instrument.kind == "altimeter":
        _altimeter(instrument)
    elif instrument.kind == "vertical-speed-indicator":
        _leak(instrument)
        _pump(instrument)
    elif instrument.kind == "variometer":
        _leak(instrument)
    elif instrument.kind == "air-data-computer":
        _air_data(instrument, speeds)


def _field(instrument: Instrument, key: str) -> str:
    return f'instrument "{instrument.name}": {key}'


def _airspeed(instrument: AirspeedIndicator, speeds: Speeds) -> None:
    _rising(instrument)
    if instrument.top_mark <= speeds.never_exceed:
        raise complain(
            f'"{instrument.top_mark.text}"',
            f"a mark above speeds.never_exceed, {speeds.never_exceed.text}",
            _field(instrument, "top_mark"),
        )
    if instrument.lowest_mark >= speeds.stall_clean:
        raise complain(
            f'"{instrument.lowest_mark.text}"',
            f"a mark below speeds.stall_clean, {speeds.stall_clean.text}",
            _field(instrument, "lowest_mark"),
        )


def _altimeter(instrument: Altimeter) -> None:
    _settings(instrument)
    _rising(instrument)
    if instrument.hysteresis > MOST_HYSTERESIS:
        raise complain(
            f'"{instrument.hysteresis.text or float(instrument.hysteresis)}"',
            f"a share of the altitude reached, {MOST_HYSTERESIS:g} at most",
            _field(instrument, "hysteresis"),
        )


def _settings(instrument: Altimeter | AirDataComputer) -> None:
    if instrument.setting_lowest >= instrument.setting_highest:
        raise complain(
            instrument.setting_highest.text,
            f"a setting above setting_lowest, {instrument.setting_lowest.text}",
            _field(instrument, "setting_highest"),
        )


def _rising(instrument: AirspeedIndicator | Altimeter) -> None:
    for (low, _), (high, _) in pairwise(instrument.scale_error):
        if high <= low:
            raise complain(
                f'"{high.text}" after "{low.text}"', "rows that rise", _field(instrument, "scale_error")
            )


def _leak(instrument: VerticalSpeedIndicator | Variometer) -> None:
    """The leak's two figures and the dial's full scale say one thing twice.

    In a steady climb what is behind the leak is late by the time constant, so at sea level it keeps
    rho0 g0 w tau above the static line (first order; hydrostatic equation).
    """
    leak = instrument.leak
    expected = constants.RHO0 * constants.G0 * instrument.full_scale * leak.time_constant
    if abs(leak.full_scale_difference / expected - 1.0) > LEAK_MATCH:
        raise complain(
            f'"{leak.full_scale_difference.text}"',
            f"about {expected:.0f} Pa, kept up by time_constant {leak.time_constant.text} at sea level "
            f"and full_scale {instrument.full_scale.text}",
            _field(instrument, "leak.full_scale_difference"),
        )


def _pump(instrument: VerticalSpeedIndicator) -> None:
    pump, (least, most) = instrument.instantaneous, MADE_UP
    if pump is not None and not least <= instrument.made_up_share <= most:
        exact = float(pump.travel_per_g) / instrument.made_up_share * 1e3
        raise complain(
            f'"{pump.travel_per_g.text}", which makes up for {instrument.made_up_share:.2f} of what the leak '
            "is late",
            f"about {exact:.2g} mm, which makes up for all of it; {least:g} to {most:g} of that",
            _field(instrument, "instantaneous.travel_per_g"),
        )


def _air_data(instrument: AirDataComputer, speeds: Speeds) -> None:
    _settings(instrument)
    if len(set(instrument.shows)) != len(instrument.shows):
        raise complain(", ".join(instrument.shows), "each reading once", _field(instrument, "shows"))
    if instrument.lowest_airspeed >= speeds.stall_landing:
        raise complain(
            f'"{instrument.lowest_airspeed.text}"',
            f"a speed below speeds.stall_landing, {speeds.stall_landing.text}",
            _field(instrument, "lowest_airspeed"),
        )
    if instrument.highest_airspeed <= speeds.never_exceed:
        raise complain(
            f'"{instrument.highest_airspeed.text}"',
            f"a speed above speeds.never_exceed, {speeds.never_exceed.text}",
            _field(instrument, "highest_airspeed"),
        )
    if instrument.vertical_speed_filter < instrument.sample_interval:
        raise complain(
            f'"{instrument.vertical_speed_filter.text}"',
            f"a time no shorter than sample_interval, {instrument.sample_interval.text}",
            _field(instrument, "vertical_speed_filter"),
        )
