"""Readings, reference flight and noise as the flat arrays that the filter takes, and what it says of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import lgamma, log, pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import G0, R_AIR
from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.observed import Observed
from ramstill.diagnosis.reference import Reference, per_metre

if TYPE_CHECKING:
    from ramstill.diagnosis.manners import Manners
    from ramstill.diagnosis.panel import Panel

Array = NDArray[np.float64]
READ = (
    "altitude",
    "ias",
    "vertical speed",
    "along",
    "across",
    "gps altitude",
    "pitch",
    "power",
)
POINTERS = READ[:3]

# What is known of a flight before it is looked at, one standard deviation [SI]. Assumed.
UNKNOWN_HEIGHT, UNKNOWN_CLIMB, UNKNOWN_SPEED = 300.0, 5.0, 20.0
WIND_SD, GPS_SD, STRETCH_SD, PORT_SD, CABIN_SD, COMPASS_SD = 12.0, 150.0, 0.04, 0.025, 0.025, 0.15
RATE_ZERO_SD, PITCH_ZERO_SD, POWER_ZERO_SD = 0.25, np.radians(2.5), 1.5
AIRSPEED_SCALE_SD, RATE_SCALE_SD, TAS_SCALE_SD, SHEAR_SD = 0.006, 0.05, 0.012, 4.0
LATE_SD = (0.9, 0.9, 1.5)  # lags that are not quite as the file says, and recorders
# How pitch and what power leaves wander off, and over what time [s]: weight, balance, rising air.
PITCH_WANDER, POWER_WANDER = (np.radians(0.7), 60.0), (1.0, 120.0)
ELSEWHERE_M = 1500.0  # air trapped before the start was so far from its altitude
# A variometer on a total-energy probe shows part of a change of speed, of gusts too [m/s].
ENERGY_SHARE, ENERGY_SD = 0.5, 0.5
POWER_SD = 0.7  # of the rate of climb that power is said to leave [m/s]
# The flight: root of the power of white noise in its climb [m/s / sqrt s] and in its speeding up
# [m/s2 / sqrt s], where it is steady, where it is being changed, and rolling on the ground; how often it is
# being changed, each second.
CLIMB_STEADY, CLIMB_CHANGED, SPEED_STEADY, SPEED_CHANGED, SPEED_ROLLING = 0.12, 1.5, 0.03, 0.5, 1.5
CHANGED_EACH_S, SPEEDING_S = 0.01, 12.0
GUST_SD, GUST_S = 0.8, 20.0
# Random walks of the wind and of GPS over pressure altitude, per root second and per root metre climbed.
WIND_ROOT, SHEAR_ROOT, GPS_ROOT, WARMTH_ROOT = 0.06, 0.03, 0.08, 0.2
# How far altimeter, airspeed and rate pointers wander off by themselves [SI], and over what time [s].
WANDER = ((3.0, 600.0), (0.3, 600.0), (0.15, 600.0))
QUICK_S = 15.0  # [s] and as far within so many seconds
# What a fault changes is known to this share of itself, but for the most to this [SI]: lines, holes, cabins
# are not quite as the airplane's file says. Part of that comes and goes, part lasts.
UNSURE_SHARE, MOST_UNSURE = 0.02, np.array([3.0, 0.4, 0.3])
LASTING_SHARE, MOST_LASTING = 0.3, np.array([25.0, 4.0, 4.0])
UNSURE_PRESSURE = 0.02  # of the impact pressure
SLOWEST_TOLD, TOO_SLOW = 15.0, 8.0  # [m/s]
PASSED_ON = 0.2  # share of a change that counts as passed on
SPAN_S = 20.0  # over which changes along the reference flight are looked at [s]


@dataclass(frozen=True, slots=True)
class Model:
    """reference (k, REFERENCE), seen (k, READINGS, 2), present (READINGS), noise (NOISE), x (n), p (n, n)."""

    step_s: float
    reference: Array
    seen: Array
    present: NDArray[np.bool_]
    noise: Array
    x: Array
    p: Array
    trapped_m: float

    def __len__(self) -> int:
        """How many knots."""
        return len(self.seen)


@dataclass(frozen=True, slots=True)
class Told:
    """What the filter said: log likelihood of each knot (k,), and its states if kept (k, n), (k, n, n)."""

    each: Array
    states: Array
    spreads: Array

    @property
    def total(self) -> float:
        """Log likelihood of all."""
        return float(self.each.sum())


@dataclass(frozen=True, slots=True)
class Noise:
    """How rough a recording is, each beside what is usual.

    climb, speed, changed: how unsteady they are, and where they are being changed; gusts; wind by time, shear
    by height, gps: how far these wander; wander, quick: how far pointers do, for minutes and for seconds, and
    scatter: how far readings do, by quantity. tails: degrees of freedom of Student's t for the scatter.
    """

    climb: float = 1.0
    speed: float = 1.0
    changed: float = 1.0
    gusts: float = 1.0
    wind: float = 1.0
    shear: float = 1.0
    gps: float = 1.0
    tails: float = 8.0
    wander: Mapping[str, float] = field(default_factory=dict)
    quick: Mapping[str, float] = field(default_factory=dict)
    scatter: Mapping[str, float] = field(default_factory=dict)


def model(
    seen: Observed, ref: Reference, panel: Panel, noise: Noise = Noise(), reference: Array | None = None
) -> Model:
    """The arrays of one recording. reference (k, REFERENCE): `flat`, if that is known already."""
    reference = flat(seen, ref) if reference is None else reference.copy()
    reference[:, c.WIND_STEP] *= noise.wind * (1.0 if seen.directed else 4.0)
    reference[:, c.SHEAR_STEP] *= noise.shear * (1.0 if seen.directed else 4.0)
    reference[:, c.GPS_STEP] *= noise.gps
    tas = reference[:, c.TAS]
    readings = np.full((len(seen.knots_s), c.READINGS, 2), np.nan)
    for i, quantity in enumerate(READ):
        value, sd = seen.value.get(quantity), seen.sd.get(quantity)
        if value is None or sd is None:
            continue
        if quantity == "vertical speed" and panel.compensated:
            sd = np.hypot(sd, ENERGY_SHARE * np.abs(tas * np.gradient(tas, ref.knots_s)) / G0 + ENERGY_SD)
        if quantity == "pitch":
            value = np.where(ref.airborne > 0.0, value - ref.angle_rad, np.nan)
        if quantity == "power":
            value, sd = np.where(ref.airborne > 0.0, ref.excess_m_s, np.nan), np.full(len(value), POWER_SD)
        if quantity == "ias":  # a pointer that is hardly off its stop, on the ground, says nothing
            rolling = (ref.airborne == 0.0) & (np.maximum(value, ref.airspeed_m_s) < SLOWEST_TOLD)
            sd = np.where(rolling, UNKNOWN_SPEED, sd)
        readings[:, i, 0], readings[:, i, 1] = value, (noise.scatter.get(quantity, 1.0) * sd) ** 2
    return Model(
        seen.step_s,
        reference,
        readings,
        ~np.isnan(readings[:, :, 0]).all(axis=0),
        _noise(seen, noise, panel.friction),
        *_start(reference[0], ref),
        ELSEWHERE_M if ref.airborne[0] > 0.0 else 20.0,
    )


def flat(seen: Observed, ref: Reference) -> Array:
    """The reference flight as the filter takes it, (k, REFERENCE)."""
    count = len(seen.knots_s)
    reference = np.zeros((count, c.REFERENCE))
    tas = ref.tas_m_s
    risen = np.abs(np.gradient(ref.altitude_m))
    columns = {
        c.RHO_G: per_metre(ref),
        c.HEIGHT_REF: ref.altitude_m,
        c.CLIMB_REF: ref.climb_m_s,
        c.SPEED_REF: ref.airspeed_m_s,
        c.RAM_SLOPE: _ram_slope(np.maximum(ref.airspeed_m_s, c.SLOWEST_FELT)),
        c.IMPACT: np.asarray(air.impact_pressure(ref.airspeed_m_s)),
        c.TAS_RATIO: np.where(ref.airspeed_m_s < 1.0, 1.0, tas / np.maximum(ref.airspeed_m_s, 1.0)),
        c.NORTH: seen.north,
        c.EAST: seen.east,
        c.TAS: tas,
        c.ANGLE_SLOPE: ref.angle_slope,
        c.EXCESS: ref.excess_m_s,
        c.EXCESS_SLOPE: np.nan_to_num(ref.excess_slope),
        c.SLOWEST: np.where(ref.airborne > 0.0, ref.slowest_m_s, 0.0),
        c.FASTEST: np.full(count, ref.fastest_m_s),
        c.WIND_STEP: np.full(count, WIND_ROOT * np.sqrt(seen.step_s)),
        c.SHEAR_STEP: SHEAR_ROOT * np.sqrt(risen),
        c.GPS_STEP: np.sqrt(GPS_ROOT**2 * seen.step_s + WARMTH_ROOT**2 * risen),
    }
    for place, column in columns.items():
        reference[:, place] = column
    return reference


def _ram_slope(speed: Array) -> Array:
    """How fast impact pressure grows with calibrated airspeed [Pa per m/s]."""
    up, down = (np.asarray(air.impact_pressure(speed + by)) for by in (0.5, -0.5))
    return np.asarray(up - down)


def _noise(seen: Observed, how: Noise, friction: Mapping[str, float]) -> Array:
    noise = np.zeros(c.NOISE)
    step = seen.step_s
    noise[c.KNOT_S] = step
    noise[c.CLIMB_STEADY], noise[c.CLIMB_CHANGING] = how.climb * CLIMB_STEADY, how.changed * CLIMB_CHANGED
    noise[c.SPEED_STEADY], noise[c.SPEED_CHANGING] = how.speed * SPEED_STEADY, how.changed * SPEED_CHANGED
    noise[c.SPEED_ROLLING] = SPEED_ROLLING
    noise[c.CHANGING] = 1.0 - np.exp(-step * CHANGED_EACH_S)
    noise[c.SPEEDING_LEFT] = np.exp(-step / SPEEDING_S)
    noise[c.GUST_SD], noise[c.GUST_LEFT] = how.gusts * GUST_SD, np.exp(-step / GUST_S)
    noise[c.DOF] = dof = how.tails
    noise[c.T_CONSTANT] = lgamma(0.5 * (dof + 1.0)) - lgamma(0.5 * dof) - 0.5 * log(dof * pi)
    noise[c.PITCH_LEFT], noise[c.PITCH_STEP] = _kept(step, *PITCH_WANDER)
    noise[c.POWER_LEFT], noise[c.POWER_STEP] = _kept(step, *POWER_WANDER)
    for i, (quantity, (size, _)) in enumerate(zip(POINTERS, WANDER, strict=True)):
        noise[c.QUICK_LEFT], kick = _kept(step, size, QUICK_S)
        noise[c.QUICK_STEP_ALTITUDE + i] = how.quick.get(quantity, 1.0) * kick
    shares = (
        how.wander.get(quantity, 1.0) + friction.get(quantity, 0.0) / size
        for quantity, (size, _) in zip(POINTERS, WANDER, strict=True)
    )
    return _wandering(noise, *shares)


def _wandering(noise: Array, *shares: float) -> Array:
    """The noise with pointers that wander so many times as far by themselves as sound ones may."""
    noise = noise.copy()
    for i, (share, (size, over)) in enumerate(zip(shares, WANDER, strict=True)):
        noise[c.OFF_LEFT_ALTITUDE + i], kick = _kept(noise[c.KNOT_S], size, over)
        noise[c.OFF_STEP_ALTITUDE + i] = share * kick
    return noise


def _kept(step_s: float, size: float, over_s: float) -> tuple[float, float]:
    """Of what wanders by `size` over a time [s]: what is left after a step, and how much comes anew."""
    left = float(np.exp(-step_s / over_s))
    return left, size * float(np.sqrt(1.0 - left**2))


def _start(first: Array, ref: Reference) -> tuple[Array, Array]:
    x = np.zeros(c.STATES)
    x[c.HEIGHT], x[c.CLIMB], x[c.SPEED] = first[c.HEIGHT_REF], first[c.CLIMB_REF], first[c.SPEED_REF]
    x[c.GPS_OFFSET] = ref.gps_offset_m
    sd = np.zeros(c.STATES)
    sd[c.OFF : c.OFF + 3] = sd[c.QUICK : c.QUICK + 3] = [size for size, _ in WANDER]
    sd[c.HEIGHT], sd[c.CLIMB], sd[c.SPEED], sd[c.SPEEDING] = UNKNOWN_HEIGHT, UNKNOWN_CLIMB, UNKNOWN_SPEED, 0.3
    sd[c.WIND_NORTH], sd[c.WIND_EAST], sd[c.GUST] = WIND_SD, WIND_SD, GUST_SD
    sd[c.GPS_OFFSET], sd[c.GPS_STRETCH], sd[c.PORT] = GPS_SD, STRETCH_SD, PORT_SD
    sd[c.RATE_ZERO], sd[c.PITCH_ZERO], sd[c.POWER_ZERO] = RATE_ZERO_SD, PITCH_ZERO_SD, POWER_ZERO_SD
    sd[c.OWN :] = 1.0
    sd[c.LATE : c.LATE + 3] = LATE_SD
    sd[c.SHEAR_NORTH] = sd[c.SHEAR_EAST] = SHEAR_SD
    sd[c.COMPASS], sd[c.CABIN] = COMPASS_SD, CABIN_SD
    sd[c.AIRSPEED_SCALE], sd[c.RATE_SCALE], sd[c.TAS_SCALE] = AIRSPEED_SCALE_SD, RATE_SCALE_SD, TAS_SCALE_SD
    return x, np.diag(sd**2)


def settled(model: Model, following: Array) -> tuple[Array, Array]:
    """State (n) and spread (n, n) at the beginning, with the air inside as it follows that outside."""
    move, more = np.eye(c.STATES), np.zeros(c.STATES)
    first = model.reference[0]
    shift = np.zeros(c.STATES)
    for i in range(3):
        static, impact, left = following[3 * i : 3 * i + 3]
        row = c.ALTIMETER_STATIC + i
        move[row] = 0.0
        if left > 0.98:  # trapped at a time that nobody knows
            more[row] = (first[c.RHO_G] * model.trapped_m) ** 2
            continue
        move[row, c.HEIGHT] = -static * first[c.RHO_G]
        move[row, c.SPEED] = move[row, c.GUST] = impact * first[c.RAM_SLOPE]
        move[row, c.CABIN] = following[c.A_CABIN + i] * first[c.IMPACT]
        move[row, c.PORT] = (static - (1.0 if i == 2 else 0.0)) * first[c.IMPACT]
        shift[row] = (
            static * first[c.RHO_G] * first[c.HEIGHT_REF] - impact * first[c.RAM_SLOPE] * first[c.SPEED_REF]
        )
    move[c.RATE] = 0.0
    move[c.RATE, c.CLIMB] = following[c.R_SHARE]
    move[c.RATE, c.CABIN] = following[c.R_CABIN] * first[c.IMPACT]
    shift[c.RATE] = -following[c.R_SHARE] * first[c.CLIMB_REF]
    return move @ model.x + shift, move @ model.p @ move.T + np.diag(more)


def shown_by(
    panel: Panel, columns: dict[str, Array], ref: Reference, manners: Manners, sound: Array | None = None
) -> Array:
    """What the filter reads of a case, (k, SHOWN), from its pointers by name, (k,) each.

    sound (k, SHOWN): the same of the sound airplane. What a fault changes is known to a share of itself.
    """
    count = len(ref.knots_s)
    shown = np.zeros((count, c.SHOWN))
    names = (panel.altitude, panel.airspeed, panel.rate)
    for i, name in enumerate(names):
        shown[:, i] = columns[name] if name is not None else 0.0
    # an air-data computer that is alive shows no airspeed where it is too slow for it
    slow = np.isnan(shown[:, c.SHOWN_AIRSPEED]) & ~np.isnan(shown[:, c.SHOWN_ALTITUDE])
    if panel.airspeed is not None and panel.airspeed in panel.computed:
        shown[slow, c.SHOWN_AIRSPEED] = c.SLOWEST_FELT
    else:
        slow[:] = False
    below = shown[:, c.SHOWN_AIRSPEED] <= 0.0
    shown[below, c.SHOWN_AIRSPEED] = 0.0  # a recorder writes no airspeed below zero
    altitude = np.nan_to_num(shown[:, c.SHOWN_ALTITUDE]) + np.asarray(air.pressure_altitude(ref.setting_pa))
    altitude = np.clip(altitude, -1500.0, 19000.0)
    static, warmth = (np.asarray(law(altitude)) for law in (air.static_pressure, air.standard_temperature))
    shown[:, c.ALTITUDE_PER_PA] = -R_AIR * warmth / (G0 * static) * manners.altitude_share
    speed = np.maximum(np.nan_to_num(shown[:, c.SHOWN_AIRSPEED]), c.SLOWEST_FELT)
    shown[:, c.AIRSPEED_PER_PA] = np.where(below | slow, 0.0, manners.airspeed_share / _ram_slope(speed))
    if sound is not None:
        changed = np.abs(np.nan_to_num(shown[:, :3] - sound[:, :3]))
        shown[:, c.UNSURE : c.LASTING] = np.minimum(UNSURE_SHARE * changed, MOST_UNSURE) ** 2
        lasting = np.minimum(LASTING_SHARE * changed, MOST_LASTING)
        # near its lowest reading an airspeed pointer turns any small pressure into a large step
        slight = UNSURE_PRESSURE * np.asarray(air.impact_pressure(ref.airspeed_m_s))
        slight *= np.abs(shown[:, c.AIRSPEED_PER_PA]) * np.minimum(changed[:, c.SHOWN_AIRSPEED] / 5.0, 1.0)
        lasting[:, c.SHOWN_AIRSPEED] += slight
        shown[:, c.LASTING :] = lasting**2
    shown[slow, c.UNSURE + c.AIRSPEED] += TOO_SLOW**2
    return shown


def at_least_as_flown(model: Model, shown: Array, following: Array, first: int) -> Array:
    """Manners that follow at least as much of a change as what is shown along the reference flight does.

    A slug of water passes nothing of a small change and nearly all of a large one: what the reference flight
    explains by passing a change on must not be free.
    """
    found = following.copy()
    first += 2 if first else 0  # what sets in between two knots is neither here nor there
    some = slice(first, None)
    reach = max(int(SPAN_S / model.step_s), 1)
    if len(shown) - first < 3 * reach:
        return found

    def over(values: Array) -> Array:
        return values[some][reach:] - values[some][:-reach]

    ref = model.reference
    moved = np.stack([over(ref[:, c.SPEED_REF]), over(ref[:, c.HEIGHT_REF])], axis=1)
    for column, share, axis, small in (
        (c.SHOWN_AIRSPEED, c.P_IMPACT, 0, 0.3),
        (c.SHOWN_ALTITUDE, c.A_STATIC, 1, 3.0),
    ):
        change = over(shown[:, column])
        told = np.isfinite(change)
        if told.sum() < 5 or np.std(moved[told, axis]) < small:
            continue
        slope = np.linalg.lstsq(moved[told], change[told], rcond=None)[0][axis]
        if axis:
            slope *= float(np.median(1.0 / (-ref[some, c.RHO_G] * shown[some, c.ALTITUDE_PER_PA] + 1e-12)))
        else:
            per_pa = shown[some, c.AIRSPEED_PER_PA] * ref[some, c.RAM_SLOPE]
            slope *= float(np.median(1.0 / np.maximum(per_pa, 0.05)))
        left = share + 1 if axis == 0 else share + 2
        if slope > PASSED_ON and slope > found[share]:
            found[share] = min(slope, 1.0)
            if following[left] >= 1.0:
                found[left] = 0.0  # what is passed on is not trapped
    return found


def tell(
    model: Model,
    shown: Array,
    following: Array,
    after: Told | None = None,
    first: int = 0,
    keep: bool = False,
) -> Told:
    """Go through the readings: with `after`, from the knot `first` on, behind what that has said before.

    Of `after`, states and spreads need hold the knot before `first` only, or all of them to keep these too;
    without `after` they always are kept.
    """
    from ramstill.diagnosis._filter import go_through

    each = np.empty(len(model)) if after is None else after.each.copy()
    if after is None or first == 0:
        first = 0
        x, p = settled(model, following)
    else:
        place = first - 1 if len(after.states) == len(model) else 0
        x, p = after.states[place], after.spreads[place]
    x, p = x.copy(), p.copy()
    for i in range(3):  # at once, and then as far off for long
        p[c.OFF + i, c.OFF + i] += (
            float(np.median(shown[first:, c.LASTING + i])) if first < len(shown) else 0.0
        )
    keep = keep or after is None
    size = len(model) if keep else 0
    states, spreads = np.empty((size, c.STATES)), np.empty((size, c.STATES, c.STATES))
    if keep and after is not None:
        states[:first], spreads[:first] = after.states[:first], after.spreads[:first]
    go_through(
        first,
        x,
        p,
        model.reference,
        shown,
        model.seen,
        model.present,
        following,
        model.noise,
        each,
        states,
        spreads,
        np.empty((c.STATES + 4, c.STATES)),
        np.empty(6 + c.KINDS, dtype=np.int64),
    )
    return Told(each, states, spreads)


def off_for_no_reason(model: Model, times: tuple[float, ...]) -> Model:
    """The model in which pointers wander off so many times as far as sound ones: what is in no catalogue."""
    noise = model.noise.copy()
    noise[c.OFF_STEP_ALTITUDE : c.OFF_STEP_RATE + 1] *= np.array(times)
    return replace(model, noise=noise)
