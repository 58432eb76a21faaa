"""Ticks and their times, and what was met so far."""

from hypothesis import given
from hypothesis import strategies as st

from ramstill import air
from ramstill.live.world.moment import MetSoFar, Moment, nearest_tick, row_of, time_of
from ramstill.live.world.saving import seconds
from ramstill.pneumatics.truth import Truth, quantities


@given(st.integers(0, 24 * 3600 * 20))
def test_a_tick_is_the_same_double_as_its_text(tick: int) -> None:
    assert float(air.parse(seconds(time_of(tick)), "time", "", "")) == time_of(tick)
    assert nearest_tick(time_of(tick)) == tick
    assert nearest_tick(time_of(tick, 12.34), 12.34) == tick


def test_what_was_met_goes_on_as_it_is() -> None:
    one = Truth.steady([0.0])
    values = {name: float(getattr(one, name)[0]) for name in quantities()}
    met = None
    for second in range(4):
        met = MetSoFar(row_of(float(second), values | {"tas_m_s": 10.0 * second}), met)
    assert met is not None
    now = Moment(3.5, 3.55, one.time_s, values | {"tas_m_s": 35.0}, "", met)
    truth = met.upto(now)
    assert truth.time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 3.5, 13.5]
    assert truth.tas_m_s.tolist() == [0.0, 10.0, 20.0, 30.0, 35.0, 35.0]
    # at a whole second the row is the moment's own, and stands there once
    now = Moment(3.0, 3.05, one.time_s, values | {"tas_m_s": 30.0}, "", met)
    assert met.upto(now).time_s.tolist() == [0.0, 1.0, 2.0, 3.0, 13.0]
