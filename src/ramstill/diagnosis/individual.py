"""What one airplane may differ by from its file: friction, lags, volumes, bores, each tried in the engine.

No two airplanes of a type show quite the same, and a small fault of some kind often shows what such a
difference shows. So each kind of difference is flown once along the reference flight; the filter then finds
out how much of it this airplane has.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from ramstill.diagnosis import _columns as c

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

# By how much each is off, one standard deviation, as a share. Assumed.
FRICTION, LAG, VOLUME, BORE = 0.4, 0.25, 0.15, 0.07
_VOLUMES = ("case_volume", "capsule_volume", "flask_volume", "pitot_volume", "static_volume")


def kinds(airplane: Airplane) -> tuple[Airplane, ...]:
    """The airplane with each kind of difference, one standard deviation of it."""
    made: list[Callable[[Airplane], Airplane]] = [
        lambda plane: _instruments(plane, ("friction",), FRICTION),
        lambda plane: _instruments(plane, ("lag",), LAG),
        lambda plane: _instruments(plane, _VOLUMES, VOLUME),
        _narrower,
    ]
    assert len(made) == c.KINDS
    return tuple(make(airplane) for make in made)


def _instruments(airplane: Airplane, names: tuple[str, ...], share: float) -> Airplane:
    def changed(part: Any) -> Any:
        update = {name: _more(getattr(part, name), share) for name in names if getattr(part, name, None)}
        return part.model_copy(update=update)

    return airplane.model_copy(update={"instruments": tuple(changed(one) for one in airplane.instruments)})


def _narrower(airplane: Airplane) -> Airplane:
    lines = tuple(line.model_copy(update={"bore": _more(line.bore, -BORE)}) for line in airplane.lines)
    return airplane.model_copy(update={"lines": lines})


def _more(figure: Any, share: float) -> Any:
    from ramstill.airplane.figure import Figure

    return Figure(float(figure) * (1.0 + share), "assumed")
