"""The ledger of a reading: what each part puts in as a bar from the zero line, and under a double rule what
they come to. A bar has the colour and the pattern of the air that it is about, and its word beside it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import floor, isnan, log10

from ramstill.pictures import svg
from ramstill.pictures.columns import Reading
from ramstill.pictures.scales import clock, spoken
from ramstill.run.parts import Tint

WORDS: Mapping[Tint, str] = {
    "ram": "ram air",
    "still": "still air",
    "cabin": "cabin air",
    "trouble": "fault",
    "plain": "",
}
WIDE, TOP, ROW, LINE, BAR = 340.0, 50.0, 38.0, 15.0, 12.0
HALF = 166.0  # of a bar that reaches all the way
_LETTERS = 38  # of a title that fit beside its amount


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of a ledger: its title, the air that it is about, and a word for that, or ""."""

    title: str
    air: Tint
    word: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The ledger of one pointer over a run: its lines, and how far its bars reach at least, in `unit`.

    name: of the pointer; decimals: to which amounts are told.
    """

    name: str
    title: str
    unit: str
    decimals: int
    entries: tuple[Entry, ...]
    least: float


def draw(
    sheet: Sheet, amounts: Sequence[float], reading: Reading, at_s: float, *, key: str = "ledger"
) -> str:
    """Return a ledger at one instant as SVG.

    amounts: of each entry, in the unit of the sheet; not-a-number where nothing is shown. `key` keeps ids
    apart on one page.
    """
    rows = [svg.wrapped(entry.title, _LETTERS) for entry in sheet.entries]
    total = sum(amounts)
    far = reach((*amounts, total), sheet.least)
    scale, zero = HALF / far, WIDE / 2
    y, drawn = TOP, []
    for i, (entry, words, amount) in enumerate(zip(sheet.entries, rows, amounts, strict=True)):
        y += LINE * (len(words) - 1)
        drawn.append(_entry(sheet, i, entry, words, amount, y, zero, scale, key))
        y += ROW
    foot = [
        svg.line(0, y - 4, WIDE, y - 4, "rule"),
        svg.line(0, y - 1, WIDE, y - 1, "rule"),
        svg.text(0, y + 17, "together", "name"),
        svg.text(WIDE, y + 17, signed(sheet, total), "amount", "end", data_total=1),
        _bar("total", total, y + 24, zero, scale, data_sum=1),
    ]
    bottom = y + 24 + BAR + 6
    head = [
        svg.text(0, 15, sheet.title, "name"),
        svg.text(WIDE, 15, f"{signed(sheet, total)} {sheet.unit}", "shown", "end", data_error=1),
        svg.text(0, 33, f"shows {reading.shown}, true {reading.true}", "small", data_both=sheet.name),
    ]
    return svg.picture(
        WIDE,
        bottom + 18,
        f"Ledger, {sheet.title} at {clock(at_s)}",
        describe(sheet, amounts, reading),
        _patterns(key),
        _grid(sheet, far, bottom),
        *head,
        *drawn,
        *foot,
        key=key,
        class_="ledger",
        data_ledger=sheet.name,
        data_title=sheet.title,
        data_zero=zero,
        data_half=HALF,
        data_decimals=sheet.decimals,
    )


def reach(amounts: Sequence[float], least: float) -> float:
    """How far the bars go either way: 1, 2 or 5 times a power of ten that holds them all, or the least."""
    largest = max((abs(amount) for amount in amounts if not isnan(amount)), default=0.0)
    if largest <= least:
        return least
    power = 10.0 ** floor(log10(largest))
    return next(times * power for times in (1.0, 2.0, 5.0, 10.0) if largest <= times * power * (1.0 + 1e-9))


def describe(sheet: Sheet, amounts: Sequence[float], reading: Reading) -> str:
    """The ledger in words."""
    both = zip(sheet.entries, amounts, strict=True)
    said = (f"{entry.title} {signed(sheet, amount)}" for entry, amount in both)
    reads = f"Shows {reading.shown}, true {reading.true}"
    if isnan(sum(amounts)):
        return f"{reads}: there is nothing to share out."
    return f"{reads}; together {signed(sheet, sum(amounts))} {sheet.unit}: {', '.join(said)}."


def _entry(
    sheet: Sheet,
    place: int,
    entry: Entry,
    words: list[str],
    amount: float,
    y: float,
    zero: float,
    scale: float,
    key: str,
) -> str:
    first = y + 12 - LINE * (len(words) - 1)
    drawn = [svg.lines_of_text(0, first, words[:-1], LINE, "entry", "start")]
    word = svg.element("tspan", entry.word, class_="small", dx=6) if entry.word else ""
    drawn.append(svg.element("text", words[-1], word, x=0, y=y + 12, class_="entry"))
    drawn.append(svg.text(WIDE, y + 12, signed(sheet, amount), "amount", "end", data_amount=place))
    drawn.append(_bar(f"part {entry.air}-part", amount, y + 18, zero, scale, data_part=place))
    if entry.air != "ram" and entry.air != "plain":
        over = {"fill": f"url(#{key}-{entry.air})", "data_part": place}
        drawn.append(_bar("over", amount, y + 18, zero, scale, **over))
    return svg.group(*drawn)


def _bar(class_: str, amount: float, y: float, zero: float, scale: float, **more: object) -> str:
    size = 0.0 if isnan(amount) else abs(amount) * scale
    left = zero if isnan(amount) or amount >= 0.0 else zero - size
    return svg.rect(left, y, size, BAR, class_, **more)


def _grid(sheet: Sheet, far: float, bottom: float) -> str:
    """Five lines: their places stay, what they are worth is written under them."""
    drawn = []
    for share in (-1.0, -0.5, 0.5, 1.0):
        x = WIDE / 2 + share * HALF
        drawn.append(svg.line(x, TOP - 12, x, bottom, "grid"))
        anchor = {-1.0: "start", 1.0: "end"}.get(share, "middle")
        at = {-1.0: 0.0, 1.0: WIDE}.get(share, x)
        words = _tick(share * far)
        drawn.append(svg.text(at, bottom + 13, words, "small", anchor, data_worth=f"{share:g}"))
    drawn.append(svg.text(WIDE / 2, bottom + 13, f"0 {sheet.unit}", "small", "middle"))
    return svg.group(*drawn, svg.line(WIDE / 2, TOP - 12, WIDE / 2, bottom, "zero"))


def _patterns(key: str) -> str:
    """Still air is lined, cabin air dotted, trouble hatched; ram air is plain: told apart without colour."""
    made = {
        "still": (8, 4, svg.line(0, 2, 8, 2, "weave")),
        "cabin": (6, 6, svg.circle(3, 3, 1.3, "weave-dot")),
        "trouble": (6, 6, svg.line(0, 6, 6, 0, "weave")),
    }
    return svg.element(
        "defs",
        *(
            svg.element(
                "pattern", inside, id=f"{key}-{air}", width=w, height=h, patternUnits="userSpaceOnUse"
            )
            for air, (w, h, inside) in made.items()
        ),
    )


def signed(sheet: Sheet, amount: float) -> str:
    """An amount with its sign; a dash for nothing."""
    words = spoken(amount, sheet.decimals)
    nothing = isnan(amount) or float(f"{abs(amount):.{sheet.decimals}f}") == 0.0
    return words if nothing or amount < 0.0 else f"+{words}"


def _tick(value: float) -> str:
    return spoken(value, 0 if value == int(value) else 1)
