"""How late the instruments of one airplane are in a steady climb, in seconds, feet and knots."""

from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

_FASTEST_M_S = 100.0  # no airplane of these climbs faster
_HIGHEST_M = 15000.0


def late(plane: "Airplane", climb: str, altitude: str) -> dict[str, Any]:
    """Lag of each instrument at the airplane's climb speed, on the standard day; heavy imports happen here.

    A steady ramp of pressure arrives at a tapping late by its time constant, so the tapping is off by time
    constant x rate: in feet for what static feeds, in knots for the airspeed indicator, whose two sides are
    late by different amounts.
    """
    from ramstill import air, pneumatics
    from ramstill.air.constants import G0
    from ramstill.air.quantity import parse
    from ramstill.air.units import FPM, FT, KT

    climb_m_s = parse(climb, "vertical speed", "hangar", "--climb")
    if not 0.0 < climb_m_s <= _FASTEST_M_S:
        raise InputError("hangar", "--climb", climb, "a climb above zero, 100 m/s at most")
    altitude_m = parse(altitude, "length", "hangar", "--altitude")
    if not 0.0 <= altitude_m <= _HIGHEST_M:
        raise InputError("hangar", "--altitude", altitude, "0 to 15,000 m")
    pressure, temperature = air.static_pressure(altitude_m), air.standard_temperature(altitude_m)
    falling_pa_s = air.standard_density(altitude_m) * G0 * climb_m_s
    lags = pneumatics.lag_time_constants(pneumatics.compile_network(plane), pressure, temperature)

    speed = float(plane.speeds.climb)
    instruments: list[dict[str, Any]] = []
    for one in plane.instruments:
        static, pointer = lags[one.ports[-1]], float(getattr(one, "lag", getattr(one, "filter_time", 0.0)))
        row: dict[str, Any] = {"name": one.name, "kind": one.kind, "air_s": static, "pointer_s": pointer}
        said = []
        if one.kind in ("airspeed-indicator", "air-data-computer"):
            pitot = lags[f"{one.name}.pitot"]
            # p lags by tau dp/dt on each side; dp/dt is the same on both in a climb at one airspeed
            excess = (pitot - static) * falling_pa_s
            shown = air.calibrated_airspeed(air.impact_pressure(speed) + excess)
            off_kt = float(shown - speed) / KT
            row |= {"air_s": max(pitot, static), "pitot_s": pitot, "static_s": static, "off_kt": off_kt}
            way = "high" if off_kt > 0 else "low"
            said.append(f"{abs(off_kt):.2f} kt {way} (pitot {pitot:.3f} s, static {static:.3f} s)")
        if one.kind in ("altimeter", "encoder", "air-data-computer"):
            behind_ft = (static + pointer) * climb_m_s / FT
            row |= {"behind_ft": behind_ft}
            said.append(f"{behind_ft:.1f} ft behind")
        if one.kind in ("vertical-speed-indicator", "variometer"):
            row["air_s"] = lags[one.leak_ends[1]]
            row["settles_s"] = 3.0 * (row["air_s"] + pointer)
            said.append(f"nothing once steady; settled to a twentieth after {row['settles_s']:.0f} s")
            if getattr(one, "instantaneous", None) is not None:
                said[0] += " without its pump"
        if one.kind == "air-data-computer":
            row["settles_s"] = 3.0 * (static + float(one.vertical_speed_filter))
            said.insert(0, f"vertical speed settled to a twentieth after {row['settles_s']:.0f} s")
        row["words"] = "; ".join(said)
        row["lag_s"] = row["air_s"] + pointer
        instruments.append(row)
    return {
        "climb_fpm": climb_m_s / FPM,
        "climb_speed_kt": speed / KT,
        "altitude_ft": altitude_m / FT,
        "instruments": instruments,
    }
