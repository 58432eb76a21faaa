"""The account of a run in plain words, each figure taken from the run or from the engine run ahead of it.

There is no phrase for a particular fault here: what is trapped is read from the network, what a pointer does
from how far it moved beside how far it ought to.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill import air
from ramstill.run import phrases as say
from ramstill.run.ahead import STEP_FT, STEP_KT, ahead
from ramstill.run.moments import NOTICEABLE
from ramstill.run.reactions import reaction_text
from ramstill.run.record import Paragraph, Run
from ramstill.run.sealed import Sealed, sealed_over, volume_m3
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.faults import Fault

SHORTEST_S = 15.0  # a stretch shorter than this gets no paragraphs of its own
MOST_STRETCHES = 3
CAUTION = f"{SAFETY} What rests on figures that the airplane file assumes is assumed too."


class Stretch(NamedTuple):
    """A stretch of the run during which the same faults are present; looked at in its middle."""

    begin_s: float
    end_s: float
    faults: tuple[Fault, ...]

    @property
    def look_s(self) -> float:
        """The time at which it is looked at [s]."""
        return 0.5 * (self.begin_s + self.end_s)


def account(run: Run) -> tuple[Paragraph, ...]:
    """The paragraphs, in reading order: faults, trapped air, each pointer, the worst of it, a caution."""
    paragraphs = [*_faults(run), *_trapped(run)]
    spans = stretches(run)
    for span in spans:
        paragraphs += _felt(run, span)
        paragraphs += _pointers(run, span, several=len(spans) > 1)
    paragraphs += [_worst(run), Paragraph("safety", "Caution", CAUTION)]
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
        there = tuple(f for f in run.faults if f.onset_s <= middle and (f.end_s is None or middle < f.end_s))
        if there and until - begin >= SHORTEST_S:
            found.append(Stretch(begin, until, there))
    longest = sorted(found, key=lambda s: s.begin_s - s.end_s)[:MOST_STRETCHES]
    return sorted(longest)


def _faults(run: Run) -> list[Paragraph]:
    if not run.faults:
        text = f"Nothing is broken. {say.first_up(run.airplane.title)} shows what it shows on a good day."
        return [Paragraph("fault", "No fault", text)]
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
    place = title_of(run, *where_on_airplane(fault, run.airplane))
    text = f"{when}: {say.first_down(entry.title)} ({place}{share}). {entry.sentence}"
    return Paragraph("fault", entry.title, text, subject=fault.name, at_s=max(fault.onset_s, start))


def title_of(run: Run, kind: str, name: str) -> str:
    """What a part is called in the airplane file."""
    for part in getattr(run.airplane, f"{kind}s", ()):
        if part.name == name:
            return str(getattr(part, "title", "") or name)
    return name


def _trapped(run: Run) -> list[Paragraph]:
    found = sealed_over(run.applied.network, run.applied.surroundings)
    return [_sealed(run, sealed) for sealed in found]


def _sealed(run: Run, sealed: Sealed) -> Paragraph:
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
    cases = any(t.endswith((".static", ".case")) for t in sealed.tappings)
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
    if ram and not still:
        over = pressure_pa - static
        speed = float(air.calibrated_airspeed(max(over, 0.0)))
        return f"the ram pressure of {say.knots(speed)} at {here} of pressure altitude"
    altitude = say.feet(float(air.pressure_altitude(pressure_pa)))
    both = "one pressure for both airs, " if ram else ""
    return f"{both}the still air of {altitude} of pressure altitude"


def where(run: Run, tappings: tuple[str, ...]) -> str:
    """Some tappings in words: up to three fittings, then the instruments that feel them."""
    fittings = [
        fitting.title or fitting.name for fitting in run.airplane.fittings if fitting.name in tappings
    ]
    if len(fittings) > 3:
        fittings = [*fittings[:2], f"{len(fittings) - 2} more fittings"]
    felt = []
    for instrument in run.airplane.instruments:
        ports = [t.partition(".")[2] for t in tappings if t.partition(".")[0] == instrument.name]
        title = say.first_down(instrument.title)
        if instrument.kind == "airspeed-indicator" and ports:
            part = {"pitot": "capsule of the ", "static": "case of the "}
            felt += [f"the {part.get(port, '')}{title}" for port in sorted(ports)]
        elif ports:
            felt.append(f"the {title}")
    return say.listed([*(say.first_down(f) for f in fittings), *felt])


def _felt(run: Run, span: Stretch) -> list[Paragraph]:
    """What airspeed capsule and static cases feel in a stretch, against the air really outside."""
    at = run.index(span.look_s)
    static, cas = float(run.truth.static_pressure_pa[at]), float(run.truth.cas_m_s[at])
    parts = []
    for instrument in run.airplane.instruments:
        if instrument.kind == "airspeed-indicator":
            over = float(run.pressure_pa[f"{instrument.name}.pitot"][at]) - static
            speed = say.knots(float(np.copysign(air.calibrated_airspeed(abs(over)), over)))
            parts.append(
                f"the capsule of the {say.first_down(instrument.title)} feels the ram pressure of {speed}, "
                f"where {say.knots(cas)} are flown"
            )
        elif instrument.kind == "altimeter":
            case = float(run.pressure_pa[f"{instrument.name}.static"][at])
            felt = say.feet(float(air.pressure_altitude(case)))
            true = say.feet(float(air.pressure_altitude(static)))
            parts.append(
                f"the case of the {say.first_down(instrument.title)} feels the still air of {felt} of "
                f"pressure altitude, where it is that of {true}"
            )
    if not parts:
        return []
    text = say.first_up(f"at {say.clock(span.look_s)} {say.listed(parts)}.")
    return [Paragraph("air", "What the instruments feel", text, at_s=span.look_s)]


def _pointers(run: Run, span: Stretch, several: bool) -> list[Paragraph]:
    reactions = ahead(run, span.look_s)
    at, found = run.index(span.look_s), []
    for instrument in run.airplane.instruments:
        name = instrument.name
        shown = say.said(float(run.pointers[name][at]), instrument)
        right = say.said(float(run.healthy_pointers[name][at]), instrument)
        text = f"At {say.clock(span.look_s)} it shows {shown}"
        text += "" if shown == right else f"; without the fault it would show {right}"
        text += f". {reaction_text(instrument, {c: r[name] for c, r in reactions.items()}, STEP_FT, STEP_KT)}"
        during = f", {say.clock(span.begin_s)} to {say.clock(span.end_s)}" if several else ""
        found.append(
            Paragraph(
                "pointer", say.first_up(instrument.title) + during, text, subject=name, at_s=span.look_s
            )
        )
    return found


def _worst(run: Run) -> Paragraph:
    """How far each pointer was from the truth at its worst, and how much of that the faults made."""
    parts = []
    for instrument in run.airplane.instruments:
        error = run.error(instrument.name)
        at = int(np.argmax(np.abs(error)))
        shown, true = run.pointers[instrument.name][at], run.true(instrument.name)[at]
        parts.append(
            f"{say.first_down(instrument.title)} {say.said(float(shown), instrument)} where "
            f"{say.said(float(true), instrument)} was true, at {say.clock(float(run.time_s[at]))}"
        )
    text = f"Furthest from the truth: {'; '.join(parts)}."
    quiet = all(np.abs(run.change(i.name)).max() <= NOTICEABLE[i.kind] for i in run.airplane.instruments)
    if run.faults and quiet:
        text += " None of it is the fault's doing to an amount that shows: this fault hides in this flight."
    if not run.faults:
        text += " That is position error, lag, the mechanism, and a day that is not the standard one."
    return Paragraph("worst", "At its worst", text)
