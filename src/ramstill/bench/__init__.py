"""The bench: pressures applied at the openings on the ground, and the limits that protect instruments.

A training and planning aid, not approved data. Never blow into or pull on a live system: tests and repairs
belong to appropriately rated people with the manufacturer's manual and the local rules.
"""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "Programme": "ramstill.bench.programme",
        "parse_bench": "ramstill.bench.programme",
        "CAUTION": "ramstill.bench.programme",
        "surroundings": "ramstill.bench.applied",
        "Near": "ramstill.bench.limits",
        "near": "ramstill.bench.limits",
        "Passed": "ramstill.bench.limits",
        "passed": "ramstill.bench.limits",
        "resolve": "ramstill.bench.openings",
    },
)
