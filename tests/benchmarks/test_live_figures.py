"""What the benchmark of a class counts as late, as dropped, and as growth."""

import os
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from live_class import different
from live_figures import Came, cpu_s, judged, resident_mb, slope

BEGUN = 1000.0


def page(late_s: np.ndarray, ticks: np.ndarray | None = None) -> Came:
    ticks = np.arange(1, len(late_s) + 1) if ticks is None else ticks
    return Came.of(ticks, BEGUN + ticks / 20.0 + late_s)


def test_all_in_time() -> None:
    found = judged([page(np.full(200, 0.004)), page(np.full(200, 0.09))], 100)
    assert (found["ticks"], found["frames_due"], found["frames_dropped"]) == (100, 200, 0)
    assert found["in_time_share"] == 1.0
    assert found["late_ms"]["most"] == pytest.approx(86.0, abs=0.01)  # counted from the earliest there was


def test_a_flight_that_lost_time_is_late_ever_after() -> None:
    late = np.where(np.arange(200) < 150, 0.001, 0.3)  # between arrivals only one gap was long
    found = judged([page(late)], 200)
    assert found["in_time_share"] == 0.75


def test_a_frame_that_never_came_is_late() -> None:
    ticks = np.setdiff1d(np.arange(1, 201), [50, 51])
    found = judged([page(np.zeros(198), ticks), page(np.zeros(200))], 200)
    assert found["frames_dropped"] == 2
    assert found["in_time_share"] == pytest.approx(398 / 400)
    assert found["worst_page_in_time_share"] == pytest.approx(198 / 200)


def test_of_a_tick_that_came_twice_the_first_counts() -> None:
    came = Came.of([1, 2, 2, 3], [1.0, 1.05, 9.0, 1.1])
    assert came.at_s.tolist() == [1.0, 1.05, 1.1]


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="/proc of Linux")
def test_what_a_process_costs() -> None:
    before = cpu_s(os.getpid())
    assert sum(i * i for i in range(300_000)) > 0
    assert cpu_s(os.getpid()) >= before > 0.0
    assert resident_mb(os.getpid()) > 10.0


def test_growth_a_minute() -> None:
    assert slope([0.0, 30.0, 60.0, 120.0], [5.0, 6.0, 7.0, 9.0]) == pytest.approx(2.0)
    assert slope([0.0], [5.0]) == 0.0


def test_faults_are_all_different() -> None:
    places = [{"where": "a"}, {"where": "b"}]
    faults = [
        {"name": "one", "places": places, "severity": True},
        {"name": "two", "places": places[:1], "severity": False},
    ]
    found = different(faults, 7)
    assert len({tuple(fault.items()) for fault in found}) == 7
    assert [fault["name"] for fault in found[:2]] == ["one", "two"]
