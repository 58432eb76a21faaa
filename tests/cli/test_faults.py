"""`ramstill faults`: the catalogue, an airplane's share of it, one fault in full."""

import json

import pytest

from ramstill.cli import main
from ramstill.faults import catalogue


def run(capsys, *arguments):
    code = main(["faults", *arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_lists_the_catalogue(capsys):
    code, out, err = run(capsys)
    assert (code, err) == (0, "")
    assert all(name in out for name in catalogue())


def test_json_alone_on_stdout(capsys):
    code, out, err = run(capsys, "--json")
    assert (code, err) == (0, "")
    records = json.loads(out)["faults"]
    assert [record["name"] for record in records] == list(catalogue())
    assert {"name", "title", "sentence", "where", "severity", "comes", "size"} <= set(records[0])


def test_an_airplane_has_what_it_has_parts_for(capsys):
    code, out, _ = run(capsys, "low-wing-mast", "--json")
    assert code == 0
    data = json.loads(out)
    assert data["airplane"] == "low-wing-mast"
    places = {record["name"]: record["places"] for record in data["faults"]}
    assert "alternate-static-open" not in places
    assert places["lines-crossed"] == ["mast", "all", "airspeed"]
    assert all(places.values())


@pytest.mark.parametrize("arguments", [("vsi-glass-broken",), ("low-wing-mast", "vsi-glass-broken")])
def test_one_fault_in_full(capsys, arguments):
    code, out, _ = run(capsys, *arguments)
    assert code == 0
    assert "share of the hole's area that is open" in out
    assert "static-ports-blocked" not in out


def test_a_part_the_airplane_lacks(capsys):
    code, out, _ = run(capsys, "low-wing-mast", "alternate-static-open")
    assert code == 0
    assert "not on this airplane" in out


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (
            ("low-wing-mast", "vsi-glas-broken"),
            "faults: name: read vsi-glas-broken; allowed: perhaps vsi-glass-broken",
        ),
        (("biplane",), "biplane"),
    ],
)
def test_bad_input_is_one_line(capsys, arguments, line):
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert line in err
