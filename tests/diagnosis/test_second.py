"""The second reference flight: onsets that are tried along it."""

from types import SimpleNamespace
from typing import Any

from ramstill.diagnosis.second import _near
from ramstill.diagnosis.trials import BEFORE


def tried(*onsets_s: float) -> Any:
    """What a suspect's best trial says of its onsets."""
    return SimpleNamespace(best=SimpleNamespace(onsets_s=onsets_s))


BENCH: Any = SimpleNamespace(start_s=100.0, end_s=400.0, model=SimpleNamespace(step_s=5.0))


def test_onsets_beside_the_best_are_within_the_recording() -> None:
    # an onset outside would have a share of the flight below nothing
    assert _near(tried(110.0), BENCH) == [(110.0,), (125.0,), (140.0,)]
    assert _near(tried(120.0, 395.0), BENCH) == [(120.0, t) for t in (335.0, 365.0, 380.0, 395.0)]


def test_what_was_there_before_the_start_stays() -> None:
    assert _near(tried(BEFORE), BENCH) == [(BEFORE,)]
