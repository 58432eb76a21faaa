"""One run as one page of HTML that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import __version__, pictures
from ramstill.air import units
from ramstill.pictures import of_accounts, panels
from ramstill.pictures.of_accounts import ledgers_of
from ramstill.pictures.of_run import (
    fault_spans,
    phase_at,
    printed,
    shown_and_true,
    trends,
)
from ramstill.pictures.of_walls import RAM, drawn, heights_over_time, walls_of
from ramstill.pictures.scales import clock
from ramstill.report import frames as carried
from ramstill.report import tables
from ramstill.report.assets import inlined, policy_hash, template, text_of
from ramstill.run import limits_in_words, piloted
from ramstill.run.kinds import kind_of
from ramstill.run.phrases import first_down
from ramstill.run.quick_words import TITLE
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.instruments import Pointer
    from ramstill.pictures.columns import Wall
    from ramstill.pictures.of_accounts import Kept
    from ramstill.run import Moment, Paragraph, Run


def page(run: Run) -> str:
    """Return the page of a run: self-contained HTML, no outside address, readable without JavaScript."""
    style = pictures.style() + text_of("page.css")
    script = inlined(text_of("page.js"), pictures.moving())
    return template("page.html.j2").render(
        style=style,
        script=script,
        style_hash=policy_hash(style),
        script_hash=policy_hash(script),
        version=__version__,
        safety=SAFETY,
        **_content(run),
    )


def _content(run: Run) -> dict[str, Any]:
    banks = walls_of(run)
    moments = run.moments()
    first = opening_moment(run, moments, banks)

    def walls(at_s: float, key: str) -> list[dict[str, str]]:
        return [
            {
                "title": bank.title,
                "wide": drawn(run, bank, at_s, key=f"{key}-{i}-wide"),
                "narrow": drawn(run, bank, at_s, compact=True, key=f"{key}-{i}-narrow"),
            }
            for i, bank in enumerate(banks)
        ]

    kept = ledgers_of(run, carried.frame_indices(run))
    data = carried.frames(run, banks, kept)
    opening = run.index(first.at_s)
    words = run.words()
    return {
        "title": run.title or f"A run of {run.airplane.title}",
        "gist": gist(run),
        "note": run.note,
        "airplane": run.airplane,
        "basis": _basis(run),
        "first": first,
        "first_clock": clock(first.at_s),
        "first_phase": phase_at(run.truth.phases, first.at_s),
        "walls": walls(first.at_s, "wall"),
        "letters": [(c.tag, c.label) for bank in banks for c in bank.columns if c.tag],
        "ledgers": [of_accounts.drawn(run, one, opening, f"ledger-{i}") for i, one in enumerate(kept)],
        "ledger_table": tables.of_ledgers(run, kept),
        "dials": [_dial(run, i, first.at_s) for i in run.panel],
        "strip": {
            "wide": pictures.strips(run, key="strip-wide"),
            "narrow": pictures.strips(run, compact=True, key="strip-narrow"),
        },
        "map": {
            "wide": pictures.line_map(run.airplane, run.faults, key="map-wide"),
            "narrow": pictures.line_map(run.airplane, run.faults, compact=True, key="map-narrow"),
        },
        "moments": [
            {"at": m.at_s, "clock": clock(m.at_s), "title": m.title, "why": m.why}
            | {"walls": walls(m.at_s, f"m{i}"), "panel": _panel(run, m.at_s, f"m{i}-panel")}
            | {"ledgers": _astray(run, kept, m.at_s, f"m{i}-ledger")}
            for i, m in enumerate(moments)
        ],
        "words": [(p, _mark(p, banks)) for p in words],
        "wall_table": tables.of_wall(run, banks),
        "time_table": tables.of_time(run),
        "map_table": tables.of_map(run),
        "moment_table": tables.of_moments(run),
        "facts": _facts(run, words),
        "frames": carried.embedded(data),
        "frame_count": len(data["time"]),
        "first_frame": int(np.argmin(np.abs(np.asarray(data["time"]) - first.at_s))),
    }


def gist(run: Run) -> str:
    """The run in two sentences: the airplane and its faults, and the pointer that is furthest out."""
    spans = [
        f"{s.label} from {'the start' if s.since_s <= run.time_s[0] else clock(s.since_s)}"
        + ("" if s.until_s == float("inf") else f" to {clock(s.until_s)}")
        for s in fault_spans(run)
    ]
    what = "; ".join(spans) if spans else "nothing broken"
    name, at = furthest(run)
    words = [printed(run, name, float(v[at])) for v in shown_and_true(run, name)]
    shows = first_down(run.pointer(name).title)
    return (
        f"{run.airplane.title}, {clock(float(run.time_s[-1] - run.time_s[0]))} long: {what}. "
        f"Furthest from the truth, at {clock(float(run.time_s[at]))}: {shows} shows {words[0]} "
        f"where {words[1]} is true. {piloted.gist(run)}"
    ).rstrip()


# What counts as equally far out, so that pointers can be compared [SI]: common practice, no source.
_ALIKE = {"airspeed": 10.0 * units.KT, "altitude": 200.0 * units.FT, "vertical-speed": 500.0 * units.FPM}
_ALIKE_ENCODED = 300.0 * units.FT
_ASTRAY_PA = 1000.0  # and a column that is so far from the outside air it is meant to feel


def _alike(pointer: Pointer) -> float:
    return _ALIKE_ENCODED if pointer.kind == "encoder" else _ALIKE[pointer.shows]


def furthest(run: Run) -> tuple[str, int]:
    """The instrument that is furthest from the truth, and the sample at which it is."""
    worst = {}
    for instrument in run.panel:
        off = np.abs(run.error(instrument.name)) / _alike(instrument)
        worst[instrument.name] = (float(np.max(off)), int(np.argmax(off)))
    name = max(worst, key=lambda n: worst[n][0])
    return name, worst[name][1]


def opening_moment(run: Run, moments: tuple[Moment, ...], banks: Sequence[Wall]) -> Moment:
    """The moment that the page opens at: where pointers and columns together are furthest astray."""
    moved = run.change if run.faults else run.error
    off = [np.abs(moved(i.name)) / _alike(i) for i in run.panel]
    astray = []
    for bank in banks:
        heights = heights_over_time(run, [c.name for c in bank.columns])
        ram = next((h for name, h in heights.items() if name.startswith(RAM)), 0.0)
        felt = [c for c in bank.columns if c.role == "instrument"]
        astray += [np.abs(heights[c.name] - (ram if c.air == "ram" else 0.0)) / _ASTRAY_PA for c in felt]
    total = np.sum([np.minimum(o, 10.0) for o in off], axis=0) + np.max(astray, axis=0)
    return max(moments, key=lambda m: float(total[run.index(m.at_s)]))


def _dial(run: Run, instrument: Any, at_s: float) -> str:
    at = run.index(at_s)
    value, true = float(run.pointers[instrument.name][at]), float(run.true(instrument.name)[at])
    setting = float(run.truth.altimeter_setting_pa[at])
    trend = int(trends(run, instrument.name)[at])
    return panels.dial(instrument, value, run.airplane, setting, true, trend=trend)


def _panel(run: Run, at_s: float, key: str) -> str:
    at = run.index(at_s)
    shown = {name: float(values[at]) for name, values in run.pointers.items()}
    true = {name: float(run.true(name)[at]) for name in run.pointers}
    ways = {name: int(trends(run, name)[at]) for name in run.pointers}
    setting = float(run.truth.altimeter_setting_pa[at])
    return panels.panel(run.airplane, shown, setting, true, trends=ways, key=key)


def _astray(run: Run, ledgers: Sequence[Kept], at_s: float, key: str) -> list[str]:
    """The ledgers of the pointers that mislead at a time."""
    row = run.index(at_s)
    return [
        of_accounts.frozen(run, one, row, f"{key}-{i}")
        for i, one in enumerate(ledgers)
        if abs(run.error(one.sheet.name)[row]) > kind_of(run.pointer(one.sheet.name)).noticeable_si
    ]


def _mark(paragraph: Paragraph, banks: Sequence[Wall]) -> str:
    """The kind of line that stands before a paragraph: the air it is about, or trouble."""
    if paragraph.about in ("fault", "worst"):
        return "trouble"
    airs = {c.name: c.air for bank in banks for c in bank.columns}
    return str(airs.get(paragraph.subject, "plain"))


def _basis(run: Run) -> str:
    """How well the airplane's figures are known."""
    count = {"measured": 0, "common practice": 0, "assumed": 0}
    for _, figure in run.airplane.figures():
        count[figure.basis] += 1
    said = [f"{n or 'none'} {'is' if n < 2 else 'are'} {basis}" for basis, n in count.items()]
    total = sum(count.values())
    return f"Of the {total} figures in the airplane file {said[0]}, {said[1]} and {said[2]}."


def _facts(run: Run, words: Sequence[Paragraph]) -> list[tuple[str, str]]:
    """How it was worked out: (what, how)."""
    truth = run.truth
    kelvin = float(truth.outside_temperature_k[0])
    setting = float(truth.altimeter_setting_pa[0])
    rate = (len(run.time_s) - 1) / max(float(run.time_s[-1] - run.time_s[0]), 1e-9)
    return [
        ("Airplane", f"{run.airplane.title} ({run.airplane.name}). {_basis(run)}"),
        ("Surroundings", run.surroundings.title or "as given"),
        (
            "The day, at the start",
            f"outside air {kelvin - units.CELSIUS_ZERO:.1f} °C, "
            f"still air {truth.static_pressure_pa[0] / units.HPA:.1f} hPa, "
            f"altimeter set to {setting / units.INHG:.2f} inHg ({setting / units.HPA:.0f} hPa)",
        ),
        (
            "Engine",
            "the mass of air in every line, case and capsule, followed through every opening, line and "
            f"leak, with error control (to {run.tolerance_pa:g} Pa a step). No instrument's "
            "answer to a fault is written down anywhere: what is shown follows from the pressures.",
        ),
        ("Quick changes", f"{limits_in_words(run.airplane)} {_quick(words)}"),
        (
            "Sampling",
            f"{rate:.3g} samples a second, {len(run.time_s):,} in all; each is in run.csv beside it.",
        ),
        ("What is true", _TRUTH),
        ("Program", f"ramstill {__version__}"),
    ]


def _quick(words: Sequence[Paragraph]) -> str:
    """Whether the account has anything that was too quick."""
    if not any(paragraph.title == TITLE for paragraph in words):
        return "Nothing in this run was so quick that it would show on a pointer."
    return "What in this run was quicker stands in the account above."


_TRUTH = (
    "airspeed against calibrated airspeed; altimeter against geometric altitude above sea level, so that "
    "its setting and the day's temperature are parts of its error; vertical speed against the true rate of "
    "climb; encoder against pressure altitude."
)
