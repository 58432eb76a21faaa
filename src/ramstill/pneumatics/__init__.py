"""The air inside: a network of volumes and the links between them, and how its pressures move."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "Schedule": "ramstill.pneumatics.schedule",
        "Surroundings": "ramstill.pneumatics.surroundings",
        "Truth": "ramstill.pneumatics.truth",
    },
)
