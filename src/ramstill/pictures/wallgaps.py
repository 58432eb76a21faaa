"""The difference that a pointer lives on, between the levels of two columns of the pressure wall."""

from collections.abc import Callable, Mapping

from ramstill.pictures import svg
from ramstill.pictures.columns import Pair, Wall, inches_of_water
from ramstill.pictures.scales import spoken
from ramstill.pictures.wallscales import Sizes


def gap(
    pair: Pair,
    wall: Wall,
    heights: Mapping[str, float],
    x: Mapping[str, float],
    y: Callable[[float], float],
    scale: float,
    size: Sizes,
    compact: bool,
) -> str:
    """The difference a pointer lives on: an arrow between the two levels, or a lens where it is small."""
    left, right = x[pair.left], x[pair.right]
    middle = (left + right) / 2
    a, b = y(heights[pair.left]), y(heights[pair.right])
    data = {"data_left": pair.left, "data_right": pair.right}
    if pair.lens:
        return svg.group(_lens(middle, a, b, pair, wall, scale, size), class_="gap lens", **data)
    inches = spoken(inches_of_water(heights[pair.left] - heights[pair.right]), 1)
    reach = size.tube / 2 + 2
    drawn = [
        svg.line(left + reach, a, middle + 6, a, "reach end-a"),
        svg.line(middle - 6, b, right - reach, b, "reach end-b"),
        svg.line(middle, a, middle, b, "arrow"),
    ]
    if not compact:
        words = svg.text(0, 0, f"{inches} in", "gap-words", "middle")
        drawn.append(
            svg.group(
                words,
                class_="gap-label",
                data_x=middle,
                transform=f"translate({svg.number(middle)} {svg.number(min(a, b) - 7)})",
            )
        )
    return svg.group(*drawn, class_="gap", **data)


def _lens(middle: float, a: float, b: float, pair: Pair, wall: Wall, scale: float, size: Sizes) -> str:
    tall, half = 46.0, min(size.between * 0.4, 18.0)
    times = magnification(wall.largest_pa.get(pair.owner, 0.0) * scale, tall)
    centre = (a + b) / 2
    shift = min(max((b - a) / 2 * times, -tall / 2), tall / 2)  # positive: the right level is the lower one
    inside = [
        svg.rect(-half, -tall / 2, 2 * half, tall, "lens-glass"),
        svg.rect(-half, -shift, half, tall / 2 + shift, "fluid still lens-left"),
        svg.rect(0, shift, half, tall / 2 - shift, "fluid still lens-right"),
        svg.rect(-half, -tall / 2, 2 * half, tall, "lens-rim", rx=4),
        svg.text(0, tall / 2 + 12, f"×{times:g}", "small", "middle"),
    ]
    place = min(max(centre, size.top + tall / 2), size.height - size.foot - tall / 2 - 14)
    return svg.group(
        *inside,
        class_="lens-body",
        transform=f"translate({svg.number(middle)} {svg.number(place)})",
        data_x=middle,
        data_times=f"{times:g}",
        data_tall=tall,
        data_lowest=size.height - size.foot - tall / 2 - 14,
        data_highest=size.top + tall / 2,
    )


def magnification(largest_px: float, tall_px: float) -> float:
    """The round enlargement (1, 2, 5, 10 ...) at which the largest difference still fits into the lens."""
    times = 1.0
    for candidate in (2.0, 5.0, 10.0, 20.0, 50.0, 100.0):
        if largest_px * candidate <= tall_px:
            times = candidate
    return times
