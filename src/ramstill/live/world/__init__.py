"""The live bench without a page: a flight, the crafts that feel it, what is done to them, and back again."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "BENCH": "ramstill.live.world.going",
        "ByLevers": "ramstill.live.world.by_levers",
        "Craft": "ramstill.live.world.craft",
        "Flight": "ramstill.live.world.flights",
        "Given": "ramstill.live.world.flights",
        "Moment": "ramstill.live.world.moment",
        "Placed": "ramstill.live.world.placed",
        "TICK_S": "ramstill.live.world.moment",
        "TICKS_A_SECOND": "ramstill.live.world.moment",
        "World": "ramstill.live.world.world",
    },
)
