"""One airplane, its surroundings and its faults, worked out over time."""

from ramstill._lazy import hand_on

_WHERE = {
    "simulate": "simulating",
    "simulate_batch": "batch",
    "iter_batch": "batch",
    "Batch": "batch",
    "Channel": "batch",
    "Run": "record",
    "Moment": "record",
    "Account": "accounted",
    "Part": "accounted",
    "Paragraph": "record",
    "TooQuick": "record",
    "write_csv": "record",
    "Scenario": "scenario",
    "load_scenario": "scenario",
    "json_schema": "schema",
    "write_json_schema": "schema",
    "bundled": "scenario",
    "good_up_to_hz": "limits",
    "limits_in_words": "limits",
    "sealed_at": "sealed",
    "Sealed": "sealed",
    "whole_folder": "folder",
    "whole_file": "folder",
    "check_replaceable": "folder",
    "card_figures": "card",
    "CardFigures": "card",
}
__getattr__, __dir__ = hand_on(__name__, {name: f"ramstill.run.{module}" for name, module in _WHERE.items()})
