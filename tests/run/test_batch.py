"""Many cases side by side: the same as one by one, however many threads and chunks there are."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

import ramstill as rs
from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.run import Batch, Run, Scenario, iter_batch, load_scenario, simulate_batch

Fly = Callable[..., Scenario]

CASES = (
    (),
    (Fault("pitot-inlet-blocked", onset_s=30.0),),
    (Fault("static-ports-blocked", onset_s=-60.0),),
    (Fault("static-line-leak", onset_s=40.0, end_s=90.0), Fault("vsi-glass-broken", onset_s=100.0)),
    (Fault("altimeter-sticking", onset_s=20.0, severity=0.7), Fault("altimeter-setting-wrong")),
    (Fault("mast-bent", onset_s=50.0, gradual_s=30.0),),
    (Fault("insect-nest", severity=0.9, onset_s=10.0, gradual_s=20.0),),
)
TAPPINGS = ("airspeed.pitot", "vertical-speed.case")


@pytest.fixture(scope="module")
def batch(healthy: Run) -> Batch:
    """All the cases, in full precision."""
    return simulate_batch(
        healthy.airplane, healthy.surroundings, CASES, tappings=TAPPINGS, dtype=np.float64, workers=1
    )


def test_a_batch_is_what_each_of_its_runs_is(batch: Batch, healthy: Run) -> None:
    assert batch.values.shape == (len(CASES), len(healthy.time_s), len(healthy.pointers) + len(TAPPINGS))
    for number, faults in enumerate(CASES):
        run = rs.simulate(healthy.airplane, healthy.surroundings, faults)
        together = {**run.pointers, **{name: run.pressure_pa[name] for name in TAPPINGS}}
        assert [channel.name for channel in batch.channels] == list(together)
        for name, values in together.items():
            # both go the same way through the same steps; 1e-9 of a hundred thousand pascals is rounding
            np.testing.assert_allclose(batch.of(name)[number], values, rtol=1e-9, atol=1e-9)
    assert {channel.unit for channel in batch.channels if channel.what == "tapping"} == {"Pa"}
    units = {channel.name: channel.unit for channel in batch.channels}
    assert (units["airspeed"], units["altimeter"], units["vertical-speed"]) == ("m/s", "m", "m/s")


def test_faults_show_and_no_faults_do_not(batch: Batch, healthy: Run) -> None:
    assert not batch.change("airspeed")[0].any()
    assert np.abs(batch.change("altimeter")[2]).max() > 100.0  # m, of a climb that it does not see
    assert np.array_equal(batch.true("airspeed"), healthy.true("airspeed"))
    with pytest.raises(KeyError):
        batch.of("no-such-channel")
    with pytest.raises(KeyError):
        batch.true("airspeed.pitot")


@pytest.mark.parametrize("workers", [2, 3, None])
def test_any_number_of_threads_gives_the_same(batch: Batch, healthy: Run, workers: int | None) -> None:
    other = simulate_batch(
        healthy.airplane, healthy.surroundings, CASES, tappings=TAPPINGS, dtype=np.float64, workers=workers
    )
    assert np.array_equal(other.values, batch.values)


def test_a_case_does_not_depend_on_those_before_it(batch: Batch, healthy: Run) -> None:
    backwards = simulate_batch(
        healthy.airplane, healthy.surroundings, CASES[::-1], tappings=TAPPINGS, dtype=np.float64
    )
    assert np.array_equal(backwards.values[::-1], batch.values)


def test_chunks_are_the_batch_in_pieces(batch: Batch, healthy: Run) -> None:
    def one_by_one() -> Iterator[tuple[Fault, ...]]:
        yield from CASES

    parts = list(iter_batch(healthy.airplane, healthy.surroundings, one_by_one(), tappings=TAPPINGS, chunk=3))
    assert [(part.first, len(part)) for part in parts] == [(0, 3), (3, 3), (6, 1)]
    assert all(part.values.dtype == np.float32 for part in parts)
    assert np.array_equal(np.concatenate([part.values for part in parts]), batch.values.astype(np.float32))
    assert tuple(faults for part in parts for faults in part.cases) == CASES
    whole = simulate_batch(healthy.airplane, healthy.surroundings, CASES, tappings=TAPPINGS, chunk=3)
    for piece, part in zip(whole, parts, strict=True):
        assert piece.first == part.first
        assert piece.cases == part.cases
        assert np.shares_memory(piece.values, whole.values)
        assert np.array_equal(piece.values, part.values)


def test_every_tapping_and_no_case(healthy: Run) -> None:
    names = tuple(healthy.pressure_pa)
    batch = simulate_batch(healthy.airplane, healthy.surroundings, [], tappings="all", output_hz=1.0)
    assert [channel.name for channel in batch.channels if channel.what == "tapping"] == list(names)
    assert batch.values.shape[0] == len(batch) == 0
    assert list(batch) == []
    assert batch.healthy.shape == (len(batch.time_s), len(batch.channels))


def test_a_reading_that_goes_blank_is_nan_in_its_case_only(flight: Fly) -> None:
    scenario = flight(airplane="glass-trainer")
    cases = [(), (Fault("pitot-inlet-blocked", onset_s=20.0),)]
    batch = simulate_batch("glass-trainer", scenario.surroundings, cases, output_hz=2.0, dtype=np.float64)
    run = rs.simulate("glass-trainer", scenario.surroundings, cases[1], output_hz=2.0)
    for name, values in run.pointers.items():
        np.testing.assert_allclose(batch.of(name)[1], values, rtol=1e-9, atol=1e-9)


def test_a_fault_that_does_not_fit_names_its_case(healthy: Run) -> None:
    plane, around = healthy.airplane, healthy.surroundings
    for bad, says in (
        (Fault("no-such-fault"), r"case 2: fault: name: read no-such-fault; allowed: "),
        (Fault("static-line-leak", where="wing"), r"case 2: fault static-line-leak: where: read wing"),
        (Fault("water-in-pitot-line", size="9000 cm3"), r"case 2: fault: size: read 9000 cm3; allowed: less"),
    ):
        with pytest.raises(InputError, match=says):
            simulate_batch(plane, around, [(), (), (bad,), ()], output_hz=1.0)
        with pytest.raises(InputError, match=says):
            list(iter_batch(plane, around, [(), (), (bad,), ()], output_hz=1.0, chunk=2, workers=2))


@pytest.mark.parametrize(
    ("cases", "options", "says"),
    [
        ("pitot", {}, "batch: cases: read 'pitot'"),
        (3, {}, "batch: cases: read 3"),
        ([(), Fault("insect-nest")], {}, "case 1: read Fault"),
        ([("insect-nest",)], {}, "case 0: read 'insect-nest'"),
        ([()], {"tappings": ["nowhere"]}, "batch: tappings: read nowhere; allowed: "),
        ([()], {"tappings": "nowhere"}, "batch: tappings: read nowhere; allowed: "),
        ([()], {"dtype": np.int32}, "batch: dtype: read int32; allowed: float32 or float64"),
        ([()], {"workers": 0}, "batch: workers: read 0"),
        ([()], {"workers": 1.5}, "batch: workers: read 1.5"),
        ([()], {"chunk": 0}, "batch: chunk: read 0"),
    ],
)
def test_bad_input_is_one_line(healthy: Run, cases: object, options: dict[str, object], says: str) -> None:
    for how in (simulate_batch, iter_batch):
        with pytest.raises(InputError, match=says) as caught:
            list(how(healthy.airplane, healthy.surroundings, cases, output_hz=1.0, **options))
        assert "\n" not in str(caught.value)


def test_the_bar_comes_on_stderr_when_it_takes_long(
    healthy: Run, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from ramstill.run import progress

    def work(**options: bool) -> tuple[str, str]:
        simulate_batch(healthy.airplane, healthy.surroundings, [()] * 3, output_hz=1.0, **options)
        return capsys.readouterr()

    assert work() == ("", "")  # three such cases are far from a second
    monkeypatch.setattr(progress, "PATIENCE_S", 0.0)
    assert work(progress=False) == ("", "")
    out, err = work()
    assert out == ""
    assert "3/3" in err


def test_the_examples_of_the_page_work() -> None:
    page = (Path(__file__).parents[2] / "docs" / "batches.md").read_text(encoding="utf-8")
    first, chunked, own = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    known: dict[str, object] = {}
    exec(first.replace("(60.0, 120.0, 180.0)", "(60.0,)"), known)
    exec(chunked, known)
    exec(own, known)
    assert np.shape(known["pressure"])[::2] == (2, 1)


def test_pointers_asked_for_are_those_of_the_whole_panel() -> None:
    scenario = load_scenario("spring-afternoon")
    cases = [[Fault("static-ports-blocked", onset_s=100.0)]]
    whole = rs.simulate_batch(scenario.airplane, scenario.surroundings, cases, output_hz=1.0)
    some = rs.simulate_batch(
        scenario.airplane, scenario.surroundings, cases, output_hz=1.0, pointers=["altimeter", "airspeed"]
    )
    assert [one.name for one in some.channels] == ["airspeed", "altimeter"]  # in the order of the file
    for name in ("airspeed", "altimeter"):
        assert np.array_equal(some.of(name), whole.of(name))


def test_a_pointer_that_no_instrument_has_is_refused() -> None:
    scenario = load_scenario("spring-afternoon")
    with pytest.raises(InputError, match="pointers: read machmeter; allowed: airspeed"):
        rs.simulate_batch(scenario.airplane, scenario.surroundings, [[]], pointers=["machmeter"])
