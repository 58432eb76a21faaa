"""Many networks at once: as one by one, however they are shared out, and never far from the slow way."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from ramstill.pneumatics import (
    Network,
    Schedule,
    Surroundings,
    Truth,
    grow,
    integrate,
    integrate_batch,
)

TIMES = np.linspace(0.0, 60.0, 301)
TOLERANCE_PA = 0.05


def system() -> Network:
    network = Network(
        ("mast", "line", "case"),
        np.array([5e-6, 2e-5, 2e-4]),
        np.array([280.0, 285.0, 295.0]),
        ("port", "cabin"),
    )
    network = network.with_hole("port", "mast", "port", 1e-3, 1e-3)
    network = network.with_tube("outer line", "mast", "line", 3.0, 4e-3)
    return network.with_tube("inner line", "line", "case", 0.4, 4e-3).with_swelling("case", None, 1e-11)


def air() -> Surroundings:
    knots = np.linspace(0.0, 60.0, 61)
    pressure = np.stack([1e5 - 40.0 * knots + 200.0 * np.sin(knots / 3.0), np.full(61, 9.9e4)], axis=1)
    return Surroundings.from_samples(knots, ["port", "cabin"], pressure, Truth.steady(knots))


def cases() -> tuple[list[Network], list[Surroundings]]:
    base, outside = system(), air()
    networks = [
        base,
        base.with_hole("leak", "line", "cabin", 5e-4, 1e-3, Schedule.step(21.7, 0.0, 1.0)),
        base.with_openness("port", Schedule((10.0, 14.0, 33.0, 33.0), (1.0, 0.0, 0.0, 1.0))),
        base.with_openness("outer line", Schedule.step(-5.0, 1.0, 0.1)),  # other from the start
        base,
        base.with_openness("port", Schedule.step(40.0, 1.0, 0.0)),  # on an output time
        base.with_openness("inner line", Schedule.step(70.0, 1.0, 0.0)),  # after the end
        base.with_openness("port", Schedule.step(0.0, 1.0, 0.0)),
    ]
    around = [outside] * len(networks)
    around[4] = outside.with_pressure_change("port", Schedule((30.3, 31.0), (0.0, 150.0)))
    return networks, around


INITIAL = np.full(3, 1e5)


@pytest.fixture(scope="module")
def batch() -> np.ndarray:
    return integrate_batch(*cases(), TIMES, TOLERANCE_PA, INITIAL, dtype=np.float64, workers=1)


def test_each_case_is_as_worked_out_alone(batch: np.ndarray) -> None:
    for number, (network, around) in enumerate(zip(*cases(), strict=True)):
        alone = integrate(network, around, TIMES, 1e-3, INITIAL)
        # both are within a few tolerances of the truth; 1e-3 Pa is beside that
        assert np.abs(batch[number] - alone).max() < 10.0 * TOLERANCE_PA


def test_a_case_is_its_stem_before_it_differs_and_what_it_is_alone_where_it_never_was_alike(
    batch: np.ndarray,
) -> None:
    alone = integrate(system(), air(), TIMES, TOLERANCE_PA, INITIAL)
    assert np.array_equal(batch[0], alone)
    assert np.array_equal(batch[6], alone)
    for number, since in ((1, 21.7), (2, 10.0), (4, 30.3), (5, 40.0), (7, 0.0)):
        before = since >= TIMES
        assert np.array_equal(batch[number, before], alone[before])
        assert not np.array_equal(batch[number, ~before][1:], alone[~before][1:])
    networks, around = cases()
    other = integrate(networks[3], around[3], TIMES, TOLERANCE_PA, INITIAL)
    assert np.array_equal(batch[3], other)


def test_rows_are_alike_up_to_the_last_output_time_before_a_case_differs() -> None:
    stem = grow(system(), air(), TIMES, TOLERANCE_PA, INITIAL)
    found = [stem.rows_alike(*one) for one in zip(*cases(), strict=True)]
    assert found == [301, 109, 51, 0, 152, 201, 301, 1]
    with pytest.raises(ValueError, match="its own air"):
        stem.carry_on(system(), air(), 0, np.empty((301, 3)))


def test_few_output_times_are_as_good_as_many(batch: np.ndarray) -> None:
    few = integrate_batch(*cases(), TIMES[::100], TOLERANCE_PA, INITIAL, dtype=np.float64)
    # each of them branches off earlier, by other steps
    assert np.abs(few - batch[:, ::100]).max() < 10.0 * TOLERANCE_PA


@pytest.mark.parametrize("workers", [1, 2, 5, None])
@pytest.mark.parametrize("size", [1, 3, 8])
def test_threads_and_chunks_make_no_difference(batch: np.ndarray, workers: int | None, size: int) -> None:
    networks, around = cases()
    stem = grow(networks[0], around[0], TIMES, TOLERANCE_PA, INITIAL)
    for first, end in pairwise([*range(0, 8, size), 8]):
        some = slice(first, end)
        found = integrate_batch(
            networks[some],
            around[some],
            TIMES,
            TOLERANCE_PA,
            INITIAL,
            stem=stem,
            dtype=np.float64,
            workers=workers,
        )
        assert np.array_equal(found, batch[some])


def test_channels_and_numbers_are_as_asked_for(batch: np.ndarray) -> None:
    some = integrate_batch(*cases(), TIMES, TOLERANCE_PA, INITIAL, channels=["case", "mast"])
    assert some.dtype == np.float32
    assert np.array_equal(some, batch[:, :, [2, 0]].astype(np.float32))


def test_without_a_start_the_air_is_spun_up() -> None:
    networks, around = cases()
    found = integrate_batch(networks[:2], around[0], TIMES, TOLERANCE_PA, dtype=np.float64)
    assert np.array_equal(found[0], integrate(networks[0], around[0], TIMES, TOLERANCE_PA))


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (
            lambda: integrate_batch([system()], air(), TIMES, channels=["mast", "nothing"]),
            "no volume 'nothing'",
        ),
        (lambda: integrate_batch([system()], air(), TIMES, dtype=np.int32), "not as int32"),
        (lambda: integrate_batch([system()], air(), []), "at least one"),
        (lambda: integrate_batch([system()], air(), [1.0, 0.0]), "never fall"),
        (lambda: integrate_batch([system()], air(), TIMES, -1.0), "above zero"),
        (lambda: grow(system(), air(), [0.0, np.nan], TOLERANCE_PA, INITIAL), "finite"),
    ],
)
def test_what_cannot_be_asked_for_is_refused(wrong: Callable[[], object], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        wrong()


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: integrate_batch([], air(), TIMES),
        lambda: integrate_batch([system()], [air(), air()], TIMES),
        lambda: integrate_batch([system(), Network(("x",), np.ones(1), np.ones(1), ())], air(), TIMES),
        lambda: integrate_batch([system()], air(), TIMES, stem=grow(system(), air(), TIMES, 0.1, INITIAL)),
    ],
)
def test_what_does_not_fit_together_is_refused(wrong: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match="batch"):
        wrong()
