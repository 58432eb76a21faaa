"""Volumes that grow into others: capsules in their cases.

A capsule grows by its compliance times the difference between inside and outside, straight at first and
never by more than half of the smaller of the two volumes, where it meets its stops. It gets there within
milliseconds, as a light spring in air does; that makes its swelling a state like the others.
"""

from math import sqrt

from ramstill.pneumatics._compiled import lean_jit

SETTLES_S = 2e-3  # how fast a capsule takes its shape [s], assumed; far below what the engine resolves
MOST_SHARE = 0.5  # of the smaller volume


@lean_jit
def swollen(difference: float, compliance: float, most: float) -> tuple[float, float]:
    """Volume gained in the end [m3] at a pressure difference [Pa], and its slope [m3/Pa].

    most: what it comes to at the stops [m3].
    """
    straight = compliance * difference
    bent = 1.0 / (1.0 + (straight / most) ** 2)
    root = sqrt(bent)
    return straight * root, compliance * bent * root
