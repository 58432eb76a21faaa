"""The next check: what tells the faults that are left apart, and what its outcome says. Fly first."""

from ramstill._lazy import hand_on

_WHERE = {
    "next_checks": "ranking",
    "take_outcome": "telling",
    "Check": "check",
    "Outcome": "check",
}
__getattr__, __dir__ = hand_on(
    __name__, {name: f"ramstill.diagnosis.checks.{module}" for name, module in _WHERE.items()}
)
