"""Places in the flat arrays that the compiled filter takes; `_filter.go_through` says what they are for.

Compiled code takes these numbers in for good: its cache is kept as long as no file changes that says jit
"""

# States: what the true flight, the air inside and the surroundings are beyond the reference [SI].
HEIGHT, CLIMB, SPEED, SPEEDING = 0, 1, 2, 3  # pressure altitude, its rate, calibrated airspeed, its rate
ALTIMETER_STATIC, AIRSPEED_STATIC, AIRSPEED_PITOT, RATE = 4, 5, 6, 7  # [Pa], and what the rate pointer adds
WIND_NORTH, WIND_EAST, GUST = 8, 9, 10
GPS_OFFSET, GPS_STRETCH, PORT, RATE_ZERO, PITCH_ZERO, POWER_ZERO, COMPASS = 11, 12, 13, 14, 15, 16, 17
OFF = 18  # three more: how far altimeter, airspeed and rate pointers wander off by themselves
CABIN = 21  # error of the pressure coefficient of the cabin and the wing bay
# Errors of scale, as shares: of airspeed and rate pointers, and of true over calibrated airspeed.
AIRSPEED_SCALE, RATE_SCALE, TAS_SCALE = 22, 23, 24
QUICK = 25  # three more: what of these pointers' errors comes and goes within seconds
SHEAR_NORTH, SHEAR_EAST = 28, 29  # how wind grows with height [m/s per km]
LATE = 30  # three more: by how much these pointers are later than they should be [s]
OWN = 33  # KINDS more: how much this airplane has of what others of its type may differ by
KINDS = 4
STATES = OWN + KINDS

# Columns of the reference flight.
(
    RHO_G,
    HEIGHT_REF,
    CLIMB_REF,
    SPEED_REF,
    RAM_SLOPE,
    IMPACT,
    TAS_RATIO,
    NORTH,
    EAST,
    TAS,
    ANGLE_SLOPE,
    EXCESS,
    EXCESS_SLOPE,
    SLOWEST,
    FASTEST,
    WIND_STEP,
    GPS_STEP,
    SHEAR_STEP,
) = range(18)
DIFFERENT = 18  # 3 for each of the kinds: what altimeter, airspeed and rate pointers make of it
REFERENCE = DIFFERENT + 3 * KINDS

# Readings.
ALTITUDE, AIRSPEED, VERTICAL, ALONG, ACROSS, GPS_ALTITUDE, PITCH, POWER = range(8)
READINGS = 8

# Columns of what the instruments show.
SHOWN_ALTITUDE, SHOWN_AIRSPEED, SHOWN_RATE, ALTITUDE_PER_PA, AIRSPEED_PER_PA, UNSURE = range(6)
LASTING = UNSURE + 3
SHOWN = LASTING + 3  # three each: variance of what is shown, coming and going, and once for all

# How the air inside follows that outside: share of a change of static and of impact pressure, and what is
# left of an old difference after a knot; then the same of the rate pointer.
(A_STATIC, A_IMPACT, A_LEFT, S_STATIC, S_IMPACT, S_LEFT, P_STATIC, P_IMPACT, P_LEFT, R_SHARE, R_LEFT) = range(
    11
)
# What gets there of a change of the pressure inside the airplane, and what the rate pointer makes of it.
A_CABIN, S_CABIN, P_CABIN, R_CABIN = range(11, 15)
MANNERS = 15

# Noise, see model.py.
(
    KNOT_S,
    CLIMB_STEADY,
    CLIMB_CHANGING,
    SPEED_STEADY,
    SPEED_CHANGING,
    CHANGING,
    SPEEDING_LEFT,
    GUST_SD,
    GUST_LEFT,
    OFF_STEP_ALTITUDE,
    OFF_STEP_AIRSPEED,
    OFF_STEP_RATE,
    OFF_LEFT_ALTITUDE,
    OFF_LEFT_AIRSPEED,
    OFF_LEFT_RATE,
    SPEED_ROLLING,
    PITCH_LEFT,
    PITCH_STEP,
    POWER_LEFT,
    POWER_STEP,
    DOF,
    T_CONSTANT,
    QUICK_LEFT,
    QUICK_STEP_ALTITUDE,
    QUICK_STEP_AIRSPEED,
    QUICK_STEP_RATE,
) = range(26)
NOISE = 26

SLOWEST_FELT = 12.0  # [m/s]: slower, a pressure says little of the airspeed
