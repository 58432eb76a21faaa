"""A pilot who flies what the pointers say: the airplane closed loop through its own plumbing."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "PilotPlan": "ramstill.flight.pilots.table",
        "parse_pilot": "ramstill.flight.pilots.table",
        "STYLES": "ramstill.flight.pilots.table",
        "fly": "ramstill.flight.pilots.loop",
        "Flown": "ramstill.flight.pilots.flown",
        "Event": "ramstill.flight.pilots.flown",
        "CUES": "ramstill.flight.pilots.flown",
    },
)
