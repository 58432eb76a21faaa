"""Flights: outside pressures over time from a planned or a recorded flight."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "FlightPlan": "ramstill.flight.plan",
        "parse_flight": "ramstill.flight.plan",
        "parse_day": "ramstill.flight.plan",
        "FlightPath": "ramstill.flight.path",
        "plan": "ramstill.flight.path",
        "surroundings": "ramstill.flight.outside",
    },
)
