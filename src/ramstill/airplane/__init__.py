"""What a pitot-static system is made of: typed descriptions, read from TOML files and checked."""

from ramstill._lazy import hand_on

_MODULES = {
    "reading": ("load", "hangar", "from_dict", "table"),
    "schema": ("json_schema", "write_json_schema"),
    "figure": ("Figure", "Basis", "BASES"),
    "airframe": ("Outline", "Wing", "Speeds", "Inside"),
    "flying": ("Performance", "Propeller", "Jet"),
    "pressurisation": ("Pressurisation",),
    "openings": ("Opening", "PressureCoefficient", "CoefficientTable"),
    "plumbing": ("Fitting", "Line", "Valve", "Point"),
    "instruments": ("Instrument", "AirspeedIndicator", "Altimeter", "Encoder"),
    "rates": ("VerticalSpeedIndicator", "CalibratedLeak", "AccelerationPump", "Variometer"),
    "air_data": ("AirDataComputer",),
    "description": ("Airplane",),
    "checks": ("spelt",),
}
__getattr__, __dir__ = hand_on(
    __name__, {name: f"ramstill.airplane.{module}" for module, names in _MODULES.items() for name in names}
)
