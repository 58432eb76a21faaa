"""What every check says, whatever it is about."""

FLY_FIRST = "Fly first, diagnose second."
IN_FLIGHT = (
    f"{FLY_FIRST} Only when the airplane is in hand, by pitch and power, clear of terrain, cloud and "
    "traffic; the handbook of the airplane comes before this."
)
VISUAL_ONLY = (
    "Only by day in visual conditions with the ground in sight and clearly below, and well inside the "
    "airplane's limits."
)
PARKED = f"{FLY_FIRST} On the ground: engine and propeller stopped and secured; no line is opened."
HEAT = (
    "Heed the placard's limits on how long the heat may be on without air over it; the probe gets hot enough "
    "to burn: come near with the back of the hand, never grip it."
)
SHOP_WORK = "Work for appropriately rated people with the manufacturer's manual and the local rules."
SHOP_RULE = f"{FLY_FIRST} {SHOP_WORK}"
TEST_SET = (
    "Pressure or suction comes from a test set that is connected to both sides, ram and still, and from "
    "nothing else."
)
OPENED = (
    "A static system that has been opened must be tested before flight under instrument rules "
    "(14 CFR 91.411(a)(2))."
)
