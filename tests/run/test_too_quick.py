"""Plumbing that no engine can follow is refused in one line."""

import pytest

from ramstill.errors import InputError
from ramstill.pneumatics import SolverError
from ramstill.run import Run, simulate


def test_an_engine_that_gives_up_says_where(healthy: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from ramstill.pneumatics import stem

    def gives_up(*_: object) -> None:
        raise SolverError("volume 'mast-ram' is too small for the holes and tubes at it")

    monkeypatch.setattr(stem, "advance", gives_up)
    with pytest.raises(InputError, match=r"low-wing-mast: plumbing: read volume 'mast-ram'.*allowed: "):
        simulate(healthy.airplane, healthy.surroundings)
