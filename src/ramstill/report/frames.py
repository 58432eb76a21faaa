"""The figures that a page carries along, so that its time line can move every picture together."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.air import units
from ramstill.pictures.ledger import reach
from ramstill.pictures.of_run import meter, phase_at, rounded, shown_and_true, trends
from ramstill.pictures.of_walls import heights_over_time, worth_of_feet
from ramstill.pictures.panels import angles
from ramstill.pictures.scales import clock, thinned

if TYPE_CHECKING:
    from ramstill.pictures.columns import Wall
    from ramstill.pictures.of_accounts import Kept
    from ramstill.run import Run

APART_S = 0.5  # frames need not lie closer than this [s]
MOST = 1200  # frames of a page: keeps it well under two megabytes


def frame_indices(run: Run) -> list[int]:
    """Places in the run's time that become frames: evenly spread, every moment among them."""
    span = float(run.time_s[-1] - run.time_s[0])
    even = thinned(len(run.time_s), int(min(max(span / APART_S, 240.0), MOST)))
    return sorted({*even, *(run.index(moment.at_s) for moment in run.moments())})


def frames(run: Run, banks: Sequence[Wall], ledgers: Sequence[Kept] = ()) -> dict[str, Any]:
    """By frame: time, phase, height of each column [Pa], angle of each hand, and the figures in words; the
    amounts of each of `ledgers`, which are kept at the frames, and how far their bars reach.
    """
    index = frame_indices(run)
    times = [round(float(run.time_s[i]), 2) for i in index]
    heights = heights_over_time(run, list({c.name: 0 for bank in banks for c in bank.columns}))
    feet = worth_of_feet(run.truth.static_pressure_pa[index], banks[0].feet)
    hands: dict[str, list[float]] = {}
    true_hands: dict[str, list[float]] = {}
    shown: dict[str, list[float | None]] = {}
    true: dict[str, list[float]] = {}
    trend: dict[str, list[int]] = {}
    for instrument in run.panel:
        name = instrument.name
        pointer, fact = run.pointers[name], run.true(name)
        for target, values in ((hands, pointer), (true_hands, fact)):
            turned = [angles(instrument, float(values[i]), run.airplane) for i in index]
            for hand in turned[0]:
                target[hand] = [round(t[hand], 1) for t in turned]
        there, really = shown_and_true(run, name)
        shown[name] = [None if np.isnan(there[i]) else rounded(run, name, float(there[i])) for i in index]
        true[name] = [rounded(run, name, float(really[i])) for i in index]
        if instrument.kind == "air-data-computer":
            trend[name] = trends(run, name)[index].tolist()
    setting = np.round(run.truth.altimeter_setting_pa[index] / units.INHG, 2)
    return {
        "time": times,
        "clock": [clock(t) for t in times],
        "phase": [phase_at(run.truth.phases, t) for t in times],
        "columns": {n: np.round(v[index], 1).tolist() for n, v in heights.items()},
        "feet": {str(f): np.round(pa).astype(int).tolist() for f, pa in feet.items()},
        "hands": hands,
        "trueHands": true_hands,
        "shown": shown,
        "true": true,
        "trend": trend,
        "ledgers": {kept.sheet.name: _ledger(kept) for kept in ledgers},
        "units": {i.name: meter(i).unit for i in run.panel},
        "names": {i.name: i.title for i in run.panel},
        "setting": setting.tolist(),
        "hpaPerInch": units.INHG / units.HPA,
    }


def _ledger(kept: Kept) -> dict[str, Any]:
    """Amounts by entry and what they come to, null where nothing is shown, and how far the bars reach."""
    sheet, total = kept.sheet, kept.amounts.sum(axis=0)
    far = [
        reach((*amounts, whole), sheet.least) for amounts, whole in zip(kept.amounts.T, total, strict=True)
    ]

    def rounded_off(values: Any) -> list[float | None]:
        found = (None if np.isnan(v) else round(float(v), sheet.decimals) + 0.0 for v in values)
        return [int(v) if v is not None and v == int(v) else v for v in found]  # 12, not 12.0

    return {
        "parts": [rounded_off(row) for row in kept.amounts],
        "total": rounded_off(total),
        "far": [round(value, 2) for value in far],
        "titles": [entry.title for entry in sheet.entries],
    }


def embedded(data: dict[str, Any]) -> str:
    """JSON that can stand inside a script element: nothing in it can end the element."""
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
