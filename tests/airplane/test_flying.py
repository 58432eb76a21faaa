"""The [performance] table: what is refused, in one line that names the field."""

import copy

import pytest
from changing import complaint, drop, put

from ramstill import airplane
from ramstill.airplane.flying import stall_speed
from ramstill.errors import InputError

GOOD = airplane.table("low-wing-mast")


CASES = {
    "too little lift": (
        put(1.1, "performance", "maximum_lift"),
        "performance.maximum_lift: read 1.1, which stalls at 1.09 times speeds.stall_clean; allowed: about",
    ),
    "too much lift": (
        put(1.9, "performance", "maximum_lift_flap"),
        "performance.maximum_lift_flap: read 1.9, which stalls at 0.935 times speeds.stall_landing; allowed: "
        "about 1.66, as speeds.stall_landing is 46 kt, within 3 % of speed",
    ),
    "no wing": (drop("wing"), "performance: read no [wing]; allowed: a [wing] beside it"),
    "no drag": (
        put(0.0, "performance", "zero_lift_drag"),
        'performance.zero_lift_drag: read "0.0"; allowed: a plain number, or %, above zero, such as 0.04',
    ),
    "a warner after the stall": (
        put(0.9, "performance", "stall_warning"),
        'performance.stall_warning: read "0.9"; allowed: 1 or more',
    ),
    "an engine of no kind": (
        drop("performance", "engine", "kind"),
        "performance.engine: read no kind; allowed: propeller, jet",
    ),
    "an engine of another kind": (
        put("propellor", "performance", "engine", "kind"),
        'performance.engine: read "propellor"; allowed: did you mean propeller? (also jet)',
    ),
    "a misspelt key of the engine": (
        put("1.9 m", "performance", "engine", "diametre"),
        'performance.engine.diametre: read a key "diametre" that is not known; allowed: did you mean',
    ),
    "a propeller that gains power": (
        put(1.2, "performance", "engine", "figure_of_merit"),
        'performance.engine.figure_of_merit: read "1.2"; allowed: at most 1, the whole of it',
    ),
    "more than full power": (
        put("75", "performance", "book", 4, "power"),
        'performance.book number 5: power: read "75"; allowed: at most 1',
    ),
    "more than full flap": (
        put(2, "performance", "book", 1, "flap"),
        'performance.book number 2: flap: read "2.0"; allowed: at most 1',
    ),
    "an engine quicker than the model": (
        put("1 ms", "performance", "engine", "response"),
        'performance.engine.response: read "1 ms"; allowed: 0.1 s or more',
    ),
    "rated above all air": (
        put("300000 ft", "performance", "engine", "critical_altitude"),
        'performance.engine.critical_altitude: read "300000 ft"; allowed: an altitude from -1500 m to',
    ),
    "a climb below the ground": (
        put("-90000 ft", "performance", "book", 2, "altitude"),
        'performance.book number 3: altitude: read "-90000 ft"; allowed: an altitude from -1500 m to',
    ),
    "power in newtons": (
        put("80 N", "performance", "engine", "shaft_power"),
        'performance.engine.shaft_power: read "80 N"; allowed: a number and a unit of power',
    ),
    "a book figure of no kind": (
        drop("performance", "book", 0, "kind"),
        "performance.book number 1: read no kind; allowed: stall, climb, level, glide, approach",
    ),
    "a book figure without its rate": (
        drop("performance", "book", 2, "rate"),
        "performance.book number 3: rate: read nothing; allowed: this key, which has no default",
    ),
    "a sinking climb": (
        put("-5 ft/min", "performance", "book", 2, "rate"),
        'performance.book number 3: rate: read "-5 ft/min"; allowed: a number and a unit of vertical speed',
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_refused(case):
    change, expected = CASES[case]
    assert complaint(change, GOOD).startswith(expected)


def test_thrust_has_a_unit_of_force():
    table = airplane.table("business-jet")
    table["performance"]["engine"]["static_thrust"] = "3150 lbf"
    assert airplane.from_dict(table).performance.engine.static_thrust == pytest.approx(14012.0, rel=1e-4)
    table["performance"]["engine"]["static_thrust"] = "14 kW"
    with pytest.raises(InputError, match="a unit of force"):
        airplane.from_dict(table)


def test_it_may_be_left_out():
    table = copy.deepcopy(GOOD)
    del table["performance"]
    assert airplane.from_dict(table).performance is None


def test_stall_speed():
    """Twice the load, root two the speed; half the lift the same."""
    one = stall_speed(720.0, 12.4, 1.3)
    assert stall_speed(720.0, 12.4, 1.3, load_factor=2.0) == pytest.approx(one * 2.0**0.5, rel=1e-12)
    assert stall_speed(720.0, 12.4, 0.65) == pytest.approx(one * 2.0**0.5, rel=1e-12)
    assert 0.5 * 1.225 * one**2 * 12.4 * 1.3 == pytest.approx(720.0 * 9.80665, rel=1e-4)


def test_lift_with_part_flap():
    performance = airplane.from_dict(GOOD).performance
    assert performance.largest_lift(0.0) == performance.maximum_lift
    assert performance.largest_lift(1.0) == pytest.approx(performance.maximum_lift_flap, rel=1e-15)
    assert performance.largest_lift(0.5) == pytest.approx((1.30 + 1.66) / 2.0)
