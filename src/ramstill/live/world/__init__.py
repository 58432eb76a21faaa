"""The live bench without a page: a flight, the crafts that feel it, what is done to them, and back again."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "BENCH": "ramstill.live.world.going",
        "Branch": "ramstill.live.world.history",
        "ByLevers": "ramstill.live.world.by_levers",
        "ByPilot": "ramstill.live.world.by_pilot",
        "Craft": "ramstill.live.world.craft",
        "Flight": "ramstill.live.world.flights",
        "Given": "ramstill.live.world.flights",
        "Moment": "ramstill.live.world.moment",
        "OnTheGround": "ramstill.live.world.ground",
        "Placed": "ramstill.live.world.placed",
        "Press": "ramstill.live.world.pressing",
        "TICK_S": "ramstill.live.world.moment",
        "TICKS_A_SECOND": "ramstill.live.world.moment",
        "World": "ramstill.live.world.world",
        "accounting": "ramstill.live.world.telling",
        "of_scenario": "ramstill.live.world.starting",
        "of_tables": "ramstill.live.world.starting",
        "on_the_ground": "ramstill.live.world.starting",
        "running": "ramstill.live.world.telling",
        "save": "ramstill.live.world.telling",
        "starting": "ramstill.live.world.starting:",
    },
)
