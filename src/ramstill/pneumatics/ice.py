"""Ice that grows on a probe in cloud and closes its holes, and heat that keeps it off or melts it.

Growth: dM/dt = a1 a2 a3 w A V of ISO 12494:2001 (Atmospheric icing of structures): liquid water w, airspeed
V and frontal area A, with the shares of it that hit (a1), stick (a2, 1 for cloud droplets) and freeze (a3).
a1: K. J. Finstad, E. P. Lozowski, E. M. Gates, J. Atmos. Oceanic Technol. 5 (1988) 160 (coefficients seen in
three public codes that name it, not in print). a3: the freezing fraction of the heat balance of B. L.
Messinger, J. Aeronaut. Sci. 20 (1953) 29 (equations and table seen in a public review of the preprint of
1951). Heat from a heater is one more gain in it; where nothing freezes the surplus melts what is there.

Assumed: the front of a round probe stands for a cylinder across the stream; the cloud is saturated; ice on
the rim of a hole grows inwards as fast as forwards; the probe's size stays that of the bare one; ice that
melts goes at once, none is shed before; no sublimation in clear air (hours), no ice crystals, no freezing
rain. A training and planning aid: it says nothing about any real heater's approval.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import CP_AIR, P0
from ramstill.air.gas import density, thermal_conductivity, viscosity
from ramstill.pneumatics.wet import (
    DROPLET_DENSITY,
    EVAPORATION,
    FREEZING_K,
    FUSION,
    ICE_DENSITY,
    ICE_HEAT,
    SUBLIMATION,
    VAPOUR_RATIO,
    WATER_HEAT,
    vapour_pressure,
    vapour_pressure_over_ice,
    vapour_slope_over_ice,
)

FloatArray = NDArray[np.float64]

HEATED_LENGTH_M = 0.12  # of the probe that a heater warms; assumed
_RECOVERY = (
    0.85  # share of the dynamic heating that a wetted front feels: root of the Prandtl number, laminar
)
_LEWIS = 1.12  # (Prandtl / Schmidt)^(2/3) of water vapour in air: NACA TR 831 as quoted in the review
_BELOW_AIR_K = 60.0  # colder than the air by more than this the surface cannot be
_ROUNDS, _CLOSE_K, _NO_HEAT = 50, 1e-10, 1e-100


def collision_efficiency(
    true_airspeed_m_s: ArrayLike,
    droplet_m: ArrayLike,
    diameter_m: ArrayLike,
    temperature_k: ArrayLike = FREEZING_K,
    pressure_pa: ArrayLike = P0,
) -> FloatArray:
    """Share [-] of the droplets in the way of a cylinder that hit it, 0 to 1.

    droplet_m: median volume diameter of the droplets [m]; diameter_m: of the cylinder [m]. Finstad, Lozowski
    and Gates (1988), whose fit is cut off at 0.01 (below it nothing is counted).
    """
    v, d, size = (np.asarray(x, dtype=float) for x in (true_airspeed_m_s, droplet_m, diameter_m))
    mu = np.asarray(viscosity(temperature_k))
    k = np.maximum(DROPLET_DENSITY * d**2 * v / (9.0 * mu * size), 1e-12)
    phi = (np.asarray(density(pressure_pa, temperature_k)) * d * v / mu) ** 2 / k
    a = 1.066 * k**-0.00616 * np.exp(-1.103 * k**-0.688)
    b = 3.641 * k**-0.498 * np.exp(-1.497 * k**-0.694)
    c = 0.00637 * np.maximum(phi - 100.0, 0.0) ** 0.381
    share = a - 0.028 - c * (b - 0.0454)
    return np.asarray(np.where(share > 0.01, np.minimum(share, 1.0), 0.0))


def heat_transfer(
    true_airspeed_m_s: ArrayLike, diameter_m: ArrayLike, temperature_k: ArrayLike, pressure_pa: ArrayLike = P0
) -> FloatArray:
    """Heat carried off a cylinder across the stream [W/(m2 K)]: Nu = 0.24 Re^0.6.

    W. H. McAdams, Heat Transmission (from memory); it is what the review used to repeat Messinger's table.
    """
    v, size = np.asarray(true_airspeed_m_s, dtype=float), np.asarray(diameter_m, dtype=float)
    reynolds = (
        np.asarray(density(pressure_pa, temperature_k)) * v * size / np.asarray(viscosity(temperature_k))
    )
    return np.asarray(0.24 * reynolds**0.6 * np.asarray(thermal_conductivity(temperature_k)) / size)


def heat_flux(
    heater_power_w: ArrayLike, probe_diameter_m: ArrayLike, heated_length_m: ArrayLike = HEATED_LENGTH_M
) -> FloatArray:
    """Heat through each square metre of a heated round probe's surface [W/m2], spread evenly."""
    area = np.pi * np.asarray(probe_diameter_m, dtype=float) * np.asarray(heated_length_m, dtype=float)
    return np.asarray(np.asarray(heater_power_w, dtype=float) / area)


def surplus_cold(
    catch_kg_m2_s: ArrayLike,
    true_airspeed_m_s: ArrayLike,
    temperature_k: ArrayLike,
    transfer_w_m2_k: ArrayLike,
    heat_w_m2: ArrayLike = 0.0,
    pressure_pa: ArrayLike = P0,
    surface_k: ArrayLike = FREEZING_K,
) -> FloatArray:
    """Heat that a wet front loses less what it gains, freezing apart [W/m2]; below zero it melts ice.

    Losses: convection, evaporation into saturated air, warming the droplets; gains: friction, the droplets'
    own speed, a heater. At 0 degC, over `FUSION`, it is the mass of water frozen [kg/(m2 s)] (Messinger
    1953). catch_kg_m2_s: water that hits; transfer_w_m2_k: of `heat_transfer`.
    """
    catch, v, air_k, h, heat, p, ts = (
        np.asarray(x, dtype=float)
        for x in (
            catch_kg_m2_s,
            true_airspeed_m_s,
            temperature_k,
            transfer_w_m2_k,
            heat_w_m2,
            pressure_pa,
            surface_k,
        )
    )
    wet = ts >= FREEZING_K
    over = np.where(wet, vapour_pressure(ts), vapour_pressure_over_ice(ts)) - vapour_pressure(air_k)
    latent = np.where(wet, EVAPORATION, SUBLIMATION)
    evaporating = _per_vapour(h, p) * latent * over
    warming = catch * (WATER_HEAT * (FREEZING_K - air_k) + ICE_HEAT * np.minimum(ts - FREEZING_K, 0.0))
    friction = h * _RECOVERY * v**2 / (2.0 * CP_AIR) + catch * v**2 / 2.0
    return np.asarray(h * (ts - air_k) + evaporating + warming - friction - heat)


def _per_vapour(transfer_w_m2_k: FloatArray, pressure_pa: FloatArray) -> FloatArray:
    """Water that goes off [kg/(m2 s)] for each pascal of vapour pressure above that of the air."""
    return np.asarray(transfer_w_m2_k * VAPOUR_RATIO * _LEWIS / (CP_AIR * pressure_pa))


def freezing_fraction(
    catch_kg_m2_s: ArrayLike,
    true_airspeed_m_s: ArrayLike,
    temperature_k: ArrayLike,
    transfer_w_m2_k: ArrayLike,
    heat_w_m2: ArrayLike = 0.0,
    pressure_pa: ArrayLike = P0,
) -> FloatArray:
    """Share of the water caught that freezes where it hits, 0 to 1 [-]; 0 where nothing is caught."""
    catch = np.asarray(catch_kg_m2_s, dtype=float)
    cold = surplus_cold(catch, true_airspeed_m_s, temperature_k, transfer_w_m2_k, heat_w_m2, pressure_pa)
    return np.asarray(
        np.where(catch > 0.0, np.clip(cold / np.maximum(catch * FUSION, 1e-300), 0.0, 1.0), 0.0)
    )


def surface_temperature(
    catch_kg_m2_s: ArrayLike,
    true_airspeed_m_s: ArrayLike,
    temperature_k: ArrayLike,
    transfer_w_m2_k: ArrayLike,
    heat_w_m2: ArrayLike = 0.0,
    pressure_pa: ArrayLike = P0,
) -> FloatArray:
    """Temperature [K] of the icing front, at most 0 degC: it balances the heat when all the water freezes."""
    catch, air_k = np.asarray(catch_kg_m2_s, dtype=float), np.asarray(temperature_k, dtype=float)
    h, p = np.asarray(transfer_w_m2_k, dtype=float), np.asarray(pressure_pa, dtype=float)
    rest = (true_airspeed_m_s, air_k, h, heat_w_m2, p)
    shape = np.broadcast_shapes(catch.shape, *(np.shape(x) for x in rest))
    lowest = FREEZING_K - _BELOW_AIR_K + np.minimum(air_k - FREEZING_K, 0.0)
    # What is lost beyond what all the water gives off in freezing, at the lowest temperature; above it this
    # grows straight and with the vapour pressure, bending up: Newton's method from above does not overshoot.
    too_much = surplus_cold(catch, *rest, surface_k=lowest) - catch * FUSION
    straight, curved = h + catch * ICE_HEAT, _per_vapour(h, p) * SUBLIMATION
    there = vapour_pressure_over_ice(lowest)
    surface = np.full(shape, FREEZING_K)
    for _ in range(_ROUNDS):
        over = vapour_pressure_over_ice(surface)
        excess = too_much + straight * (surface - lowest) + curved * (over - there)
        move = excess / np.maximum(straight + curved * vapour_slope_over_ice(surface), _NO_HEAT)
        before, surface = surface, np.clip(surface - move, lowest, FREEZING_K)
        if (np.abs(surface - before) < _CLOSE_K).all():
            break
    return np.asarray(surface)


def ice_density(
    true_airspeed_m_s: ArrayLike, droplet_m: ArrayLike, surface_temperature_k: ArrayLike
) -> FloatArray:
    """Density of the ice [kg/m3]: 110 (r V / -t)^0.76, at most 917, with r in micrometres, t in degC.

    W. C. Macklin, Q. J. R. Meteorol. Soc. 88 (1962) 30, from memory; droplets taken to hit at full airspeed.
    Rime at airplane speeds is nearly solid by it; never taken below 100.
    """
    below = np.maximum(FREEZING_K - np.asarray(surface_temperature_k, dtype=float), 1e-3)
    radius_um = np.asarray(droplet_m, dtype=float) / 2.0 * 1e6
    grown = 110.0 * (radius_um * np.asarray(true_airspeed_m_s, dtype=float) / below) ** 0.76
    return np.asarray(np.clip(grown, 100.0, ICE_DENSITY))


def growth_rate(
    true_airspeed_m_s: ArrayLike,
    temperature_k: ArrayLike,
    liquid_water_kg_m3: ArrayLike,
    droplet_m: ArrayLike,
    probe_diameter_m: ArrayLike,
    heater_power_w: ArrayLike = 0.0,
    pressure_pa: ArrayLike = P0,
    heated_length_m: float = HEATED_LENGTH_M,
    catch_share: ArrayLike = 1.0,
) -> FloatArray:
    """Net mass of ice grown on each square metre of a probe's front [kg/(m2 s)]; below zero it melts.

    Times frontal area it is dM/dt [kg/s]. true_airspeed_m_s [m/s]; temperature_k: of the outside air [K];
    liquid_water_kg_m3 [kg/m3], 0 outside cloud (0.5 g/m3 is 5e-4); droplet_m: median volume diameter [m];
    probe_diameter_m [m]; heater_power_w [W], given off evenly over `heated_length_m` of the probe's surface;
    pressure_pa: of the outside air [Pa]. catch_share [-]: 1 at the front; less where the stream runs along
    the surface, such as a flush static port (a figure of the caller's own: assumed). All arrays are
    broadcast. Raises ValueError for what cannot be: negative water, speed or power, sizes that are not above
    zero.
    """
    v, air_k, water, droplet, size, power, p, share = (
        np.asarray(x, dtype=float)
        for x in (
            true_airspeed_m_s,
            temperature_k,
            liquid_water_kg_m3,
            droplet_m,
            probe_diameter_m,
            heater_power_w,
            pressure_pa,
            catch_share,
        )
    )
    _check((v, water, power, share), (air_k, droplet, size, p, np.asarray(heated_length_m)))
    catch = share * collision_efficiency(v, droplet, size, air_k, p) * water * v
    heat = heat_flux(power, size, heated_length_m)
    cold = surplus_cold(catch, v, air_k, heat_transfer(v, size, air_k, p), heat, p)
    # One rule for all three states: wet or dry growth, at most all that is caught; below zero, melting.
    return np.asarray(np.minimum(catch, cold / FUSION))


def ice_thickness(
    time_s: ArrayLike, growth_kg_m2_s: ArrayLike, density_kg_m3: ArrayLike = ICE_DENSITY, start_m: float = 0.0
) -> FloatArray:
    """Thickness of the ice over time [m], (k,), never below zero; the growth is linear between the times [s].

    growth_kg_m2_s, density_kg_m3: one number each or (k,). ValueError for times that fall or a start below 0.
    """
    time = np.asarray(time_s, dtype=float)
    if time.ndim != 1 or not np.isfinite(time).all() or (np.diff(time) < 0.0).any():
        raise ValueError("times must be a row that never falls")
    rate = np.broadcast_to(np.asarray(growth_kg_m2_s, dtype=float) / np.asarray(density_kg_m3), time.shape)
    added = 0.5 * (rate[1:] + rate[:-1]) * np.diff(time)
    if start_m < 0.0:
        raise ValueError("the thickness to start with must be zero or more")
    # What has summed up, lifted by the deepest that it would have gone below zero: a wall at zero thickness.
    summed = start_m + np.concatenate([[0.0], np.cumsum(added)])[: len(time)]
    return np.asarray(summed - np.minimum(np.minimum.accumulate(summed), 0.0))


def open_share(
    time_s: ArrayLike,
    true_airspeed_m_s: ArrayLike,
    temperature_k: ArrayLike,
    liquid_water_kg_m3: ArrayLike,
    droplet_m: ArrayLike,
    heater_power_w: ArrayLike,
    bore_m: float,
    probe_diameter_m: float,
    pressure_pa: ArrayLike = P0,
    heated_length_m: float = HEATED_LENGTH_M,
    catch_share: float = 1.0,
    start_m: float = 0.0,
) -> FloatArray:
    """Open share of a hole's area over time, (k,), 1 clear to 0 closed, with ice growing in from its rim.

    time_s: (k,) [s]; the others as in `growth_rate`, each one number or (k,); bore_m: of the hole [m];
    start_m: ice already there [m]. Ice as thick as half the bore closes it; what grows on it afterwards has
    to melt first. Raises ValueError as `growth_rate` and `ice_thickness` do.
    """
    if not (np.isfinite(bore_m) and bore_m > 0.0):
        raise ValueError("the bore must be above zero")
    rate = growth_rate(
        true_airspeed_m_s,
        temperature_k,
        liquid_water_kg_m3,
        droplet_m,
        probe_diameter_m,
        heater_power_w,
        pressure_pa,
        heated_length_m,
        catch_share,
    )
    frozen = np.maximum(rate, 0.0)
    transfer = heat_transfer(true_airspeed_m_s, probe_diameter_m, temperature_k, pressure_pa)
    heat = heat_flux(heater_power_w, probe_diameter_m, heated_length_m)
    front = surface_temperature(frozen, true_airspeed_m_s, temperature_k, transfer, heat, pressure_pa)
    dense = np.where(rate > 0.0, ice_density(true_airspeed_m_s, droplet_m, front), ICE_DENSITY)
    thickness = ice_thickness(time_s, rate, dense, start_m)
    return np.asarray(np.clip(1.0 - 2.0 * thickness / bore_m, 0.0, 1.0) ** 2)


def _check(not_negative: tuple[FloatArray, ...], positive: tuple[FloatArray, ...]) -> None:
    if not all(np.isfinite(x).all() and (x >= 0.0).all() for x in not_negative):
        raise ValueError("airspeed, liquid water, heater power and catch must be zero or more, and finite")
    if not all(np.isfinite(x).all() and (x > 0.0).all() for x in positive):
        raise ValueError("temperature, droplets, probe and pressure must be above zero, and finite")
