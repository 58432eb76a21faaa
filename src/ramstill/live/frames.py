"""A frame: where everything stands at one tick, as bytes that a page reads without parsing."""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import ArrayLike

RUNNING, ENDED, HELD = 1, 2, 4
_HEAD = struct.Struct("<IId")


def frame(tick: int, flags: int, time_s: float, figures: ArrayLike) -> bytes:
    """One frame, little-endian: uint32 tick, uint32 flags (`RUNNING` 1, `ENDED` 2, `HELD` 4), float64 time
    [s], then the figures (k,) as float32, NaN where nothing is shown.
    """
    return _HEAD.pack(tick & 0xFFFFFFFF, flags, time_s) + np.asarray(figures, dtype="<f4").tobytes()
