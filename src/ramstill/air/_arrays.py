"""One habit for every function here: numbers in, numbers out; arrays in, arrays out."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


class Vectorised(Protocol):
    """A function that gives a float for plain numbers, an array of the broadcast shape for anything else."""

    __name__: str

    @overload
    def __call__(self, *args: float, **kwargs: float) -> float: ...
    @overload
    def __call__(self, *args: ArrayLike, **kwargs: ArrayLike) -> Array: ...
    def __call__(self, *args: Any, **kwargs: Any) -> Any: ...


def vectorised(law: Callable[..., Any]) -> Vectorised:
    """Let `law`, written for float64 arrays, take scalars, lists and arrays that broadcast together."""

    @wraps(law)
    def call(*args: Any, **kwargs: Any) -> Any:
        given = [np.asarray(a, dtype=np.float64) for a in args]
        named = {k: np.asarray(v, dtype=np.float64) for k, v in kwargs.items()}
        out = np.asarray(law(*given, **named), dtype=np.float64)
        return float(out) if out.ndim == 0 else out

    return call


def require(good: Any, what: str) -> None:
    """Raise ValueError(what) unless `good` holds everywhere."""
    if not np.all(good):
        raise ValueError(what)
