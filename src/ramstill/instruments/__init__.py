"""Pressures at the tappings -> what the pointers show, and the truth each pointer is held against."""

from ramstill._lazy import hand_on

__getattr__, __dir__ = hand_on(
    __name__,
    {
        "quantity_for": "ramstill.instruments.pointers",
        "read": "ramstill.instruments.panel",
        "Pointer": "ramstill.instruments.pointers",
        "pointers_of": "ramstill.instruments.pointers",
        "truth_for": "ramstill.instruments.pointers",
        "tappings_of": "ramstill.instruments.pointers",
        "Watching": "ramstill.instruments.watching",
        "PointerEdit": "ramstill.instruments.edits",
        "EDIT_KINDS": "ramstill.instruments.edits",
        "airspeed_from_difference": "ramstill.instruments.airspeed",
        "altitude_shown": "ramstill.instruments.altimeter",
        "vertical_speed_shown": "ramstill.instruments.vertical_speed",
        "encoded_altitude": "ramstill.instruments.encoder",
        "first_order_lag": "ramstill.instruments.mechanics",
        "play": "ramstill.instruments.mechanics",
    },
)
