"""Elements of a drawing as text: escaped, short numbers, a title and a description on every picture."""

from html import escape


def number(value: float) -> str:
    """A coordinate with at most two decimals and no trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def element(tag: str, *children: str, **attributes: object) -> str:
    """`<tag ...>children</tag>`; `class_` gives class, `data_at` data-at; None leaves an attribute out."""
    parts = [tag]
    for name, value in attributes.items():
        if value is None:
            continue
        shown = number(value) if isinstance(value, float) else str(value)
        parts.append(f'{name.rstrip("_").replace("_", "-")}="{escape(shown)}"')
    inside = "".join(children)
    return f"<{' '.join(parts)}>{inside}</{tag}>" if inside else f"<{' '.join(parts)}/>"


def text(x: float, y: float, words: str, class_: str = "label", anchor: str = "start", **more: object) -> str:
    """One line of words at (x, y); `anchor` is "start", "middle" or "end"."""
    return element("text", escape(words), x=float(x), y=float(y), class_=class_, text_anchor=anchor, **more)


def lines_of_text(
    x: float, y: float, rows: list[str], step: float = 14.0, class_: str = "label", anchor: str = "middle"
) -> str:
    """Several lines of words, the first at (x, y), each `step` lower."""
    return "".join(text(x, y + step * i, row, class_, anchor) for i, row in enumerate(rows))


def line(x1: float, y1: float, x2: float, y2: float, class_: str, **more: object) -> str:
    return element("line", x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2), class_=class_, **more)


def rect(x: float, y: float, width: float, height: float, class_: str, **more: object) -> str:
    return element(
        "rect",
        x=float(x),
        y=float(y),
        width=float(width),
        height=float(max(height, 0.0)),
        class_=class_,
        **more,
    )


def circle(x: float, y: float, radius: float, class_: str, **more: object) -> str:
    return element("circle", cx=float(x), cy=float(y), r=float(radius), class_=class_, **more)


def path(points: list[tuple[float, float]], class_: str, closed: bool = False, **more: object) -> str:
    """Straight pieces through the points."""
    steps = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("path", d=f"M{steps}{'Z' if closed else ''}", class_=class_, **more)


def group(*children: str, class_: str | None = None, **more: object) -> str:
    return element("g", *children, class_=class_, **more)


def picture(
    width: float,
    height: float,
    title: str,
    description: str,
    *children: str,
    key: str,
    class_: str = "",
    **more: object,
) -> str:
    """The root of a drawing, with `<title>` and `<desc>`; `key` keeps its ids apart from its neighbours'."""
    return element(
        "svg",
        element("title", escape(title), id=f"{key}-title"),
        element("desc", escape(description), id=f"{key}-desc"),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {number(width)} {number(height)}",
        width=number(width),
        height=number(height),
        class_=f"picture {class_}".strip(),
        role="img",
        aria_labelledby=f"{key}-title {key}-desc",
        **more,
    )


def wrapped(words: str, width: int) -> list[str]:
    """Words broken into rows of at most `width` letters; a longer word stands alone."""
    rows: list[str] = []
    for word in words.split():
        if rows and len(rows[-1]) + 1 + len(word) <= width:
            rows[-1] += " " + word
        else:
            rows.append(word)
    return rows
