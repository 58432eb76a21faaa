"""Labels that do not lie on one another: spread along a margin, or moved to a free side of what they name."""

from collections.abc import Sequence


def spread(wanted: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Places as near to `wanted` as may be, in its order, at least `step` apart, within `low` and `high`.

    Too many for the room: they are set evenly and closer than `step`.
    """
    count = len(wanted)
    if not count:
        return []
    if count > 1 and (count - 1) * step > high - low:
        return [low + i * (high - low) / (count - 1) for i in range(count)]
    order = sorted(range(count), key=lambda i: (wanted[i], i))
    # Pool neighbours that would overlap and give each pool the mean of what its members want.
    pools: list[tuple[float, int]] = []
    for rank, i in enumerate(order):
        mean, size = wanted[i] - rank * step, 1
        while pools and pools[-1][0] >= mean:
            before, many = pools.pop()
            mean, size = (before * many + mean * size) / (many + size), many + size
        pools.append((mean, size))
    levels = [mean for mean, size in pools for _ in range(size)]
    places = [0.0] * count
    for rank, i in enumerate(order):
        at = min(max(levels[rank], low), high - (count - 1) * step)
        places[i] = at + rank * step
    return places


Box = tuple[float, float, float, float]


def beside(x: float, y: float, reach: float, width: float, height: float, taken: Sequence[Box]) -> Box:
    """A box (left, top, right, bottom) `reach` from (x, y), on the side where it covers least of `taken`."""
    diagonal = 0.72 * reach
    middles = [
        (x + reach, y),
        (x - reach, y),
        (x, y - reach),
        (x, y + reach),
        (x + diagonal, y - diagonal),
        (x - diagonal, y - diagonal),
        (x + diagonal, y + diagonal),
        (x - diagonal, y + diagonal),
    ]
    boxes = [(a - width / 2, b - height / 2, a + width / 2, b + height / 2) for a, b in middles]
    return min(boxes, key=lambda box: sum(_shared(box, other) for other in taken))


def _shared(a: Box, b: Box) -> float:
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))
