"""One instrument's face: a scale, the markings that regulations prescribe, its hands, the figure in words.

Airspeed markings follow 14 CFR 23.1545 as it stood before amendment 23-64 (2017): white arc from the stall
speed in landing configuration to the flap limit, green arc from the clean stall speed to the normal operating
limit, yellow arc from there to the never-exceed speed, a red radial line at the never-exceed speed.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from ramstill.pictures import svg
from ramstill.pictures.scales import nice_step, spoken

SIZE, CENTRE, RIM = 220.0, 110.0, 100.0
TALL = 292.0  # a dial with the figures and its name under it
_TOP, _LOW = (
    330.0,
    26.0,
)  # degrees of the top mark and of the lowest mark of an airspeed indicator, zero straight up
_PAST, _BELOW = 10.0, 20.0  # how far its hand goes past the top mark, and below zero [degrees]
_STOP = 1.04  # where a vertical speed indicator's hand stops, as a share of full scale


TREND_MARKS = {1: "▲", 0: "", -1: "▼"}


@dataclass(frozen=True, slots=True)
class AirspeedFace:
    """Marks in the indicator's own unit; a limit that the airplane does not state is None."""

    lowest: float
    top: float
    unit: str
    stall_landing: float | None = None
    flap_limit: float | None = None
    stall_clean: float | None = None
    normal_limit: float | None = None
    never_exceed: float | None = None

    def angle(self, value: float) -> float:
        """Degrees clockwise from straight up; the way from zero to the lowest mark is pressed together."""
        if value < self.lowest:
            return max(value / self.lowest * _LOW, -_BELOW)
        return min(_LOW + (value - self.lowest) / (self.top - self.lowest) * (_TOP - _LOW), _TOP + _PAST)

    def corners(self) -> tuple[tuple[float, float], ...]:
        """(value, angle) where the law of `angle` bends or stops."""
        past = (self.top - self.lowest) * _PAST / (_TOP - _LOW)
        least = -_BELOW / _LOW * self.lowest
        return (least, -_BELOW), (self.lowest, _LOW), (self.top + past, _TOP + _PAST)


@dataclass(frozen=True, slots=True)
class VerticalSpeedFace:
    """Full scale either way [ft/min]."""

    full_scale: float

    def angle(self, value: float) -> float:
        """Degrees clockwise from straight up; zero points left, up is clockwise."""
        return 270.0 + 165.0 * min(max(value / self.full_scale, -_STOP), _STOP)

    def corners(self) -> tuple[tuple[float, float], ...]:
        """(value, angle) at its stops."""
        return tuple((side * _STOP * self.full_scale, 270.0 + side * 165.0 * _STOP) for side in (-1.0, 1.0))


def altimeter_angles(feet: float) -> dict[str, float]:
    """Degrees of the three hands: hundreds, thousands, ten thousands of feet. They do not stop at a turn."""
    return {"hundreds": feet * 0.36, "thousands": feet * 0.036, "ten-thousands": feet * 0.0036}


def airspeed(
    face: AirspeedFace,
    value: float,
    true: float | None = None,
    *,
    name: str = "airspeed",
    key: str = "airspeed",
    title: str = "Airspeed indicator",
) -> str:
    """The airspeed indicator at `value`, in the unit of its face; `true` adds a hollow mark on the rim."""
    drawn = [_face()]
    for low, high, radius, wide, class_ in (
        (face.stall_landing, face.flap_limit, 72.0, 7.0, "arc-white"),
        (face.stall_clean, face.normal_limit, 82.0, 7.0, "arc-green"),
        (face.normal_limit, face.never_exceed, 82.0, 7.0, "arc-yellow"),
    ):
        if low is not None and high is not None:
            drawn.append(_arc(face.angle(low), face.angle(high), radius, wide, class_))
    minor = 10.0 if face.top <= 350 else 20.0
    numbered = nice_step(face.top - face.lowest, 7)
    mark = math.ceil(face.lowest / minor) * minor
    while mark <= face.top + 1e-6:
        long = abs(mark / numbered - round(mark / numbered)) < 1e-6
        drawn.append(_tick(face.angle(mark), 12.0 if long else 7.0, "mark" if long else "mark thin"))
        if long:
            drawn.append(_numeral(face.angle(mark), 58.0, spoken(mark)))
        mark += minor
    if face.never_exceed is not None:
        drawn.append(_tick(face.angle(face.never_exceed), 26.0, "arc-red"))
    drawn += [_true(None if true is None else face.angle(true), name), _hand(face.angle(value), 84.0, name)]
    words = [svg.text(CENTRE, 148, face.unit, "small", "middle")]
    return _finished(title, name, f"{spoken(value)} {face.unit}", _of(true, face.unit), drawn + words, key)


def altimeter(
    feet: float,
    setting_inhg: float,
    setting_hpa: float,
    true_feet: float | None = None,
    *,
    name: str = "altimeter",
    key: str = "altimeter",
    title: str = "Altimeter",
) -> str:
    """The altimeter at `feet`, with both figures of its setting in the window."""
    drawn = [_face()]
    for i in range(50):
        drawn.append(_tick(i * 7.2, 12.0 if i % 5 == 0 else 7.0, "mark" if i % 5 == 0 else "mark thin"))
    drawn += [_numeral(i * 36.0, 74.0, str(i), "numeral large") for i in range(10)]
    drawn.append(svg.rect(CENTRE - 40, 131, 80, 20, "window", rx=3))
    drawn.append(
        svg.text(CENTRE, 145.5, f"{setting_inhg:.2f} inHg", "window-words", "middle", data_setting="inhg")
    )
    drawn.append(svg.text(CENTRE, 163, f"{setting_hpa:.0f} hPa", "small", "middle", data_setting="hpa"))
    hands = altimeter_angles(feet)
    far = [(0.0, -97.0), (-5.5, -86.0), (5.5, -86.0)]
    ten = svg.group(
        svg.line(0, 0, 0, -88, "hand-thin"),
        svg.path(far, "hand", closed=True),
        **_turn(f"{name}.ten-thousands", hands["ten-thousands"]),
    )
    drawn.append(svg.group(ten, transform=f"translate({svg.number(CENTRE)} {svg.number(CENTRE)})"))
    drawn.append(_hand(hands["thousands"], 50.0, f"{name}.thousands", 6.5))
    drawn.append(
        _true(None if true_feet is None else altimeter_angles(true_feet)["hundreds"], f"{name}.hundreds")
    )
    drawn.append(_hand(hands["hundreds"], 84.0, f"{name}.hundreds"))
    shown = f"{tens(feet)} ft"
    return _finished(
        title, name, shown, _of(true_feet, "ft", tens), drawn, key, f" set to {setting_inhg:.2f} inHg"
    )


def vertical_speed(
    face: VerticalSpeedFace,
    fpm: float,
    true_fpm: float | None = None,
    *,
    name: str = "vertical-speed",
    key: str = "vs",
    title: str = "Vertical speed indicator",
) -> str:
    """The vertical speed indicator at `fpm`; figures on the face are thousands of feet a minute."""
    drawn = [_face()]
    step = nice_step(face.full_scale, 4) / 5
    most = int(face.full_scale / step + 1e-9)
    for i in range(-most, most + 1):
        long = i % 5 == 0
        drawn.append(_tick(face.angle(i * step), 12.0 if long else 7.0, "mark" if long else "mark thin"))
        if long:
            drawn.append(_numeral(face.angle(i * step), 74.0, f"{abs(i * step) / 1000:g}"))
    drawn += [svg.text(62, 92, "up", "small", "middle"), svg.text(62, 137, "down", "small", "middle")]
    drawn.append(svg.text(150, 106, "1,000", "small", "middle"))
    drawn.append(svg.text(150, 120, "ft/min", "small", "middle"))
    drawn += [
        _true(None if true_fpm is None else face.angle(true_fpm), name),
        _hand(face.angle(fpm), 84.0, name),
    ]
    return _finished(title, name, f"{tens(fpm)} ft/min", _of(true_fpm, "ft/min", tens), drawn, key)


def encoder(
    feet: float,
    true_feet: float | None = None,
    *,
    name: str = "encoder",
    key: str = "encoder",
    title: str = "Altitude encoder",
) -> str:
    """The encoder has no pointer: the pressure altitude it reports, in digits."""
    drawn = [
        svg.rect(22, 74, SIZE - 44, 70, "face", rx=10),
        svg.text(CENTRE, 120, spoken(feet), "digits", "middle", data_digits=name),
        svg.text(CENTRE, 62, "reports", "small", "middle"),
        svg.text(CENTRE, 164, "ft pressure altitude", "small", "middle"),
    ]
    return _finished(title, name, f"{spoken(feet)} ft", _of(true_feet, "ft"), drawn, key)


def variometer(
    face: VerticalSpeedFace,
    unit: str,
    value: float,
    true: float | None = None,
    *,
    name: str = "variometer",
    key: str = "variometer",
    title: str = "Variometer",
) -> str:
    """A variometer at `value`, in the unit its dial is marked in, as its figures are."""
    drawn = [_face()]
    step = nice_step(face.full_scale, 5)
    most = int(face.full_scale / step + 1e-9)
    for i in range(-2 * most, 2 * most + 1):
        long = i % 2 == 0
        drawn.append(_tick(face.angle(i * step / 2), 12.0 if long else 7.0, "mark" if long else "mark thin"))
        if long:
            drawn.append(_numeral(face.angle(i * step / 2), 74.0, f"{abs(i * step / 2):g}"))
    drawn += [svg.text(62, 92, "up", "small", "middle"), svg.text(62, 137, "down", "small", "middle")]
    drawn.append(svg.text(150, 114, unit, "small", "middle"))
    drawn += [_true(None if true is None else face.angle(true), name), _hand(face.angle(value), 84.0, name)]
    figures = 1 if unit == "m/s" else 0
    shown = f"{spoken(value, figures)} {unit}"
    right = "" if true is None else f"{spoken(true, figures)} {unit}"
    return _finished(title, name, shown, right, drawn, key)


def digits(
    title: str,
    unit: str,
    value: float,
    true: float | None = None,
    *,
    trend: int = 0,
    name: str = "air-data",
    key: str = "air-data",
) -> str:
    """A reading of an air-data computer: plain digits, and a mark for the way they go; a dash for nothing."""
    words = spoken if unit in ("kt", "mph", "km/h") else tens
    shown = words(value) if math.isfinite(value) else spoken(value)
    mark = TREND_MARKS[trend]
    drawn = [
        svg.rect(22, 74, SIZE - 44, 70, "face", rx=10),
        svg.text(CENTRE, 120, shown, "digits", "middle", data_digits=name),
        svg.text(SIZE - 36, 116, mark, "trend", "middle", data_trend=name),
        svg.text(CENTRE, 164, unit, "small", "middle"),
    ]
    way = {1: ", rising", -1: ", falling", 0: ""}[trend]
    return _finished(title, name, f"{shown} {unit}", _of(true, unit, words), drawn, key, way)


def tens(value: float) -> str:
    """A figure to the nearest ten, as finely as one reads such a dial."""
    return spoken(round(value / 10.0) * 10.0 + 0.0)


def _of(true: float | None, unit: str, words: Callable[[float], str] = spoken) -> str:
    return "" if true is None else f"{words(true)} {unit}"


def _finished(
    title: str, name: str, shown: str, true: str, drawn: list[str], key: str, more: str = ""
) -> str:
    words = [svg.text(CENTRE, 232, shown, "shown", "middle", data_shown=name)]
    if true:
        words.append(svg.text(CENTRE, 252, f"true {true}", "small", "middle", data_true=name))
    words += [
        svg.text(CENTRE, 272 + 14 * i, row, "small", "middle") for i, row in enumerate(svg.wrapped(title, 30))
    ]
    said = f"Shows {shown}{more}{f'; true {true}, the hollow mark' if true else ''}."
    return svg.picture(SIZE, TALL, title, said, *drawn, *words, key=key, class_="dial")


def _face() -> str:
    return svg.circle(CENTRE, CENTRE, RIM + 2, "face")


def _at(angle: float, radius: float) -> tuple[float, float]:
    turn = math.radians(angle)
    return CENTRE + radius * math.sin(turn), CENTRE - radius * math.cos(turn)


def _tick(angle: float, length: float, class_: str) -> str:
    (x1, y1), (x2, y2) = _at(angle, RIM - 3), _at(angle, RIM - 3 - length)
    return svg.line(x1, y1, x2, y2, class_)


def _numeral(angle: float, radius: float, words: str, class_: str = "numeral") -> str:
    x, y = _at(angle, radius)
    return svg.text(x, y + 5, words, class_, "middle")


def _arc(start: float, end: float, radius: float, wide: float, class_: str) -> str:
    """A ring sector with an outline, so that white shows on paper and yellow is told from it."""
    inner, outer = radius, radius + wide
    large = 1 if end - start > 180 else 0
    a, b, c, d = (_at(g, r) for g, r in ((start, outer), (end, outer), (end, inner), (start, inner)))
    spots = [" ".join(svg.number(v) for v in point) for point in (a, b, c, d)]
    way = (
        f"M{spots[0]} A{svg.number(outer)} {svg.number(outer)} 0 {large} 1 {spots[1]} L{spots[2]} "
        f"A{svg.number(inner)} {svg.number(inner)} 0 {large} 0 {spots[3]}Z"
    )
    return svg.element("path", d=way, class_=f"arc {class_}")


def _turn(name: str, angle: float) -> dict[str, str]:
    return {"data_hand": name, "transform": f"rotate({svg.number(angle)})"}


def _hand(angle: float, length: float, name: str, wide: float = 4.2) -> str:
    """A leaf that tapers both ways, with a ring at the pivot."""
    leaf = [
        (0.0, -length),
        (wide / 2, -length * 0.72),
        (wide * 0.62, 0.0),
        (0.0, 16.0),
        (-wide * 0.62, 0.0),
        (-wide / 2, -length * 0.72),
    ]
    hand = svg.group(svg.path(leaf, "hand", closed=True), **_turn(name, angle))
    return svg.group(
        hand,
        svg.circle(0, 0, 5.5, "pivot"),
        transform=f"translate({svg.number(CENTRE)} {svg.number(CENTRE)})",
    )


def _true(angle: float | None, name: str) -> str:
    """A hollow wedge outside the scale: what is true."""
    if angle is None:
        return ""
    wedge = [(0.0, -RIM + 4), (-7.0, -RIM - 8), (7.0, -RIM - 8)]
    mark = svg.group(
        svg.path(wedge, "true-mark", closed=True),
        data_true_hand=name,
        transform=f"rotate({svg.number(angle)})",
    )
    return svg.group(mark, transform=f"translate({svg.number(CENTRE)} {svg.number(CENTRE)})")
