"""Two systems that share no air: a part worked out alone is what it is within the whole."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.pneumatics import Network, Schedule
from ramstill.pneumatics.part import around_part, joined, part_of, same_air

from .random_networks import tree, weather


def side_by_side(one: Network, other: Network) -> Network:
    """Both networks in one, the second's volumes and links named anew."""
    n, m = len(one.node_names), len(other.node_names)

    def place(ends, first, count):
        return np.where(ends < count, ends + first, ends - count + n + m)

    return replace(
        one,
        node_names=(*one.node_names, *(f"w{i}" for i in range(m))),
        volume_m3=np.concatenate([one.volume_m3, other.volume_m3]),
        temperature_k=np.concatenate([one.temperature_k, other.temperature_k]),
        link_names=(*one.link_names, *(f"other-{name}" for name in other.link_names)),
        link_kind=np.concatenate([one.link_kind, other.link_kind]),
        link_a=np.concatenate([place(one.link_a, 0, n), place(other.link_a, n, m)]),
        link_b=np.concatenate([place(one.link_b, 0, n), place(other.link_b, n, m)]),
        link_size=np.concatenate([one.link_size, other.link_size]),
        openness=(*one.openness, *other.openness),
    )


@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_a_part_is_the_network_that_it_was_before_another_stood_beside_it(first, second):
    one, other = tree(first), tree(second)
    both = side_by_side(one, other)
    names = joined(both, one.node_names[:1])
    assert names == set(one.node_names)
    found = part_of(both, names)
    for field in ("node_names", "boundary_names", "link_names", "openness"):
        assert getattr(found, field) == getattr(one, field)
    for field in ("volume_m3", "temperature_k", "link_kind", "link_a", "link_b", "link_size", "swell_a"):
        assert np.array_equal(getattr(found, field), getattr(one, field))


def test_what_swells_into_another_volume_belongs_to_it():
    network = Network(("case", "capsule", "far"), np.full(3, 1e-4), np.full(3, 288.15), ("still",))
    network = network.with_hole("port", "case", "still", 1e-3, 1e-3).with_swelling("capsule", "case", 1e-10)
    assert joined(network, ["case"]) == {"case", "capsule"}
    part = part_of(network, {"case", "capsule"})
    assert part.swell_a.tolist() == [1]
    assert part.swell_b.tolist() == [0]


def test_a_shut_link_joins_for_it_may_open():
    network = Network(("a", "b"), np.full(2, 1e-4), np.full(2, 288.15), ("still",))
    shut = network.with_tube("line", "a", "b", 1.0, 1e-3, Schedule.constant(0.0))
    assert joined(shut, ["a"]) == {"a", "b"}


@pytest.mark.parametrize(("boundary", "same"), [("ram", True), ("still", False)])
def test_only_what_a_part_touches_counts(boundary, same):
    network = Network(("a",), np.full(1, 1e-4), np.full(1, 288.15), ("ram", "still"))
    network = network.with_hole("port", "a", "still", 1e-3, 1e-3)
    air = weather(3)
    column = air.column(boundary)
    pressure = air.pressure_pa.copy()
    pressure[-1, column] += 1.0
    changed = replace(air, pressure_pa=pressure)
    assert same_air(network, changed, air) is same
    assert same_air(network, air, air)


def test_what_shuts_an_opening_elsewhere_is_left_out():
    network = Network(("a",), np.full(1, 1e-4), np.full(1, 288.15), ("ram", "still"))
    network = network.with_hole("port", "a", "still", 1e-3, 1e-3)
    shut = weather(3).with_openness("elsewhere", Schedule.constant(0.0))
    assert not around_part(network, shut).openness
    both = shut.with_openness("port", Schedule.constant(0.0))
    assert set(around_part(network, both).openness) == {"port"}
