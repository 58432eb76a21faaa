"""Whatever can be sent to the live server, by Hypothesis: right, spoilt, odd, huge, and no message at all."""

import json
from typing import Any

from hypothesis import strategies as st

from ramstill import airplane

PLANE = "high-wing-tube"

# Words that are known, so that much of what is sent is understood, at the wrong time.
FAULT_NAMES = ("pitot-inlet-blocked", "static-ports-blocked", "pitot-icing", "vsi-glass-broken")
FAULTS = st.sampled_from(FAULT_NAMES)
ANSWERS = st.sampled_from(["none", "unsure", "pitot-inlet-blocked", "no such thing"])
PLACES = st.sampled_from([None, *(part.name for part in airplane.load(PLANE).openings), "nowhere"])
LAID = st.sampled_from([f"f{n}" for n in range(1, 12)])
TIMES = st.sampled_from([None, -5.0, 0.0, 0.3, 7.0, 1e6]) | st.floats(-10.0, 40.0)
SHARES = st.sampled_from([0.0, 1.0]) | st.floats(0.0, 1.0)
IDS = st.none() | st.integers(0, 99) | st.text(max_size=5)
NUMBERS = st.sampled_from([0.0, -1.0, 1e308, 1e-308]) | st.floats(-3e3, 3e4)

FAULT = st.fixed_dictionaries(
    {"name": FAULTS},
    optional={
        "where": PLACES,
        "severity": SHARES,
        "size": st.sampled_from(["1 mm", "3", "10 kPa", "x"]),
        "onset_s": TIMES,
        "end_s": TIMES,
        "gradual_s": st.floats(0.0, 30.0),
    },
)
START = st.dictionaries(st.sampled_from(["altitude_ft", "speed_kt", "elevation_ft", "setting_inhg"]), NUMBERS)


def _said(do: str, **fields: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({"do": st.just(do), "id": IDS, **fields})


LEVERS = st.dictionaries(
    st.sampled_from(["speed_kt", "climb_fpm", "altitude_ft", "flap", "gear", "power", "setting_inhg"]),
    NUMBERS | SHARES,
)
OPENINGS = st.sampled_from([part.name for part in airplane.load(PLANE).openings] + ["nowhere"])
BENCH = st.one_of(
    LEVERS.map(lambda moved: {"do": "levers", **moved}),
    FAULT.map(lambda fault: {"do": "fault", **fault}),
    _said("fault", name=FAULTS, at_altitude_ft=NUMBERS),
    _said("move_fault", fault=LAID, onset_s=TIMES, end_s=TIMES),
    _said("lift", fault=LAID),
    _said("drop", fault=LAID),
    _said("press", opening=OPENINGS, how=st.sampled_from(["blow", "pull", "finger", "free"]), inh2o=SHARES),
    _said("heat", on=st.booleans()),
    _said("alternate", open=st.booleans()),
    _said("run", on=st.booleans()),
    _said("pace", times=st.sampled_from([0.25, 1.0, 60.0, 61.0])),
    _said("step", seconds=st.floats(0.0, 3.0)),
    _said("rewind", to_s=TIMES),
    _said("branch", branch=st.sampled_from(["1", "2", "3", "40"])),
    _said("class", open=st.booleans()),
    _said(
        "give",
        seat=st.sampled_from(["all", "s1", "s2", "s9"]),
        faults=st.just("bench") | st.lists(FAULT, max_size=3),
    ),
    _said("ask"),
    _said("reveal", what=st.sampled_from(["faults", "wall", "truth", "nothing"])),
    _said("hold", on=st.booleans()),
    _said("enter", key=st.text(max_size=9)),
)
SEAT = st.one_of(
    _said("call", fault=ANSWERS, since_s=TIMES, would_do=st.text(max_size=400)),
    _said("recall"),
    _said("pong"),
    _said("enter", token=st.text(max_size=9)),
)
SELDOM = st.one_of(  # what takes its time
    _said(
        "stage",
        airplane=st.sampled_from([PLANE, "no-such"]),
        mode=st.sampled_from(["levers", "ground", "x"]),
        start=START,
    ),
    _said("stage", scenario=st.sampled_from(["spring-afternoon", "../../etc/passwd"])),
    _said("stage", toml=st.sampled_from(["", "format = 1", "=", 'title = "x"\n' * 500])),
    _said("account", pointer=st.sampled_from(["airspeed", "altimeter", "nothing"])),
    _said("debrief"),
    _said("save", title=st.text(max_size=130)),
)

ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


def _spoilt(kind: st.SearchStrategy[dict[str, Any]]) -> st.SearchStrategy[str]:
    """A message that was right but for one field, or cut off somewhere, or said twice over."""

    def one(said: dict[str, Any], key: int, value: Any, cut: int, how: str) -> str:
        names = sorted(said)
        if how == "other":
            said = said | {names[key % len(names)]: value}
        elif how == "less":
            said = {name: said[name] for name in names if name != names[key % len(names)]}
        elif how == "more":
            said = said | {"__proto__": value}
        text = json.dumps(said)
        return {"cut": text[: cut % (len(text) + 1)], "twice": text + text}.get(how, text)

    ways = st.sampled_from(["other", "less", "more", "cut", "twice"])
    return st.builds(one, kind, st.integers(0, 9), ANY, st.integers(0, 99), ways)


ODD = st.one_of(
    st.sampled_from(
        [
            "",
            "null",
            "[]",
            "{}",
            '"',
            "\ufeff{}",
            '{"do":',
            '{"do":"run","on":NaN}',
            '{"do":"step","seconds":1e999}',
            '{"do":"pace","times":-Infinity}',
            '{"do":"run","do":"drop"}',
            '{"do":{"do":"run"}}',
            "[" * 2000,
            '{"a":' * 2000,
            '{"do":"run","id":"' + "9" * 41 + '"}',
            '{"do":"run","id":' + "9" * 400 + "}",
            '{"do":"\\ud800"}',
            "\x00",
            '{"do":"call","fault":"\\u0000"}',
            '{"do":"recall","id":true}',
        ]
    ),
    st.text(max_size=60),
    ANY.map(json.dumps),
)


def _huge(size: int, what: str) -> str | bytes:
    text = "x" * size
    return {"bytes": text.encode(), "text": text, "json": json.dumps({"do": text})}[what]


HUGE = st.builds(
    _huge,
    st.sampled_from([2048, 2049, 16_384, 16_385, 70_000]),
    st.sampled_from(["bytes", "text", "json"]),
)


def _of(kind: st.SearchStrategy[dict[str, Any]]) -> st.SearchStrategy[str | bytes]:
    right = kind.map(json.dumps)
    return st.one_of(right, right, right, _spoilt(kind), _spoilt(kind), ODD, HUGE)


WS_HEADS = st.sampled_from(
    [
        b"\x81\x00",
        b"\x81\xfe\xff\xff",
        b"\x81\xff" + b"\x7f" * 8,
        b"\x80\x80",
        b"\x83\x80",
        b"\xf1\x80",
        b"\x88\x82\x00\x00\x00\x00\x00\x01",
        b"\x89\xfe\x00\xff",
        b"\x01\x81\x00\x00\x00\x00\xff",
    ]
)
RAW = st.one_of(
    st.binary(max_size=80),
    st.builds(lambda head, rest: ("ws", head + rest), WS_HEADS, st.binary(max_size=40)),
    st.sampled_from(
        [
            b"GET / HTTP/1.1\r\n\r\n",
            b"GET / HTTP/9.9\r\nHost: x\r\n\r\n",
            b"POST /join HTTP/1.1\r\nContent-Length: -1\r\n\r\n",
            b"GET /" + b"a" * 30_000,
            b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 3000,
            b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
            b"\x16\x03\x01\x02\x00",
        ]
    ),
)
JOIN = st.fixed_dictionaries(
    {
        "body": st.binary(max_size=60)
        | ANY.map(lambda v: json.dumps(v).encode())
        | st.builds(
            lambda w, n: json.dumps({"word": w, "name": n}).encode(),
            st.text(max_size=90),
            st.text(max_size=220),
        )
        | st.sampled_from([b"x" * 1024, b"x" * 1025, b"{" * 60_000]),
        "method": st.sampled_from(["POST", "POST", "PUT", "GET", "BREW"]),
        "headers": st.sampled_from(
            [{}, {"Content-Type": "text/plain"}, {"Expect": "100-continue"}, {"Origin": "null"}]
        ),
    }
)

WHO = {
    "bench": _of(BENCH),
    "seat": _of(SEAT),
    "stranger-bench": _of(BENCH),
    "stranger-seat": _of(SEAT | BENCH),
    "raw": RAW,
    "join": JOIN,
}
