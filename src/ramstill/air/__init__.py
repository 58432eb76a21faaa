"""Air: standard and off-standard day, airspeeds, gas properties, units. Pure functions on arrays, in SI."""

from ramstill._lazy import hand_on

_MODULES = ("constants", "units", "atmosphere", "airspeed", "day", "gas", "manometer", "quantity")
_NAMES = {
    "atmosphere": (
        "static_pressure",
        "pressure_altitude",
        "standard_temperature",
        "standard_density",
        "density_altitude",
        "geopotential_from_geometric",
        "geometric_from_geopotential",
    ),
    "airspeed": (
        "impact_pressure",
        "calibrated_airspeed",
        "impact_pressure_from_mach",
        "mach",
        "true_airspeed",
        "mach_from_true_airspeed",
        "equivalent_airspeed",
        "mach_from_equivalent",
        "mach_from_calibrated",
        "true_from_calibrated",
        "calibrated_from_true",
    ),
    "day": ("Day", "altimeter_setting", "indicated_altitude"),
    "gas": (
        "viscosity",
        "thermal_conductivity",
        "density",
        "speed_of_sound",
        "total_temperature",
        "outside_temperature",
    ),
    "manometer": (
        "water_density",
        "water_height",
        "water_pressure",
        "mercury_height",
        "mercury_pressure",
    ),
    "quantity": ("parse",),
}
__getattr__, __dir__ = hand_on(
    __name__,
    {name: f"ramstill.air.{name}:" for name in _MODULES}
    | {name: f"ramstill.air.{module}" for module, names in _NAMES.items() for name in names},
)
