"""The catalogue of faults: each is a timed edit of the network, its openings or an instrument."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "Fault": "ramstill.faults.fault",
        "Entry": "ramstill.faults.entry",
        "catalogue": "ramstill.faults.listing",
        "Applied": "ramstill.faults.applying",
        "apply": "ramstill.faults.applying",
        "check": "ramstill.faults.applying",
        "where_on_airplane": "ramstill.faults.applying",
    },
)
