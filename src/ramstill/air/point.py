"""Everything that can be said of one point in the air and one speed there, as named figures."""

from dataclasses import dataclass

import numpy as np

from ramstill.air import airspeed, atmosphere, day, gas, manometer
from ramstill.air.constants import P0
from ramstill.air.units import CELSIUS_ZERO, FT, HPA, INCH, INHG, KT


@dataclass(frozen=True, slots=True)
class Point:
    """Air at rest, static pressure [Pa] and temperature [K]; and a speed through it, as Mach or None."""

    static_pressure_pa: float
    temperature_k: float
    mach: float | None = None

    def air(self, altimeter_setting_pa: float = P0) -> dict[str, float]:
        """Figures of the air at rest; every key ends in its unit. ValueError above 47 km."""
        p, t = self.static_pressure_pa, self.temperature_k
        level = atmosphere.pressure_altitude(p)
        thick = atmosphere.density_altitude(p, t)
        shown = day.indicated_altitude(p, altimeter_setting_pa)
        sound = gas.speed_of_sound(t)
        standard = float(atmosphere.temperature_unbounded(np.asarray(level)))
        return {
            "pressure_altitude_m": level,
            "pressure_altitude_ft": level / FT,
            "altimeter_setting_hpa": altimeter_setting_pa / HPA,
            "altimeter_setting_inhg": altimeter_setting_pa / INHG,
            "indicated_altitude_m": shown,
            "indicated_altitude_ft": shown / FT,
            "static_pressure_pa": p,
            "static_pressure_hpa": p / HPA,
            "static_pressure_inhg": p / INHG,
            "temperature_k": t,
            "temperature_c": t - CELSIUS_ZERO,
            "temperature_above_standard_k": t - standard,
            "density_kg_m3": gas.density(p, t),
            "density_altitude_m": thick,
            "density_altitude_ft": thick / FT,
            "viscosity_pa_s": gas.viscosity(t),
            "speed_of_sound_m_s": sound,
            "speed_of_sound_kt": sound / KT,
        }

    def speeds(
        self, water_temperature_k: float = manometer.WATER_REFERENCE_K, recovery: float = 1.0
    ) -> dict[str, float]:
        """Figures of the speed; every key ends in its unit. Empty if the point has no speed."""
        if self.mach is None:
            return {}
        p, t, m = self.static_pressure_pa, self.temperature_k, self.mach
        impact = airspeed.impact_pressure_from_mach(m, p)
        speeds = {
            "calibrated_airspeed": airspeed.calibrated_airspeed(impact),
            "equivalent_airspeed": airspeed.equivalent_airspeed(m, p),
            "true_airspeed": airspeed.true_airspeed(m, t),
        }
        probe = gas.total_temperature(t, m, recovery)
        return {
            "mach": m,
            **{f"{k}_{u}": v / f for k, v in speeds.items() for u, f in (("m_s", 1.0), ("kt", KT))},
            "impact_pressure_pa": impact,
            "impact_pressure_hpa": impact / HPA,
            "impact_pressure_inhg": impact / INHG,
            "impact_pressure_inh2o": manometer.water_height(impact, water_temperature_k) / INCH,
            "water_temperature_c": water_temperature_k - CELSIUS_ZERO,
            "total_pressure_pa": p + impact,
            "recovery": recovery,
            "probe_temperature_k": probe,
            "probe_temperature_c": probe - CELSIUS_ZERO,
        }
