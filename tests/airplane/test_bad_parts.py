"""One line for what is wrong with cabins, pumps, computers, probes and variometers."""

import pytest
from changing import complaint, drop, put

from ramstill import airplane


def at(name, group, table):
    """Number of the part of that name in its group."""
    return [part["name"] for part in table[group]].index(name)


TURBOPROP, JET, SAILPLANE = (
    airplane.table(name) for name in ("pressurised-turboprop", "business-jet", "sailplane")
)
CABIN = ("inside", "pressurisation")
PUMPED = ("instrument", at("vertical-speed-right", "instrument", TURBOPROP))
COMPUTER = ("instrument", at("air-data-left", "instrument", JET))
VARIOMETER = ("instrument", at("variometer", "instrument", SAILPLANE))
PROBE = ("opening", at("energy-probe", "opening", SAILPLANE))
RISER = ("line", at("energy-riser", "line", SAILPLANE))
CASES = {
    "cabin rows fall": (
        TURBOPROP,
        put("0, 14000, 13000 ft", *CABIN, "airplane_altitude"),
        'inside.pressurisation.airplane_altitude: read "0 ft, 14000 ft, 13000 ft"; allowed: two or more',
    ),
    "cabin rows of unequal length": (
        TURBOPROP,
        put("0, 500 ft", *CABIN, "cabin_altitude"),
        "inside.pressurisation.cabin_altitude: read 2 values; allowed: 4 values",
    ),
    "cabin falls": (
        TURBOPROP,
        put("0, 500, 400, 9200 ft", *CABIN, "cabin_altitude"),
        "allowed: altitudes, none below the one before",
    ),
    "cabin above the airplane": (
        TURBOPROP,
        put("200, 500, 6500, 9200 ft", *CABIN, "cabin_altitude"),
        'inside.pressurisation.cabin_altitude: read a cabin at "200 ft" in an airplane at "0 ft"; allowed',
    ),
    "cabin beyond its differential": (
        TURBOPROP,
        put("5 psi", *CABIN, "maximum_differential"),
        'read a cabin at "500 ft" in an airplane at "14000 ft", 39984 Pa; allowed: a schedule within',
    ),
    "a pump too weak": (
        TURBOPROP,
        put("1 mm", *PUMPED, "instantaneous", "travel_per_g"),
        'instrument "vertical-speed-right": instantaneous.travel_per_g: read "1 mm", which makes up for 0.04 '
        "of what the leak is late; allowed: about 23 mm",
    ),
    "too much hysteresis": (
        TURBOPROP,
        put(0.3, "instrument", at("altimeter-left", "instrument", TURBOPROP), "hysteresis"),
        'instrument "altimeter-left": hysteresis: read "0.3"; allowed: a share of the altitude reached, 0.05',
    ),
    "vibrator of some strength": (
        TURBOPROP,
        put("strong", "instrument", at("altimeter-left", "instrument", TURBOPROP), "vibrator"),
        'vibrator: read "strong"; allowed: true or false',
    ),
    "compliance of a length": (
        TURBOPROP,
        put("2 mm", "instrument", 0, "capsule_compliance"),
        'capsule_compliance: read "2 mm"; allowed: a number and a unit of volume per pressure',
    ),
    "heater without heating": (
        TURBOPROP,
        drop("opening", 0, "heated"),
        'opening "left-inlet": heater_power: read "140 W" for an opening without a heater; allowed',
    ),
    "computer that shows its heat": (
        JET,
        put(["airspeed", "heat"], *COMPUTER, "shows"),
        'read "heat"; allowed: airspeed, altitude, vertical-speed',
    ),
    "computer that says things twice": (
        JET,
        put(["airspeed", "airspeed"], *COMPUTER, "shows"),
        'instrument "air-data-left": shows: read airspeed, airspeed; allowed: each reading once',
    ),
    "computer that shows nothing": (
        JET,
        put([], *COMPUTER, "shows"),
        "shows: read []; allowed: at least one",
    ),
    "computer late to wake": (
        JET,
        put("90 kt", *COMPUTER, "lowest_airspeed"),
        'lowest_airspeed: read "90 kt"; allowed: a speed below speeds.stall_landing, 88 kt',
    ),
    "computer soon lost": (
        JET,
        put("300 kt", *COMPUTER, "highest_airspeed"),
        'highest_airspeed: read "300 kt"; allowed: a speed above speeds.never_exceed, 325 kt',
    ),
    "computer that samples slowly": (
        JET,
        put("2 s", *COMPUTER, "sample_interval"),
        'vertical_speed_filter: read "1.0 s"; allowed: a time no shorter than sample_interval, 2 s',
    ),
    "computer's settings crossed": (
        JET,
        put("32 inHg", *COMPUTER, "setting_lowest"),
        "setting_highest: read 31.0 inHg; allowed: a setting above setting_lowest, 32 inHg",
    ),
    "computer with a case": (
        JET,
        put("0.2 l", *COMPUTER, "case_volume"),
        'instrument "air-data-left": case_volume: read a key "case_volume" that is not known; allowed',
    ),
    "probe that is still": (
        SAILPLANE,
        put("still", *PROBE, "sees"),
        'opening "energy-probe": sees: read "still"; allowed: total-energy, for a total-energy-probe',
    ),
    "port that feels energy": (
        SAILPLANE,
        put("total-energy", "opening", at("left-port", "opening", SAILPLANE), "sees"),
        'opening "left-port": sees: read "total-energy"; allowed: ram, still, cabin or wing-bay',
    ),
    "variometer on a pitot line": (
        SAILPLANE,
        put("pitot", *RISER, "serves"),
        'serves: read "pitot" on variometer.probe; allowed: total-energy or static, as the port is',
    ),
    "energy line that turns static": (
        SAILPLANE,
        put("static", *RISER, "serves"),
        'line "energy-riser": serves: read "static" at energy-trap; allowed: total-energy',
    ),
    "line to a flask": (
        SAILPLANE,
        put("variometer.flask", *RISER, "to"),
        'line "energy-riser": to: read "variometer.flask"; allowed: a fitting, or an instrument',
    ),
    "variometer at odds with its dial": (
        SAILPLANE,
        put("10 m/s", *VARIOMETER, "full_scale"),
        'instrument "variometer": leak.full_scale_difference: read "96 Pa"; allowed: about 192 Pa',
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_bad_input_gets_its_line(case):
    good, change, expected = CASES[case]
    assert expected in complaint(change, good)
