"""Pictures as SVG: the pressure wall, dials, the line map, strip charts. Pure functions, one look."""

from ramstill._lazy import hand_on

_HERE = "ramstill.pictures."
__getattr__, __dir__ = hand_on(
    __name__,
    {name: _HERE + "panel" for name in ("dial", "panel", "angles")}
    | {name: _HERE + "of_run" for name in ("pressure_wall", "strips")}
    | {
        "line_map": _HERE + "maps",
        "strip_chart": _HERE + "strip",
        "Chart": _HERE + "strip",
        "Span": _HERE + "strip",
        "standalone": _HERE + "sheet",
        "style": _HERE + "sheet",
    },
)
