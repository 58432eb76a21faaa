"""A class of our own invention, on a flight that the engine flies in a second."""

from ramstill.faults import Fault
from ramstill.live.record import Call, ClassRecord, Panel, Reveal, Round, Seat

BLOCKED = Fault("pitot-inlet-blocked", onset_s=180.0)
SHUT = Fault("static-ports-blocked", onset_s=170.0)
FLIGHT = """
format = 1
title = "A spring afternoon, cut short"
airplane = "low-wing-mast"
[day]
sea_level_pressure = "1019 hPa"
[flight]
field_elevation = "420 ft"
[[flight.leg]]
kind = "take-off"
to = "900 ft"
[[flight.leg]]
kind = "climb"
to = "3200 ft"
[[flight.leg]]
kind = "level"
speed = "95 kt"
duration = "60 s"
"""
BENCH_FAULT = """
[[fault]]
name = "pitot-inlet-blocked"
onset = "180 s"
"""
NAMES = ("Ines", "Tomasz", "", "Adaeze", "Bo <b>Lind</b>", "", "Quirin")
SEATS = tuple(Seat(f"s{n}", name, 100.0 + n) for n, name in enumerate(NAMES))
ASKED_S, CLOSED_S = 150.0, 280.0


def call(seat: int, at_s: float, fault: str | None, since_s: float | None = None, would_do: str = "") -> Call:
    return Call(f"s{seat}", 1000.0 + at_s, at_s, fault, since_s, would_do)


CALLS = (
    call(1, 160.0, "none"),
    call(4, 165.0, "none"),
    call(0, 205.0, "vsi-restrictor-plugged", 200.0, "Tap the glass"),
    call(0, 232.0, "pitot-inlet-blocked", 185.0, "Pitch and power, pitot heat on, tell the tower"),
    call(1, 240.0, "cover-left-on", None, "Nothing to be done in the air"),
    call(2, 241.0, "static-ports-blocked", 190.0, "Open the alternate source"),
    call(3, 244.0, "unsure", 200.0),
    call(5, 246.0, "static-line-leak", 172.0, "Alternate static"),
    call(6, 250.0, "tee-plugged"),
    call(6, 251.0, None),
)
ROUND = Round(
    number=1,
    asked_at=1000.0 + ASKED_S,
    asked_s=ASKED_S,
    closed_at=1000.0 + CLOSED_S,
    closed_s=CLOSED_S,
    scenario=FLIGHT + BENCH_FAULT,
    panels=(Panel((), (BLOCKED,)), Panel(("s5",), (SHUT,))),
    calls=CALLS,
    reveals=(Reveal("faults", 1000.0 + CLOSED_S, CLOSED_S),),
)
RECORD = ClassRecord(
    class_id="20300102-0900",
    title="A spring afternoon, cut short",
    airplane="low-wing-mast",
    opened_at=1893574800.0,
    closed_at=1893578400.0,
    seats=SEATS,
    rounds=(ROUND, Round(number=2, asked_at=2000.0, asked_s=10.0)),
)
