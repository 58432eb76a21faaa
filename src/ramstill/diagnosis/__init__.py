"""From readings to the fault behind them, and to the check that tells what is left apart."""

from ramstill._lazy import hand_on

_WHERE = {
    "diagnose": "recorded",
    "diagnose_reported": "reported",
    "Candidate": "answer",
    "Diagnosis": "answer",
    "Evidence": "answer",
    "Finding": "answer",
    "Alike": "answer",
    "Prediction": "answer",
    "Situation": "answer",
}
__getattr__, __dir__ = hand_on(
    __name__, {name: f"ramstill.diagnosis.{module}" for name, module in _WHERE.items()}
)
