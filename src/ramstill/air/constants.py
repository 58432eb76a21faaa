"""Constants of air and of the standard day: one place for each.

ICAO Doc 7488/3 (1993), table A and section 2.1, except where another source stands beside the value.
"""

G0 = 9.80665  # standard gravity [m/s2]
R_AIR = 287.05287  # specific gas constant of dry air [J/(kg K)]
GAMMA = 1.4  # ratio of specific heats [-]
P0 = 101325.0  # standard sea-level pressure [Pa]
T0 = 288.15  # standard sea-level temperature [K]
RHO0 = P0 / (R_AIR * T0)  # standard sea-level density [kg/m3]
A0 = (GAMMA * R_AIR * T0) ** 0.5  # standard sea-level speed of sound [m/s]
EARTH_RADIUS = 6356766.0  # nominal earth radius, geometric <-> geopotential height [m]
SUTHERLAND_BETA = 1.458e-6  # Sutherland's coefficient [kg/(m s K^0.5)]
SUTHERLAND_S = 110.4  # Sutherland's temperature [K]
CP_AIR = GAMMA * R_AIR / (GAMMA - 1.0)  # specific heat at constant pressure [J/(kg K)]
CV_AIR = R_AIR / (GAMMA - 1.0)  # specific heat at constant volume [J/(kg K)]
# Thermal conductivity k = CONDUCTIVITY_B T^1.5 / (T + CONDUCTIVITY_S 10^(-CONDUCTIVITY_C/T)); Doc 7488 as the
# library `ambiance` has it. US Standard Atmosphere 1976, equation 53, has 2.64638e-3, 0.07 % less
CONDUCTIVITY_B = 2.648151e-3  # [W/(m K^1.5)]
CONDUCTIVITY_S = 245.4  # [K]
CONDUCTIVITY_C = 12.0  # [K]
