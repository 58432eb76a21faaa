"""Random plumbing and weather for property tests: trees of 2 to 12 volumes, odd but legal."""

import numpy as np

from ramstill.pneumatics import Network, Schedule, Surroundings, Truth
from ramstill.pneumatics.network import LEAK_LAMINAR

END_S = 6.0


def tree(seed, most=12, openings=True, wild=False):
    """A random tree. wild: bores of 0.05 to 20 mm, volumes of 1 mm3 to 10 l, tubes of no length."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, most + 1))
    low, high = (-9.0, -2.0) if wild else (-6.5, -3.0)
    volumes = 10.0 ** rng.uniform(low, high, n)
    names = tuple(f"v{i}" for i in range(n))
    network = Network(names, volumes, np.full(n, 288.15), ("ram", "still"))

    def bore():
        return float(10.0 ** rng.uniform(*((-4.3, -1.7) if wild else (-3.7, -2.0))))

    for i in range(1, n):
        other = f"v{rng.integers(0, i)}"
        kind = rng.integers(0, 6)
        if kind == 0:
            network = network.with_hole(f"l{i}", f"v{i}", other, bore(), float(rng.uniform(0.0, 3e-3)))
        elif kind == 1:
            size = (float(rng.uniform(0.5, 8.0)), float(volumes[i]))
            network = network.with_link(f"l{i}", LEAK_LAMINAR, other, f"v{i}", size)
        else:
            length = 0.0 if wild and kind == 2 else float(rng.uniform(0.05, 4.0))
            network = network.with_tube(f"l{i}", f"v{i}", other, length, bore())
    if openings:
        for k in range(int(rng.integers(1, 4))):
            boundary = ("ram", "still")[k % 2]
            network = network.with_hole(
                f"o{k}", f"v{rng.integers(0, n)}", boundary, bore(), 1e-3, opening(rng)
            )
    return network


def opening(rng):
    """Nothing, or a jump, or a ramp down and back."""
    kind = rng.integers(0, 3)
    if kind == 0:
        return None
    if kind == 1:
        return Schedule.step(float(rng.uniform(0.0, END_S)), *rng.permutation([0.0, 1.0]).tolist())
    times = np.sort(rng.uniform(0.0, END_S, 3))
    return Schedule(tuple(times.tolist()), (1.0, 0.0, float(rng.uniform(0.0, 1.0))))


def weather(seed, jump=True):
    """Two boundaries that wander by some kPa, one with a jump."""
    rng = np.random.default_rng(seed + 1)
    t = np.linspace(0.0, END_S, 25)
    ram = 95000.0 + 3000.0 * np.sin(rng.uniform(0.2, 3.0) * t + rng.uniform(0.0, 6.0))
    still = 90000.0 + rng.uniform(-500.0, 500.0) * t
    around = Surroundings.from_samples(t, ("ram", "still"), np.stack([ram, still], 1), Truth.steady(t))
    if jump:
        step = Schedule.step(float(rng.uniform(1.0, 5.0)), 0.0, float(rng.uniform(-4000.0, 4000.0)))
        around = around.with_pressure_change("still", step)
    return around
