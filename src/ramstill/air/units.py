"""Trade units in SI: multiply by the constant to get SI, divide to come back."""

KT = 1852.0 / 3600.0  # knot [m/s]; international nautical mile, 1852 m
MPH = 1609.344 / 3600.0  # statute mile an hour [m/s]
KM_H = 1.0 / 3.6  # kilometre an hour [m/s]
FT = 0.3048  # foot [m]
INCH = 0.0254  # inch [m]
FPM = FT / 60.0  # foot a minute [m/s]
HPA = 100.0  # hectopascal [Pa]
INHG = 3386.389  # conventional inch of mercury at 0 degC [Pa], NIST SP 811 appendix B.8 (3.386 389 E+03)
LITRE = 1e-3  # litre [m3]
CELSIUS_ZERO = 273.15  # 0 degC [K]
NMI = 1852.0  # international nautical mile [m]
POUND = 0.45359237  # avoirdupois pound [kg]
POUND_FORCE_PER_POUND = 9.80665  # weight of a unit of mass under standard gravity [m/s2]
