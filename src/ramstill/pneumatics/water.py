"""Water that has collected in the low point of a line: what holds it, when it moves, when it drains.

A slug fills the bore. Pushed from one side it climbs the leg on the other until all of it stands there,
which takes its static head; and its rims stick to the wall, the front one bulging and the rear one hollow,
until the contact angles reach what the surface allows, which takes 4 sigma (cos receding - cos advancing) /
d: textbooks of capillarity, such as P.-G. de Gennes, F. Brochard-Wyart and D. Quere, Capillarity and Wetting
Phenomena (2004, from memory). Experiments with single plugs (Motion of an isolated liquid plug inside a
capillary tube: effect of contact angle hysteresis, 2015, abstract seen) find the same order: pressure first
frees the rims, whatever the length, then friction balances it. Beyond that it moves against Poiseuille's
drag of water in its own length.

Assumed: straight legs longer than the slug, clean water, laminar, no film left behind (a fast slug on a
wetted wall loses some centimetres of its length in each metre), no inertia (in a 4.6 mm bore a slug takes
d^2 rho / (32 mu), about half a second, to get going).

As a link of the network (kind "slug", beside tubes and holes): its row of sizes is what `slug_flow` takes,
(forward_pa, backward_pa, conductance, smooth_pa), in the middle of the line whose low point it fills; the
line's own resistance is next to nothing beside it. Its flow is the air that the moving slug pushes before
it, and its slopes are continuous, so an implicit step can use them. How far it has gone is the integral of
`slug_speed`; once that reaches a chamber, a sump or a drain, `left_in_line` says what remains, and the link
is the tube again. Below the threshold the slug is a piston on a spring, which the dead band leaves out: it
shifts a little and passes on 1 / (1 + x) of a change, x = `head_per_volume` times V / p of the case behind,
about a quarter for upright legs of 4.6 mm before 0.25 l.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import G0, R_AIR, T0
from ramstill.air.manometer import water_density
from ramstill.pneumatics.wet import surface_tension, water_viscosity

FloatArray = NDArray[np.float64]

# Water on the plastics and metals of lines, used and not quite clean: assumed.
ADVANCING_RAD = np.radians(75.0)
RECEDING_RAD = np.radians(40.0)

# Above this (density x gravity x radius^2 / surface tension) air rises past water in an upright tube:
# F. P. Bretherton, J. Fluid Mech. 10 (1961) 166, from memory.
_PLUG_BOND = 0.842


class SlugFlow(NamedTuple):
    """Mass flow of air from a to b [kg/s] and its slopes by either pressure [kg/(s Pa)]."""

    flow: FloatArray
    by_pa: FloatArray
    by_pb: FloatArray


def slug_length(water_m3: ArrayLike, bore_m: ArrayLike) -> FloatArray:
    """Length [m] of the slug that a volume of water [m3] makes in a bore [m]."""
    return np.asarray(_zero_or_more(water_m3) / (np.pi / 4.0 * _positive(bore_m) ** 2))


def largest_plug_bore(temperature_k: ArrayLike = T0) -> FloatArray:
    """Widest bore [m] in which water stands as a plug in an upright tube, about 5 mm.

    In wider ones air bubbles up through it: the static head of the water still has to be overcome, but the
    water stays where it is. Source: Bretherton (1961).
    """
    weight = np.asarray(water_density(temperature_k)) * G0
    return np.asarray(2.0 * np.sqrt(_PLUG_BOND * surface_tension(temperature_k) / weight))


def static_threshold_pa(
    slug_length_m: ArrayLike, slope_rad: ArrayLike, temperature_k: ArrayLike = T0
) -> FloatArray:
    """Pressure difference [Pa] that holds a whole slug in a leg that rises at a slope: rho g l sin(slope).

    slug_length_m [m]; slope_rad: of the leg that the slug is pushed into, 0 level to pi/2 upright [rad].
    """
    slope = np.asarray(slope_rad, dtype=float)
    if not ((slope >= 0.0) & (slope <= np.pi / 2.0 + 1e-12)).all():
        raise ValueError("the slope must be from 0 to a right angle: the leg rises from the low point")
    head = np.asarray(water_density(temperature_k)) * G0 * _zero_or_more(slug_length_m)
    return np.asarray(head * np.sin(slope))


def rim_threshold_pa(
    bore_m: ArrayLike,
    temperature_k: ArrayLike = T0,
    advancing_rad: ArrayLike = ADVANCING_RAD,
    receding_rad: ArrayLike = RECEDING_RAD,
) -> FloatArray:
    """Pressure difference [Pa] that frees the rims of a slug from the wall, of any length.

    4 sigma (cos receding - cos advancing) / d. bore_m [m]; contact angles [rad], 0 <= receding <= advancing
    <= pi; the defaults are assumed. Raises ValueError otherwise.
    """
    forward, back = np.asarray(advancing_rad, dtype=float), np.asarray(receding_rad, dtype=float)
    if not ((back >= 0.0) & (back <= forward) & (forward <= np.pi)).all():
        raise ValueError("contact angles must be 0 <= receding <= advancing <= pi")
    grip = surface_tension(temperature_k) * (np.cos(back) - np.cos(forward))
    return np.asarray(4.0 * grip / _positive(bore_m))


def threshold_pa(
    bore_m: ArrayLike,
    slug_length_m: ArrayLike,
    slope_rad: ArrayLike,
    temperature_k: ArrayLike = T0,
    advancing_rad: ArrayLike = ADVANCING_RAD,
    receding_rad: ArrayLike = RECEDING_RAD,
) -> FloatArray:
    """Pressure difference [Pa] that moves a slug out of its low point, up a leg of a slope [rad].

    The static head and the grip of the rims together; 0 for no slug. Arguments as in `static_threshold_pa`
    and `rim_threshold_pa`.
    """
    length = _zero_or_more(slug_length_m)
    grip = rim_threshold_pa(bore_m, temperature_k, advancing_rad, receding_rad)
    return np.asarray(
        np.where(length > 0.0, static_threshold_pa(length, slope_rad, temperature_k) + grip, 0.0)
    )


def hole_threshold_pa(bore_m: ArrayLike, temperature_k: ArrayLike = T0) -> FloatArray:
    """Pressure difference [Pa] up to which a drain hole of a bore [m] holds water back: 4 sigma / d.

    The largest that a drop hanging from its rim can hold, whatever the contact angle: 0.3 kPa, 30 mm of
    water, in a hole of 1 mm.
    """
    return np.asarray(4.0 * surface_tension(temperature_k) / _positive(bore_m))


def head_per_volume(
    bore_m: ArrayLike, slope_a_rad: ArrayLike, slope_b_rad: ArrayLike, temperature_k: ArrayLike = T0
) -> FloatArray:
    """Static head [Pa] that a slug in its low point builds for each cubic metre it shifts [Pa/m3].

    It falls in the one leg and rises in the other: rho g (sin a + sin b) / area.
    """
    legs = static_threshold_pa(1.0, slope_a_rad, temperature_k) + static_threshold_pa(
        1.0, slope_b_rad, temperature_k
    )
    return np.asarray(legs / (np.pi / 4.0 * _positive(bore_m) ** 2))


def slug_conductance(
    bore_m: ArrayLike, slug_length_m: ArrayLike, temperature_k: ArrayLike = T0
) -> FloatArray:
    """Air pushed on by a slug [kg/(s Pa2)], for each pascal beyond the threshold and each of mean pressure.

    A slug at speed u drags 32 mu l u / d^2 (Poiseuille, mu of water) and moves u A p / (R T) of air. bore_m,
    slug_length_m above zero [m]; temperature_k: of water and air [K].
    """
    bore, length = _positive(bore_m), _positive(slug_length_m)
    speed = bore**2 / (32.0 * water_viscosity(temperature_k) * length)
    return np.asarray(speed * np.pi / 4.0 * bore**2 / (R_AIR * np.asarray(temperature_k, dtype=float)))


def slug_flow(
    pa: ArrayLike,
    pb: ArrayLike,
    forward_pa: ArrayLike,
    backward_pa: ArrayLike,
    conductance: ArrayLike,
    smooth_pa: ArrayLike = 1.0,
) -> SlugFlow:
    """Air that a slug lets by from a to b [kg/s], and the slopes: a dead band, then a straight line.

    pa, pb [Pa]; forward_pa, backward_pa: thresholds from a to b and from b to a [Pa], of `threshold_pa`
    with the slope of the leg on that side; conductance: of `slug_conductance` [kg/(s Pa2)]; smooth_pa: over
    how much beyond the threshold the line bends in [Pa], above zero: the flow lags the sharp law by half of
    it. Nothing flows within the band, exactly; value and slopes are continuous everywhere. Arrays are
    broadcast.
    """
    a, b = np.asarray(pa, dtype=float), np.asarray(pb, dtype=float)
    bend = _positive(smooth_pa)
    onward = a >= b
    threshold = np.where(onward, _zero_or_more(forward_pa), _zero_or_more(backward_pa))
    beyond = np.maximum(np.abs(a - b) - threshold, 0.0)
    drive = np.where(beyond < bend, beyond**2 / (2.0 * bend), beyond - bend / 2.0)
    slope = np.minimum(beyond / bend, 1.0)
    k, mean = np.asarray(conductance, dtype=float), 0.5 * (a + b)
    flow = np.where(onward, 1.0, -1.0) * k * mean * drive
    by_mean, by_difference = 0.5 * np.where(onward, 1.0, -1.0) * k * drive, k * mean * slope
    return SlugFlow(
        np.asarray(flow), np.asarray(by_mean + by_difference), np.asarray(by_mean - by_difference)
    )


def slug_speed(
    flow_kg_s: ArrayLike, mean_pressure_pa: ArrayLike, bore_m: ArrayLike, temperature_k: ArrayLike = T0
) -> FloatArray:
    """Speed [m/s] of a slug from a to b, from the flow that `slug_flow` gives at a mean pressure [Pa]."""
    volume = np.asarray(flow_kg_s, dtype=float) * R_AIR * np.asarray(temperature_k, dtype=float)
    return np.asarray(volume / _positive(mean_pressure_pa) / (np.pi / 4.0 * _positive(bore_m) ** 2))


def left_in_line(water_m3: ArrayLike, sump_room_m3: ArrayLike) -> FloatArray:
    """Water that stays in the line [m3] when a sump with room for some [m3] has taken what it can."""
    return np.asarray(np.maximum(_zero_or_more(water_m3) - _zero_or_more(sump_room_m3), 0.0))


def _positive(size: ArrayLike) -> FloatArray:
    found = np.asarray(size, dtype=float)
    if not (np.isfinite(found).all() and (found > 0.0).all()):
        raise ValueError("bores, lengths and pressures must be above zero, and finite")
    return found


def _zero_or_more(size: ArrayLike) -> FloatArray:
    found = np.asarray(size, dtype=float)
    if not (np.isfinite(found).all() and (found >= 0.0).all()):
        raise ValueError("volumes, lengths and thresholds must be zero or more, and finite")
    return found
