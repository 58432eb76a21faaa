"""Ramstill: a bench for pitot-static systems that may be abused."""

from ramstill._lazy import hand_on

__version__ = "0.1.0"

_PACKAGES = (
    "air",
    "airplane",
    "pneumatics",
    "instruments",
    "faults",
    "flight",
    "bench",
    "run",
    "pictures",
    "report",
)
__getattr__, __dir__ = hand_on(
    __name__,
    {name: f"ramstill.{name}:" for name in _PACKAGES}
    | dict.fromkeys(("simulate", "simulate_batch", "iter_batch", "Run", "Batch"), "ramstill.run"),
)
