"""Pictures as SVG: the pressure wall, dials, the line map, strip charts. Pure functions, one look."""

from ramstill._lazy import hand_on

_HERE = "ramstill.pictures."
__getattr__, __dir__ = hand_on(
    __name__,
    dict.fromkeys(("dial", "panel", "angles"), _HERE + "panels")
    | dict.fromkeys(("strips",), _HERE + "of_run")
    | dict.fromkeys(("pressure_wall",), _HERE + "of_walls")
    | {
        "account_ledger": _HERE + "of_accounts",
        "line_map": _HERE + "maps",
        "strip_chart": _HERE + "strip",
        "Chart": _HERE + "strip",
        "Span": _HERE + "strip",
        "standalone": _HERE + "sheet",
        "style": _HERE + "sheet",
        "moving": _HERE + "sheet",
    },
)
