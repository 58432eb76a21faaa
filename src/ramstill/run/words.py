"""The account of a run in plain words, each figure taken from the run or from the engine run ahead of it.

There is no phrase for a particular fault here: what is trapped is read from the network, what a pointer does
from how far it moved beside how far it ought to.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill import air
from ramstill.air import units
from ramstill.run import phrases as say
from ramstill.run import piloted
from ramstill.run.ahead import STEP_FT, STEP_KT, ahead, at_stop
from ramstill.run.kinds import kind_of
from ramstill.run.quick_words import beyond_the_engine
from ramstill.run.reactions import reaction_text
from ramstill.run.record import Paragraph, Run
from ramstill.run.sealed import Sealed, sealed_over, volume_m3
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.faults import Fault

SHORTEST_S = 15.0  # a stretch shorter than this gets no paragraphs of its own
MOST_STRETCHES = 3
SLOWEST_KT = 3.0  # a trapped ram pressure worth less than this is still air
LOOKS = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)  # where to look in a stretch, as a share of it
_SIDES = {  # of instruments that feel both airs, by port
    "airspeed-indicator": {"pitot": "capsule", "static": "case"},
    "air-data-computer": {"pitot": "pitot side", "static": "static side"},
}
CAUTION = f"{SAFETY} What rests on figures that the airplane file assumes is assumed too."


class Stretch(NamedTuple):
    """A stretch of the run during which the same faults are present, and the time it is looked at [s]."""

    begin_s: float
    end_s: float
    look_s: float


def account(run: Run) -> tuple[Paragraph, ...]:
    """The paragraphs, in reading order: faults, trapped air, each pointer, the worst of it, what was too
    quick for the engine, a caution.
    """
    paragraphs = [*_faults(run), *piloted.paragraphs(run), *_trapped(run)]
    spans = stretches(run)
    for span in spans:
        paragraphs += _felt(run, span)
        paragraphs += _pointers(run, span, several=len(spans) > 1)
    if run.on_bench:
        paragraphs += _on_bench(run)
    paragraphs.append(_worst(run))
    paragraphs += beyond_the_engine(run)
    if run.notes:
        paragraphs.append(Paragraph("note", "What had to be assumed", " ".join(run.notes)))
    paragraphs += [Paragraph("safety", "Caution", CAUTION)]
    return tuple(paragraphs)


def stretches(run: Run) -> list[Stretch]:
    """The longest stretches (three at most) with faults in them, in order of time."""
    start, end = float(run.time_s[0]), float(run.time_s[-1])
    cuts = {start, end}
    for fault in run.faults:
        cuts |= {fault.onset_s, fault.onset_s + fault.gradual_s, end if fault.end_s is None else fault.end_s}
    times = sorted(t for t in cuts if start <= t <= end)
    found = []
    for begin, until in pairwise(times):
        middle = 0.5 * (begin + until)
        there = any(f.onset_s <= middle and (f.end_s is None or middle < f.end_s) for f in run.faults)
        if there and until - begin >= SHORTEST_S:
            found.append(Stretch(begin, until, _telling(run, begin, until)))
    longest = sorted(found, key=lambda s: s.begin_s - s.end_s)[:MOST_STRETCHES]
    return sorted(longest)


def _telling(run: Run, begin: float, end: float) -> float:
    """A time in a stretch, from the middle outwards, with as few pointers as may be at an end of scale."""
    looks = [begin + share * (end - begin) for share in LOOKS]

    def stopped(look: float) -> int:
        at = run.index(look)
        return sum(at_stop(i, float(run.pointers[i.name][at])) for i in run.panel)

    return min(looks, key=stopped)


def _faults(run: Run) -> list[Paragraph]:
    if not run.faults:
        return [Paragraph("fault", "No fault", "Nothing is broken: the airplane is as it should be.")]
    return [_fault(run, fault) for fault in run.faults]


def _fault(run: Run, fault: Fault) -> Paragraph:
    from ramstill.faults import catalogue, where_on_airplane

    entry = catalogue()[fault.name]
    start = float(run.time_s[0])
    when = "From the start" if fault.onset_s <= start else f"From {say.clock(fault.onset_s)}"
    if fault.gradual_s:
        when += f", growing for {say.clock(fault.gradual_s)}"
    when += "" if fault.end_s is None else f", until {say.clock(fault.end_s)}"
    share = "" if entry.whole or fault.severity == 1.0 else f", severity {fault.severity:.0%}"
    place = say.listed([title_of(run, *part) for part in where_on_airplane(fault, run.airplane)])
    text = f"{when}: {say.first_down(entry.title)} ({place}{share}). {entry.sentence}"
    return Paragraph("fault", entry.title, text, subject=fault.name, at_s=max(fault.onset_s, start))


def title_of(run: Run, kind: str, name: str) -> str:
    """What a part is called in the airplane file."""
    for part in getattr(run.airplane, f"{kind}s", ()):
        if part.name == name:
            return str(getattr(part, "title", "") or name)
    return name


def _trapped(run: Run) -> list[Paragraph]:
    return [sealed_paragraph(run, sealed) for sealed in trapped_air(run)]


def trapped_air(run: Run) -> tuple[Sealed, ...]:
    """What is shut off in a run and would not be without its faults and what is held over the openings."""
    from ramstill.pneumatics import compile_network

    uncovered = replace(run.surroundings, openness={})
    healthy = {sealed.tappings for sealed in sealed_over(compile_network(run.airplane), uncovered)}
    found = sealed_over(run.applied.network, run.applied.surroundings)
    return tuple(sealed for sealed in found if sealed.tappings not in healthy)


def sealed_paragraph(run: Run, sealed: Sealed) -> Paragraph:
    """Which air it is, since when, what it holds, and what that is worth."""
    at = run.index(0.5 * (sealed.since_s + sealed.until_s))
    inside = np.isin(np.asarray(run.applied.network.node_names), sealed.tappings)
    volumes = np.asarray(run.applied.network.volume_m3)[inside]
    held = np.stack([run.pressure_pa[n] for n in run.applied.network.node_names if n in sealed.tappings])[
        :, at
    ]
    pressure = float(np.average(held, weights=volumes))
    litres = volume_m3(run.applied.network, sealed.tappings) * 1e3
    start, end = float(run.time_s[0]), float(run.time_s[-1])
    since = "From the start" if sealed.since_s <= start else f"From {say.clock(sealed.since_s)}"
    until = "to the end" if sealed.until_s >= end else f"to {say.clock(sealed.until_s)}"
    capsule = [i.title for i in run.airplane.instruments if f"{i.name}.pitot" in sealed.tappings]
    cases = any(t.endswith((".static", ".case", ".probe", ".flask")) for t in sealed.tappings)
    stands_for = worth(run, pressure, sealed.since_s, bool(capsule), cases)
    text = (
        f"{since} {until} the air in {where(run, sealed.tappings)} ({litres:.2f} l) has no way to any "
        f"air outside. It holds {say.hpa(pressure)}, {stands_for}."
    )
    return Paragraph("air", "Trapped air", text, subject=sealed.tappings[0], at_s=max(sealed.since_s, start))


def worth(run: Run, pressure_pa: float, since_s: float, ram: bool, still: bool) -> str:
    """What a trapped pressure stands for: a speed over the still air it was trapped in, or an altitude."""
    at = run.index(since_s)
    static = float(run.truth.static_pressure_pa[at])
    here = say.feet(float(run.truth.pressure_altitude_m[at]))
    speed = float(air.calibrated_airspeed(max(pressure_pa - static, 0.0)))
    if ram and not still and speed > SLOWEST_KT * units.KT:
        return f"the ram pressure of {say.knots(speed)} at {here} of pressure altitude"
    altitude = say.feet(float(air.pressure_altitude(pressure_pa)))
    both = "one pressure for both airs, " if ram and still else ""
    return f"{both}the still air of {altitude} of pressure altitude"


def where(run: Run, tappings: tuple[str, ...]) -> str:
    """Some tappings in words: up to three fittings, then the instruments that feel them."""
    inside = [f.title or f.name for f in run.airplane.fittings if f.name in tappings]
    fittings = [f"the {say.first_down(title)}" for title in inside]
    if len(fittings) > 3:
        fittings = [*fittings[:2], f"{len(fittings) - 2} more fittings"]
    felt = []
    for instrument in run.airplane.instruments:
        ports = [t.partition(".")[2] for t in tappings if t.partition(".")[0] == instrument.name]
        title = say.first_down(instrument.title)
        if instrument.kind in _SIDES and ports:
            part = {port: f"{side} of the " for port, side in _SIDES[instrument.kind].items()}
            felt += [f"the {part.get(port, '')}{title}" for port in sorted(ports)]
        elif ports:
            felt.append(f"the {title}")
    return say.listed([*fittings, *felt])


def _felt(run: Run, span: Stretch) -> list[Paragraph]:
    """What airspeed capsule and static cases feel in a stretch, against the air really outside."""
    at = run.index(span.look_s)
    static, cas = float(run.truth.static_pressure_pa[at]), float(run.truth.cas_m_s[at])
    parts = []
    for instrument in run.airplane.instruments:
        sides = _SIDES.get(instrument.kind, {"static": "case"})
        title = say.first_down(instrument.title)
        if "pitot" in sides:
            over = float(run.pressure_pa[f"{instrument.name}.pitot"][at]) - static
            speed = say.knots(float(np.copysign(air.calibrated_airspeed(abs(over)), over)))
            parts.append(
                f"the {sides['pitot']} of the {title} feels the ram pressure of {speed}, "
                f"where {say.knots(cas)} are flown"
            )
        if instrument.kind in ("altimeter", "air-data-computer"):
            case = float(run.pressure_pa[f"{instrument.name}.static"][at])
            felt = say.feet(float(air.pressure_altitude(case)))
            true = say.feet(float(air.pressure_altitude(static)))
            parts.append(
                f"the {sides['static']} of the {title} feels the still air of {felt} of "
                f"pressure altitude, where it is that of {true}"
            )
    if not parts:
        return []
    text = f"At {say.clock(span.look_s)} {'; '.join(parts)}."
    return [Paragraph("air", "What the instruments feel", text, at_s=span.look_s)]


def _pointers(run: Run, span: Stretch, several: bool) -> list[Paragraph]:
    """A paragraph for each pointer that misleads in a stretch, and one for those that do not."""
    reactions = ahead(run, span.look_s)
    during = f", {say.clock(span.begin_s)} to {say.clock(span.end_s)}" if several else ""
    at, found, sound = run.index(span.look_s), [], []
    for instrument in run.panel:
        name = instrument.name
        moves = reaction_text(instrument, {c: r[name] for c, r in reactions.items()}, STEP_FT, STEP_KT)
        shown, right = float(run.pointers[name][at]), float(run.healthy_pointers[name][at])
        same = np.isnan(right) if np.isnan(shown) else abs(shown - right) <= kind_of(instrument).still_si
        if not moves and same:
            sound.append(say.first_down(instrument.title))
            continue
        text = (
            f"At {say.clock(span.look_s)} it shows {say.said(shown, instrument)}; without the fault it would "
            f"show {say.said(right, instrument)}. {moves or 'It moves as it should.'}"
        )
        title = say.first_up(instrument.title) + during
        found.append(Paragraph("pointer", title, text, subject=name, at_s=span.look_s))
    if sound:
        verb = "reads and moves as it should" if len(sound) == 1 else "read and move as they should"
        text = say.first_up(f"{say.listed([f'the {title}' for title in sound])} {verb}.")
        found.append(Paragraph("pointer", f"Not touched{during}", text, at_s=span.look_s))
    return found


def _on_bench(run: Run) -> list[Paragraph]:
    """For each step of a bench programme, how far each pointer was driven from what is true there."""
    begins = [*run.truth.phases, (float(run.time_s[-1]) + 1.0, "")]
    found = []
    for (begin, name), (end, _) in pairwise(begins):
        inside = np.flatnonzero((run.time_s >= begin) & (run.time_s < end))
        parts = []
        for instrument in run.panel:
            error = run.error(instrument.name)[inside]
            worst = int(np.argmax(np.abs(error))) if len(error) else 0
            if len(error) and abs(error[worst]) > kind_of(instrument).noticeable_si:
                shown = float(run.pointers[instrument.name][inside][worst])
                true = float(run.true(instrument.name)[inside][worst])
                parts.append(
                    f"{say.first_down(instrument.title)} {say.said(shown, instrument)} "
                    f"(at rest: {say.said(true, instrument)})"
                )
        if parts:
            text = f"Driven furthest, from {say.clock(begin)} on: {'; '.join(parts)}."
            found.append(Paragraph("pointer", say.first_up(name), text, at_s=begin))
    return found


def _worst(run: Run) -> Paragraph:
    """How far off the pointers were at their worst, where the faults made it noticeable."""
    told = [i for i in run.panel if np.abs(run.change(i.name)).max() > kind_of(i).noticeable_si]
    blank = [i for i in run.panel if run.goes_blank(i.name).any()]
    others = [f"the {say.first_down(i.title)}" for i in run.panel if i not in (*told, *blank)]
    if run.faults and not told and not blank:
        text = "No pointer is ever noticeably away from what the airplane shows without the fault."
        return Paragraph("worst", "At its worst", f"{text} In this run the fault hides.")
    parts = []
    for instrument in told or ([] if blank else run.panel):
        off = run.astray(instrument.name)
        at = int(np.argmax(np.abs(off)))
        shown, true = run.pointers[instrument.name][at], run.true(instrument.name)[at]
        parts.append(
            f"{say.first_down(instrument.title)} {say.said(float(shown), instrument)} where "
            f"{say.said(float(true), instrument)} is true, at {say.clock(float(run.time_s[at]))}"
        )
    for instrument in blank:
        first = float(run.time_s[np.flatnonzero(run.goes_blank(instrument.name))[0]])
        parts.append(f"{say.first_down(instrument.title)} shows nothing from {say.clock(first)} on")
    text = f"{say.first_up('; '.join(parts))}."
    if told and others:
        text += f" Not noticeably touched: {say.listed(others)}."
    if not run.faults and not run.on_bench:
        text += " That is position error, lag, the mechanism, and a day that is not the standard one."
    return Paragraph("worst", "At its worst", text)
