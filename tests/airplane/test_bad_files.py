"""Whatever is wrong with a file: one line with file, field, what was read and what is allowed."""

import copy
import datetime
from contextlib import suppress

import pytest
from changing import complaint, drop, put, rename
from hypothesis import given
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.airplane.reading import HANGAR
from ramstill.errors import InputError

GOOD = airplane.table("low-wing-mast")


LEAK = ("instrument", 2, "leak")
COEFFICIENT = ("opening", 0, "pressure_coefficient", "table", 0)
PITOT = 'line "pitot-wing": '
CASES = {
    "negative bore": (put("-4 mm", "line", 0, "bore"), PITOT + 'bore: read "-4 mm"; allowed: a number and'),
    "wrong unit": (
        put("4 kg", "line", 0, "bore"),
        PITOT + 'bore: read "4 kg"; allowed: a number and a unit of',
    ),
    "no unit": (
        put(4.6, "line", 0, "bore"),
        PITOT + "bore: read 4.6; allowed: a number and a unit of length",
    ),
    "misspelt key": (
        rename("bor", "line", 0, "bore"),
        PITOT + 'bor: read a key "bor" that is not known; allowed',
    ),
    "suggestion for it": (rename("bor", "line", 0, "bore"), "allowed: did you mean bore?"),
    "unknown table": (
        put({}, "wings"),
        'wings: read a key "wings" that is not known; allowed: did you mean wing?',
    ),
    "missing table": (drop("speeds"), "speeds: read nothing; allowed: this key, which has no default"),
    "missing name": (drop("line", 0, "name"), "line number 1: name: read nothing"),
    "line to nowhere": (
        put("pitot-rot", "line", 0, "to"),
        PITOT + 'to: read "pitot-rot"; allowed: did you mean pitot-root',
    ),
    "line to its start": (put("mast-ram", "line", 0, "to"), PITOT + 'to: read "mast-ram", where it starts'),
    "line to a case": (
        put("vertical-speed.case", "line", 9, "to"),
        'to: read "vertical-speed.case"; allowed: a fitting, or an instrument',
    ),
    "line too short": (
        put("0.5 m", "line", 0, "length"),
        PITOT + 'length: read "0.5 m"; allowed: 2.06 m or more',
    ),
    "way too long": (
        put("1.6 m", "line", 1, "length"),
        'line "pitot-cabin": via: read a way of 1.69 m; allowed',
    ),
    "way off the airplane": (
        put("2.3, 262, 0.92 m", "line", 0, "via"),
        PITOT + "via: read y = 262 m; allowed: -5.4 to 5.4 m",
    ),
    "way of one number": (put("12", "line", 0, "via"), PITOT + 'via: read "12'),
    "slip of a unit": (
        put("2210, 2.6, 0.6 m", "opening", 0, "at"),
        'opening "mast-inlet": at: read x = 2210 m; allowed: -0.6 to 7.6 m',
    ),
    "a place in a plane": (
        put("1, 2 m", "opening", 0, "at"),
        'opening "mast-inlet": at: read "1, 2 m"; allowed: 3',
    ),
    "opening into nothing": (
        put("mast-rum", "opening", 0, "into"),
        'opening "mast-inlet": into: read "mast-rum"; allowed: did you mean mast-ram',
    ),
    "ram opening that is still": (
        put("still", "opening", 0, "sees"),
        'opening "mast-inlet": sees: read "still"; allowed: ram, for a pitot-inlet',
    ),
    "static port that is ram": (put("ram", "opening", 1, "sees"), 'sees: read "ram"; allowed: still, cabin'),
    "coefficient in the cabin": (
        put("cabin", "opening", 1, "sees"),
        'opening "mast-static-inner": pressure_coefficient: read a table for an opening to the cabin',
    ),
    "no hole": (put(0, "opening", 0, "count"), 'opening "mast-inlet": count: read 0; allowed: 1 or more'),
    "half a hole": (put(1.5, "opening", 0, "count"), "count: read 1.5; allowed: a whole number"),
    "instrument on no line": (
        drop("line", 1),
        'instrument "airspeed": read no line at airspeed.pitot; allowed: a line with to = "airspeed.pitot"',
    ),
    "part out of reach": (drop("line", 0), 'fitting "pitot-root": read no way for air from any opening to'),
    "behind a closed valve": (
        put({**GOOD["opening"][3], "into": "static-sump"}, "opening", 3),
        'fitting "quick-drain-cup": read no way for air',
    ),
    "a name twice": (
        put("mast-still", "fitting", 0, "name"),
        'fitting "mast-still": name: read "mast-still", already the name of a fitting',
    ),
    "a line named as an opening": (put("mast-inlet", "line", 0, "name"), "already the name of an opening"),
    "a reserved name": (
        put("cabin", "fitting", 0, "name"),
        'read "cabin", already the name of the air around',
    ),
    "a name in words": (put("Mast ram", "fitting", 0, "name"), "allowed: small letters, digits and single"),
    "a numbered name": (put(3, "name"), "name: read 3; allowed: a text"),
    "valve to an instrument": (
        put("airspeed", "valve", 0, "to"),
        'valve "static-drain-valve": to: read "airspeed"; allowed',
    ),
    "valve ajar": (
        put("ajar", "valve", 0, "normally"),
        'valve "static-drain-valve": normally: read "ajar"; allowed: open, closed',
    ),
    "no such other valve": (
        put("x", "valve", 0, "opposite"),
        'opposite: read "x"; allowed: none is described',
    ),
    "pitot line to a static port": (
        put("static", "line", 1, "serves"),
        'line "pitot-cabin": serves: read "static" on airspeed.pitot; allowed: pitot',
    ),
    "airs that meet": (
        put("static", "line", 0, "serves"),
        'serves: read "pitot" at pitot-root; allowed: static',
    ),
    "no kind": (
        drop("instrument", 0, "kind"),
        'instrument "airspeed": read no kind; allowed: airspeed-indicator',
    ),
    "a kind unknown": (
        put("altimetre", "instrument", 1, "kind"),
        'instrument "altimeter": read "altimetre"; allowed: did you mean altimeter?',
    ),
    "a key of one kind": (
        put("1 s", "instrument", 2, "lagg"),
        'lagg: read a key "lagg" that is not known; allowed',
    ),
    "leak law": (
        put("laminar", *LEAK, "law"),
        'instrument "vertical-speed": leak.law: read "laminar"; allowed',
    ),
    "leak not positive": (put("0 s", *LEAK, "time_constant"), 'leak.time_constant: read "0 s"; allowed'),
    "leak at odds with its dial": (
        put("200 Pa", *LEAK, "full_scale_difference"),
        'leak.full_scale_difference: read "200 Pa"; allowed: about 269 Pa',
    ),
    "speeds out of order": (
        put("100 kt", "speeds", "never_exceed"),
        'speeds.never_exceed: read "100 kt"; allowed: a speed above normal_operating_limit, 118 kt',
    ),
    "a dial too small": (
        put("140 kt", "instrument", 0, "top_mark"),
        'instrument "airspeed": top_mark: read "140 kt"; allowed: a mark above speeds.never_exceed, 145 kt',
    ),
    "a dial that starts late": (
        put("60 kt", "instrument", 0, "lowest_mark"),
        "allowed: a mark below speeds.stall",
    ),
    "settings crossed": (
        put("27 inHg", "instrument", 1, "setting_highest"),
        "setting_highest: read 27 inHg; allowed: a setting above setting_lowest, 28.1 inHg",
    ),
    "scale error that falls": (
        put([["80 kt", "1 kt"], ["60 kt", "0 kt"]], "instrument", 0, "scale_error"),
        'instrument "airspeed": scale_error: read "60 kt" after "80 kt"; allowed: rows that rise',
    ),
    "scale error cut short": (
        put([["80 kt"]], "instrument", 0, "scale_error"),
        'instrument "airspeed": scale_error: read nothing; allowed: one more value in the row',
    ),
    "table that does not rise": (put(["3 deg", "3 deg"], *COEFFICIENT, "at"), "table number 1: at: read"),
    "table of unequal columns": (
        put([0.0], *COEFFICIENT, "change"),
        "change: read 1 values; allowed: 8 values",
    ),
    "axis": (put("alpha", *COEFFICIENT, "axis"), 'axis: read "alpha"; allowed: angle-of-attack, sideslip'),
    "basis": (
        put("guessed", "speeds", "basis"),
        'speeds.basis: read "guessed"; allowed: measured, common practice',
    ),
    "measured, but when": (
        put("measured", "speeds", "basis"),
        "read 46 kt as measured without a date; allowed",
    ),
    "measured, but how": (
        put({"basis": "measured", "date": datetime.date(2026, 3, 1), "value": "4 mm"}, "line", 0, "bore"),
        PITOT + "bore: read 4 mm as measured without a source",
    ),
    "a day that is none": (put("soon", "speeds", "date"), 'speeds.date: read "soon"; allowed: a day such as'),
    "format of tomorrow": (put(2, "format"), "format: read 2; allowed: 1"),
    "maybe invented": (put("yes", "invented"), 'invented: read "yes"; allowed: true or false'),
    "no openings": (put([], "opening"), "opening: read []; allowed: at least one"),
    "a word for a list": (put("x", "line"), 'line: read "x"; allowed: an array'),
    "a number for a table": (put(3, "line", 0), "line number 1: read 3; allowed: a table"),
    "too cold": (
        put("-300 degC", "inside", "cabin_temperature"),
        'inside.cabin_temperature: read "-300 degC"',
    ),
    "outline of a line": (put(["1, 1; 2, 2 m"], "outline", "plan"), "outline.plan: read fewer than 3 points"),
    "no outline": (put([], "outline", "side"), "outline.side: read"),
}


@pytest.mark.parametrize("case", CASES)
def test_bad_input_gets_its_line(case):
    change, expected = CASES[case]
    assert expected in complaint(change, GOOD)


PATHS = [(key,) for key in GOOD] + [
    (group, 0, key)
    for group in ("opening", "fitting", "line", "valve", "instrument")
    for key in GOOD[group][0]
]
junk = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8), st.just("1 m")),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["name", "value", "kind", "at", "x"]), inner, max_size=3),
    ),
    max_leaves=6,
)


@given(st.sampled_from(PATHS), junk)
def test_nothing_else_than_a_line_comes_out(path, value):
    table = copy.deepcopy(GOOD)
    put(value, *path)(table)
    with suppress(InputError):
        airplane.from_dict(table, "mine.toml")


def test_files_that_cannot_be_read(tmp_path):
    for content, expected in (
        (b"format = ", "line 1: read bad TOML"),
        (b"format = 1\nname = 'x\n", "line 2: read bad TOML"),
        (b"format = 1\ntitle = '\xff'\n", "line 2: read bytes that are not UTF-8"),
        (b"", "format: read nothing"),
    ):
        path = tmp_path / "mine.toml"
        path.write_bytes(content)
        with pytest.raises(InputError) as caught:
            airplane.load(path)
        assert str(caught.value).startswith(f"{path}: ")
        assert expected in str(caught.value)
    with pytest.raises(InputError, match="No such file"):
        airplane.load(tmp_path / "none.toml")
    with pytest.raises(InputError, match="directory"):
        airplane.load(tmp_path)


def test_a_name_that_is_not_in_the_hangar():
    with pytest.raises(InputError, match=r"allowed: business-jet, glass-trainer, .*; or the path"):
        airplane.load("nonsense")
    with pytest.raises(InputError, match="did you mean low-wing-mast"):
        airplane.load("low-wing-mats")


def test_a_file_of_ones_own_loads(tmp_path):
    path = tmp_path / "mine.toml"
    text = (HANGAR / "low-wing-mast.toml").read_text("utf-8")
    text = text.replace('name = "low-wing-mast"', 'name = "mine"', 1).replace(
        "invented = true", "invented = false"
    )
    path.write_text(text, encoding="utf-8")
    plane = airplane.load(path)
    assert plane.name == "mine"
    assert not plane.invented
