"""Flights: outside pressures over time from a planned or a recorded flight."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "FlightPlan": "ramstill.flight.planned",
        "parse_flight": "ramstill.flight.planned",
        "parse_day": "ramstill.flight.planned",
        "FlightPath": "ramstill.flight.path",
        "plan": "ramstill.flight.path",
        "surroundings": "ramstill.flight.outside",
        "flyer": "ramstill.flight.point_mass",
        "motion": "ramstill.flight.motion:",
        "Trim": "ramstill.flight.trim",
        "trim": "ramstill.flight.trim",
        "level_speed": "ramstill.flight.trim",
        "fly": "ramstill.flight.pilots.loop",
        "Flown": "ramstill.flight.pilots.flown",
        "PilotPlan": "ramstill.flight.pilots.table",
        "parse_pilot": "ramstill.flight.pilots.table",
        "recording": "ramstill.flight.recording:",
        "Recording": "ramstill.flight.recording",
        "Reconstruction": "ramstill.flight.reconstruct",
        "reconstruction": "ramstill.flight.reconstruct",
        "HandFlight": "ramstill.flight.levers",
        "Levers": "ramstill.flight.levers",
        "LeverPlan": "ramstill.flight.levers",
        "Start": "ramstill.flight.levers",
        "COLUMNS": "ramstill.flight.columns",
    },
)
