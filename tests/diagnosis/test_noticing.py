"""Each behaviour of a made-up pointer: said where it is like that, seldom where it is not."""

import numpy as np
import pytest

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis import noticing

TIME = np.arange(0.0, 200.0, 0.5)
SPAN = (40.0, 160.0)
CLIMB = (1000.0 + 10.0 * np.maximum(TIME - 40.0, 0.0)) * FT
LEVEL = np.full_like(TIME, 3000.0 * FT)
WANDER = (3000.0 + 150.0 * np.sin(TIME / 10.0)) * FT
AFTER = TIME >= 60.0


def said(word, shows, shown, healthy, onset_s=-1.0):
    found = noticing.said_of(shows, TIME, shown, healthy, SPAN, onset_s)
    return float(found[0, noticing.NAMES.index(word)])


def lagged(value, constant_s):
    found = value.copy()
    for k in range(1, len(found)):
        found[k] = found[k - 1] + (value[k] - found[k - 1]) * 0.5 / constant_s
    return found


ALIKE = {
    "frozen": ("altitude", np.full_like(TIME, CLIMB[80]), CLIMB),
    "zero": ("vertical-speed", np.zeros_like(TIME), np.full_like(TIME, 700.0 * FPM)),
    "rising": ("airspeed", (60.0 + 0.2 * TIME) * KT, np.full_like(TIME, 60.0 * KT)),
    "falling": ("airspeed", (120.0 - 0.2 * TIME) * KT, np.full_like(TIME, 120.0 * KT)),
    "high": ("altitude", LEVEL + 300.0 * FT, LEVEL),
    "low": ("altitude", LEVEL - 300.0 * FT, LEVEL),
    "reversed": ("vertical-speed", np.full_like(TIME, -900.0 * FPM), np.full_like(TIME, 700.0 * FPM)),
    "late": ("altitude", lagged(WANDER, 10.0), WANDER),
    "jumped up": ("altitude", LEVEL + 200.0 * FT * AFTER, LEVEL, 60.0),
    "jumped down": ("altitude", LEVEL - 200.0 * FT * AFTER, LEVEL, 60.0),
    "sticking": ("altitude", np.round(WANDER / 60.0) * 60.0, WANDER),
    "unsteady": ("airspeed", (100.0 + 10.0 * np.sin(TIME / 2.0)) * KT, np.full_like(TIME, 100.0 * KT)),
    "blank": ("airspeed", np.full_like(TIME, np.nan), np.full_like(TIME, 100.0 * KT)),
    "dead": ("airspeed", np.full_like(TIME, np.nan), np.full_like(TIME, 100.0 * KT)),
    "jumped": ("altitude", LEVEL - 200.0 * FT * AFTER, LEVEL, 60.0),
}


def test_every_behaviour_is_tried():
    assert set(ALIKE) | {"normal"} == set(noticing.NAMES)


@pytest.mark.parametrize("word", ALIKE)
def test_said_where_it_is_so_and_not_of_a_sound_instrument(word):
    shows, shown, healthy, *onset = ALIKE[word]
    assert said(word, shows, shown, healthy, *onset) > 0.6
    assert said("normal", shows, shown, healthy, *onset) < 0.4  # some are off by little more than is noticed
    assert said(word, shows, healthy, healthy, *onset) < 0.2  # where it has no occasion, as seldom as unknown
    assert said("normal", shows, healthy, healthy, *onset) == 1.0


@pytest.mark.parametrize(("amounts", "share"), [(0.5, 1.0 / 9.0), (1.0, 0.5), (2.0, 8.0 / 9.0)])
def test_the_share_of_people_that_the_docs_state(amounts, share):
    found = said("high", "altitude", LEVEL + amounts * 75.0 * FT, LEVEL)
    assert found == pytest.approx(noticing.SLIP + (1.0 - noticing.SLIP) * share, abs=1e-9)


def test_a_level_needle_that_should_not_move_is_no_frozen_one():
    assert said("frozen", "altitude", LEVEL, LEVEL) < 0.2
    assert said("frozen", "altitude", LEVEL, WANDER) > 0.9


def test_what_rightly_shows_nothing_is_normal():
    nothing = np.full_like(TIME, np.nan)  # the dashes of an air-data computer that stands still
    assert said("normal", "airspeed", nothing, nothing) == 1.0
    assert said("blank", "airspeed", nothing, nothing) == 1.0
    assert said("dead", "airspeed", nothing, nothing) < 0.2
    assert said("normal", "airspeed", np.zeros_like(TIME), nothing) < 0.1


def test_before_its_onset_a_fault_is_not_looked_for():
    shown = np.where(TIME < 100.0, 0.0, CLIMB)
    late = noticing.said_of("altitude", TIME, shown, CLIMB, SPAN, 100.0)
    assert late[0, noticing.NAMES.index("normal")] > 0.99


def test_bounds_and_shape():
    rng = np.random.default_rng(3)
    shown = LEVEL + rng.normal(0.0, 100.0, (20, len(TIME)))
    shown[3, 100:200] = np.nan
    found = noticing.said_of("altitude", TIME, shown, LEVEL, SPAN, -1.0)
    assert found.shape == (20, len(noticing.NAMES))
    assert (found >= noticing.SLIP).all()
    assert (found <= 1.0).all()
