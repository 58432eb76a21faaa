"""What the account of a reading costs beside one run: `python benchmarks/account.py`.

The run is `simulate` of a bundled scenario, healthy airplane and faults; the account is of its last tenth, so
that it has to go through nearly all of the run. Alternately in one process, the least of several rounds.
"""

import time
from collections.abc import Callable

from rich.console import Console
from rich.table import Table

from ramstill.run import Run, load_scenario

ROUNDS, SCENARIOS = 7, ("spring-afternoon", "taped-at-preflight", "heat-left-off", "alternate-static")
AT, GOAL, PARTS = 0.9, 10.0, 6


def least(*works: Callable[[], object]) -> list[float]:
    """Least time of each [s], taken in turns."""
    found = [float("inf")] * len(works)
    for _ in range(ROUNDS):
        for i, work in enumerate(works):
            begin = time.perf_counter()
            work()
            found[i] = min(found[i], time.perf_counter() - begin)
    return found


def moving(run: Run, name: str, at_s: float) -> int:
    """How many parts are not exactly nothing."""
    return sum(part.value_si != 0.0 for part in run.account(name, at_s).parts)


def main() -> None:
    table = Table(title=f"An account beside one run (goal: six parts under {GOAL:g} runs)")
    for heading in ("Scenario", "Pointer", "Parts", "Run [ms]", "Account [ms]", "Runs"):
        table.add_column(heading, justify="left" if heading in ("Scenario", "Pointer") else "right")
    worst = 0.0
    for name in SCENARIOS:
        scenario = load_scenario(name)
        run = scenario.run()
        at_s = AT * float(run.time_s[-1])
        for pointer in run.panel:
            parts = moving(run, pointer.name, at_s)

            def account(run: Run = run, pointer: str = pointer.name, at_s: float = at_s) -> object:
                return run.account(pointer, at_s)

            one, many = least(scenario.run, account)
            if parts <= PARTS:
                worst = max(worst, many / one)
            cells = (f"{parts}", f"{one * 1e3:.1f}", f"{many * 1e3:.1f}", f"{many / one:.1f}")
            table.add_row(name, pointer.name, *cells)
    console = Console()
    console.print(table)
    console.print(f"Up to {PARTS} parts: {worst:.1f} runs at most.")


if __name__ == "__main__":
    main()
