"""Copying and clearing in the kernel, spelt out: as whole-array statements they take seconds to compile."""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import inner_jit

FloatArray = NDArray[np.float64]


@inner_jit
def copy(source: FloatArray, into: FloatArray) -> None:
    """Copy as many as both have."""
    for i in range(min(len(source), len(into))):
        into[i] = source[i]


@inner_jit
def add(first: FloatArray, second: FloatArray, into: FloatArray) -> None:
    """Fill `into` with the sum."""
    for i in range(len(into)):
        into[i] = first[i] + second[i]


@inner_jit
def clear(rows: FloatArray) -> None:
    """Fill rows of numbers with zeros."""
    for i in range(rows.shape[0]):
        for j in range(rows.shape[1]):
            rows[i, j] = 0.0


@inner_jit
def fill(value: float, row: FloatArray) -> None:
    """Fill with one value."""
    for i in range(len(row)):
        row[i] = value
