import numpy as np
import pytest

from ramstill.pneumatics import Network, Schedule
from ramstill.pneumatics.network import HOLE, TUBE


def two():
    return Network(("case", "tee"), np.array([2e-4, 1e-5]), np.full(2, 293.15), ("port", "cabin"))


def test_links_are_added_and_found_by_name():
    network = two().with_hole("port", "tee", "port", 2e-3, 1e-3).with_tube("line", "case", "tee", 1.0, 4e-3)
    assert network.link_names == ("port", "line")
    assert network.link_kind.tolist() == [HOLE, TUBE]
    assert (network.link_a.tolist(), network.link_b.tolist()) == ([1, 0], [2, 1])
    assert network.index_of("cabin") == 3
    assert two().link_names == ()


def test_openness_multiplies_what_is_there():
    network = two().with_hole("port", "tee", "port", 2e-3, 1e-3, Schedule.constant(0.5))
    half = network.with_openness("port", Schedule.step(3.0, 1.0, 0.5)).openness[0]
    assert half.at([2.0, 4.0]).tolist() == [0.5, 0.25]


def test_capacity_is_mass_for_each_pascal():
    # 1 kg/m3 at 287.05287 * 293.15 Pa
    assert two().capacity * 287.05287 * 293.15 == pytest.approx([2e-4, 1e-5])


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda n: n.with_hole("x", "nowhere", "port", 1e-3, 1e-3), "no volume or boundary 'nowhere'"),
        (lambda n: n.with_hole("x", "port", "cabin", 1e-3, 1e-3), "must join a volume"),
        (lambda n: n.with_hole("x", "tee", "tee", 1e-3, 1e-3), "must join a volume"),
        (lambda n: n.with_hole("x", "tee", "port", -1e-3, 1e-3), "zero or more"),
        (
            lambda n: n.with_hole("x", "tee", "port", 1e-3, 1e-3).with_hole("x", "tee", "port", 1e-3, 1e-3),
            "share",
        ),
        (lambda n: n.with_openness("x", Schedule.constant(1.0)), "no link 'x'"),
        (lambda n: n.with_tube("x", "tee", "port", 1.0, 1e-3, Schedule.constant(-1.0)), "less than nothing"),
        (lambda n: n.with_volume("tee", 0.0), "volume of 'tee'"),
    ],
)
def test_what_does_not_fit_is_refused(change, words):
    with pytest.raises(ValueError, match=words):
        change(two())
