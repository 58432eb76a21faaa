"""How the cost grows with the number of volumes and of variants."""

from collections.abc import Callable
from functools import partial

import engine_batch as batches
import engine_cases as cases
import engine_tuning as tuning
import numpy as np
from engine_cases import Case
from engine_contestants import Setting, contestants
from rich.console import Console
from rich.table import Table

from ramstill.faults import Applied
from ramstill.pneumatics import Network, Schedule, Surroundings, integrate, spun_up

VOLUMES = (2, 5, 10, 20, 40)
VARIANTS = (10, 100, 1000)
SEED = 7


def tree(count: int, like: Case) -> Case:
    """A random tree of volumes behind one opening on the planned flight, shut for a while."""
    chance = np.random.default_rng(SEED)
    flight = like.surroundings
    network = Network(
        node_names=tuple(f"volume {i}" for i in range(count)),
        volume_m3=10.0 ** chance.uniform(-5.5, -3.5, count),
        temperature_k=np.full(count, 290.0),
        boundary_names=("opening",),
    )
    shut = Schedule((200.0, 200.0, 300.0, 300.0), (1.0, 0.0, 0.0, 1.0))
    network = network.with_hole("opening hole", "volume 0", "opening", 1.5e-3, 1e-3, shut)
    for i in range(1, count):
        parent = int(chance.integers(max(0, i - 4), i))
        network = network.with_tube(
            f"tube {i}", f"volume {parent}", f"volume {i}", chance.uniform(0.2, 3.0), 4.6e-3
        )
    when = np.unique(flight.knots_s)
    truth = flight.truth.at(when)
    around = Surroundings.from_samples(when, ("opening",), truth.static_pressure_pa, truth)
    applied = Applied(network, around, (), ())
    start = spun_up(network, around).pressure_pa
    return Case(f"{count} volumes", like.plane, applied, like.output_s, (200.0, 300.0), start)


def against_volumes(quick: bool) -> list[dict[str, float]]:
    """Milliseconds of the engine and of CVODE with C callbacks, at the same settings for every size."""
    like = cases.planned_flight(320.0 if quick else cases.TEN_MINUTES_S)
    native = contestants()[0]
    rows = []
    for count in VOLUMES:
        case = tree(count, like)
        network, around, start = case.network, case.surroundings, case.initial_pa
        ends = case.output_s[[0, -1]]
        seconds = tuning.timed(
            {
                "engine": partial(integrate, network, around, case.output_s, 0.2, start),
                "engine, ends only": partial(integrate, network, around, ends, 0.2, start),
                "dense": partial(tuning.run, native, case, case.output_s, Setting(0.02)),
                "band": partial(tuning.run, native, case, case.output_s, Setting(0.02, solver="band")),
            }
        )
        rows.append({"volumes": count} | {name: 1e3 * took for name, took in seconds.items()})
    return rows


def against_variants(quick: bool) -> list[dict[str, float]]:
    """Milliseconds a variant of the engine, six tappings out."""
    rows = []
    for count in VARIANTS[:2] if quick else VARIANTS:
        seconds, _ = batches.consumed(batches.engine_chunks(cases.variants(count), 0.2, "six tappings"))
        rows.append({"variants": count, "ms each": 1e3 * seconds / count})
    return rows


def report(quick: bool, out: Console, say: Callable[[str], None]) -> object:
    """Measure and print."""
    say("growth: volumes")
    volumes = against_volumes(quick)
    say("growth: variants")
    variants = against_variants(quick)
    for title, rows in (("cost of volumes [ms]", volumes), ("cost of variants", variants)):
        table = Table(title=title)
        for name in rows[0]:
            table.add_column(name, justify="right")
        for row in rows:
            table.add_row(*(f"{v:.0f}" if k.startswith("v") else f"{v:.2f}" for k, v in row.items()))
        out.print(table)
    return {"volumes": volumes, "variants": variants}
