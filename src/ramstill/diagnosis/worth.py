"""What readings are worth: less than a filter says that takes its own errors to be independent."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Found on cases that the diagnosis is not measured on (docs/diagnosis-quality.md): errors of an airplane that
# is not quite like its file go together over a whole flight, and so gain as much for some fault or other.
DOUBT = 20.0  # log likelihood over the sound airplane that says nothing
TRUST = 0.18  # of what is beyond that


def worth(gained: ArrayLike) -> NDArray[np.float64]:
    """What a log likelihood over that of the sound airplane is worth, as log of the odds."""
    value = np.asarray(gained, dtype=np.float64)
    return np.asarray(TRUST * np.where(value > 0.0, np.maximum(value - DOUBT, 0.0), value))
