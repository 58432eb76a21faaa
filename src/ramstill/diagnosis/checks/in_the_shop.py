"""Checks for the rated shop: a test set on both sides, and whatever opens a line or an instrument.

Minutes, risks and spreads of readings: assumed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import KT
from ramstill.diagnosis.checks import by_eye, in_the_air, standing, wording
from ramstill.diagnosis.checks.check import RATED_SHOP
from ramstill.diagnosis.checks.laboratory import UNITS, Laboratory, said
from ramstill.diagnosis.checks.on_the_ground import looked_at
from ramstill.diagnosis.checks.trial import Trial
from ramstill.diagnosis.checks.witness import Witness, following, loss, seen

Array = NDArray[np.float64]
Looked = list[tuple[Witness, Callable[[], Array]]]

TO_THE_SHOP_MIN = 60.0  # before anything is done there [min]; assumed
# Lost in a minute: 14 CFR 23.1325(b)(2)(i) of 2014, 100 ft; AC 43.13-1B 12-59, 10 kt.
STATIC_LIMIT_FT, PITOT_LIMIT_KT = 100.0, 10.0
_WITH_A_SET = f"{wording.SHOP_RULE} {wording.TEST_SET}"
_OPENED = f"{wording.SHOP_RULE} {wording.OPENED}"
FOLLOWS = (0.93, 1.07)  # within 70 ft at 1,000 ft: 14 CFR 43 appendix E, table 3, allows that of friction


def trials(lab: Laboratory) -> list[Trial]:
    """All that a shop can do first."""
    makers = (_follow, _leak_static, _leak_pitot, _lines)
    found = [trial for maker in makers if (trial := maker(lab)) is not None]
    return found + [trial for one in lab.airplane.instruments if (trial := _bench(lab, one.name)) is not None]


def _test(
    key: str, title: str, how: str, cautions: str, minutes: float, risk: float, looked: Looked
) -> Trial | None:
    if not looked:
        return None

    def work_out() -> tuple[Array, ...]:
        return tuple(witness.chances(figure()[None]) for witness, figure in looked)

    witnesses = tuple(witness for witness, _ in looked)
    minutes += TO_THE_SHOP_MIN
    return Trial(key, title, RATED_SHOP, how, cautions, minutes, risk, witnesses, work_out, np.ones(1))


def _gained(lab: Laboratory, pointer: str) -> Array:
    """How far a pointer goes (way,) while the test set goes up."""
    test = lab.static_test
    before = standing.reading(test.batch, pointer, standing.BEFORE_S)
    return np.asarray(standing.reading(test.batch, pointer, test.up_s) - before)


def _follow(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for name, one in lab.showing("altitude", "vertical-speed").items():
        dimension, _ = UNITS[one.shows]
        blank = in_the_air.can_blank(one)
        if one.shows == "altitude":

            def share(pointer: str = one.name) -> Array:
                return _gained(lab, pointer) / lab.static_test.aim

            looked.append((following(name, dimension, standing.TEST_M, 0.02, blank, FOLLOWS), share))
        elif one.kind != "variometer":

            def rate(pointer: str = one.name) -> Array:
                test = lab.static_test
                return standing.reading(test.batch, pointer, test.half_s) / standing.TEST_RATE

            looked.append((following(name, dimension, standing.TEST_RATE, 0.1, blank), rate))
    how = (
        "With the test set on both sides go up 1,000 ft from the field at 1,000 ft/min, the same suction on "
        "each, and see whether altimeter and vertical speed follow."
    )
    title = "Altimeter and vertical speed on a test set"
    return _test("follow-test-set", title, how, _WITH_A_SET, 30.0, 1e-3, looked)


def _leak_static(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for name, one in lab.showing("altitude").items():
        dimension, unit = UNITS[one.shows]

        def lost(pointer: str = one.name) -> Array:
            test = lab.static_test
            held = standing.reading(test.batch, pointer, test.up_s)
            return np.asarray(held - standing.reading(test.batch, pointer, test.shut_s))

        looked.append((loss(name, dimension, unit, STATIC_LIMIT_FT, 15.0), lost))
    how = (
        "With the test set on both sides go up 1,000 ft from the field, shut it off, and read what the "
        f"altimeter loses in a minute: {STATIC_LIMIT_FT:g} ft at most in an airplane that is not pressurised."
    )
    return _test("leak-static", "Leak test of the static side", how, _WITH_A_SET, 30.0, 1e-3, looked)


def _leak_pitot(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for name, one in lab.showing("airspeed").items():
        dimension, unit = UNITS[one.shows]
        blank = in_the_air.can_blank(one)

        def reached(pointer: str = one.name) -> Array:
            test = lab.pitot_test
            return standing.reading(test.batch, pointer, test.up_s) / test.aim

        def lost(pointer: str = one.name) -> Array:
            test = lab.pitot_test
            held = standing.reading(test.batch, pointer, test.up_s)
            return np.asarray(held - standing.reading(test.batch, pointer, test.shut_s))

        looked.append((following(name, dimension, standing.TEST_M_S, 0.03, blank, (0.93, 1.07)), reached))
        looked.append((loss(f"{name} shut off", dimension, unit, PITOT_LIMIT_KT, 2.0), lost))
    how = (
        "With the test set on both sides and the drain holes sealed as the manual says, put on the airspeed "
        f"of the manual's leak test ({standing.TEST_M_S / KT:.0f} kt where the dial goes so far), shut it "
        f"off, and read what is lost in a minute: {PITOT_LIMIT_KT:g} kt at most."
    )
    return _test("leak-pitot", "Leak test of the pitot side", how, _WITH_A_SET, 30.0, 1e-3, looked)


def _lines(lab: Laboratory) -> Trial | None:
    bins = (
        ("a line is off or a fitting is loose", "off", "loose", "loses"),
        ("a line is crushed or plugged", "crushed", "plugged"),
        ("lines are crossed", "crossed"),
        ("water stands in a line", "water"),
        ("the lines are sound", "sound", "nothing", "right"),
    )
    order = ("off", "shut", "crossed", "water")
    how = "Have lines, fittings, tees and drains looked at from end to end, with panels off, and made good."
    found = [(seen("lines", *bins), order, by_eye.at_the_lines)]
    minutes = 120.0 + TO_THE_SHOP_MIN
    title = "Lines and fittings inspected"
    return looked_at(lab, "inspect-lines", title, RATED_SHOP, how, _OPENED, minutes, 3e-3, found)


def _bench(lab: Laboratory, instrument: str) -> Trial | None:
    bins = (("fails its test", "fails", "bad"), ("passes its test", "passes", "right"))
    name = said(instrument)
    title = f"{name[:1].upper()}{name[1:]} to the bench"
    how = f"Have the {name} taken out and tested by itself on a bench."
    found = [(seen(name, *bins), ("fails",), by_eye.in_the_instrument(instrument))]
    minutes = 240.0 + TO_THE_SHOP_MIN
    return looked_at(lab, f"bench-{instrument}", title, RATED_SHOP, how, _OPENED, minutes, 3e-3, found)
