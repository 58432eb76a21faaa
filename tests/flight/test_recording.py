"""Recorded files: units and column maps are read; what is wrong is one line with line and column."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ramstill.air import units
from ramstill.errors import InputError
from ramstill.flight import recording

Csv = Callable[[dict[str, Sequence[object]]], Path]
TIME = [0, 1, 2, 3, 4, 5]


def test_readings_are_in_si(csv: Csv) -> None:
    read = recording.read(
        csv(
            {
                "time_s": TIME,
                "ias_kt": [100, 101, None, 103, 104, 105],
                "altitude_ft": [1000, 1025, 1050, 1050, 1075, 1100],
                "altimeter_setting_inhg": [29.92] * 6,
                "oat_c": [15] * 6,
                "power_pct": [75] * 6,
                "remark": ["x"] * 6,
            }
        )
    )
    assert read.values["ias"][0] == pytest.approx(100 * units.KT)
    assert np.isnan(read.values["ias"][2])
    assert read.gaps["ias"] == 1
    assert read.values["altitude"][5] == pytest.approx(1100 * units.FT)
    assert read.steps["altitude"] == pytest.approx(25 * units.FT)
    assert read.values["altimeter setting"][0] == pytest.approx(29.92 * units.INHG)
    assert read.values["outside temperature"][0] == pytest.approx(288.15)
    assert read.values["power"][0] == pytest.approx(0.75)
    assert read.ignored == ("remark",)
    assert read.notes == ("1 readings of ias are missing.",)


@pytest.mark.parametrize(
    ("header", "quantity", "factor"),
    [
        ("ias_kmh", "ias", units.KM_H),
        ("ias_mph", "ias", units.MPH),
        ("ias_mps", "ias", 1.0),
        ("altitude_m", "altitude", 1.0),
        ("vsi_mps", "vertical speed", 1.0),
        ("vsi_fpm", "vertical speed", units.FPM),
    ],
)
def test_other_units_by_the_name_of_the_column(csv: Csv, header: str, quantity: str, factor: float) -> None:
    read = recording.read(csv({"time_s": TIME, header: [100, 110, 120, 130, 140, 150]}))
    assert read.values[quantity][1] == pytest.approx(110 * factor)


def test_a_column_map_reads_other_headers_and_milliseconds(csv: Csv) -> None:
    path = csv({"ms": [0, 500, 1000, 1500, 2000], "Speed": [180] * 5, "QNH": [1001] * 5, "ias_kt": [1] * 5})
    columns = {"time_ms": "ms", "ias_kmh": "Speed", "altimeter_setting_hpa": "QNH"}
    read = recording.read(path, columns)
    assert read.time_s.tolist() == [0.0, 0.5, 1.0, 1.5, 2.0]
    assert read.values["ias"][0] == pytest.approx(50.0)  # the map wins over the file's own ias_kt
    assert read.values["altimeter setting"][0] == pytest.approx(100100.0)
    assert read.ignored == ("ias_kt",)


def test_without_a_setting_altitude_is_pressure_altitude_and_it_says_so(csv: Csv) -> None:
    read = recording.read(csv({"time_s": TIME, "altitude_ft": [1000] * 6}))
    assert "pressure altitude" in read.notes[0]


def test_other_separators_and_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes("\ufefftime_s; ias_kt\n0;90\n1;91\n2;92\n3;nan\n4;94\n\n".encode())
    read = recording.read(path)
    assert read.values["ias"][4] == pytest.approx(94 * units.KT)
    assert read.gaps["ias"] == 1


BAD: dict[str, tuple[dict[str, Any], str, str]] = {
    "missing time": (
        {"time_s": [0, 1, None, 3, 4], "ias_kt": [1] * 5},
        "line 4, time_s",
        "a time in every line",
    ),
    "nan time": (
        {"time_s": [0, 1, "NaN", 3, 4], "ias_kt": [1] * 5},
        "line 4, time_s",
        "a time in every line",
    ),
    "backward": (
        {"time_s": [0, 1, 2, 1.5, 4], "ias_kt": [1] * 5},
        "line 5, time_s",
        "later than the one before",
    ),
    "repeated": (
        {"time_s": [0, 1, 1, 2, 4], "ias_kt": [1] * 5},
        "line 4, time_s",
        "later than the one before",
    ),
    "word": ({"time_s": TIME[:5], "ias_kt": [1, 2, "fast", 4, 5]}, "line 4, ias_kt", "a number"),
    "infinite": ({"time_s": TIME[:5], "ias_kt": [1, 2, "inf", 4, 5]}, "line 4, ias_kt", "a number"),
    "negative": ({"time_s": TIME[:5], "ias_kt": [1, 2, -3, 4, 5]}, "line 4, ias_kt", "an airspeed"),
    "too high": (
        {"time_s": TIME[:5], "altitude_ft": [1, 2, 9e9, 4, 5]},
        "line 4, altitude_ft",
        "an altitude",
    ),
    "setting": (
        {"time_s": TIME[:5], "ias_kt": [1] * 5, "altimeter_setting_hpa": [29.92] * 5},
        "line 2, altimeter_setting_hpa",
        "a setting",
    ),
    "no time": ({"ias_kt": [1] * 5}, "line 1", "time_s"),
    "no instrument": ({"time_s": TIME[:5], "oat_c": [1] * 5}, "columns", "ias_kt"),
    "empty instrument": ({"time_s": TIME[:5], "ias_kt": [None] * 5}, "columns", "ias_kt"),
    "two of one": (
        {"time_s": TIME[:5], "ias_kt": [1] * 5, "ias_kmh": [2] * 5},
        "line 1",
        "one column of ias",
    ),
    "too short": ({"time_s": [0, 1], "ias_kt": [1, 1]}, "", "5 rows or more"),
}


BAD |= {
    "stuck clock": ({"time_s": [7] * 6, "ias_kt": [1, 2, 3, 4, 5, 6]}, "line 3, time_s", "later than"),
    "rows twice": ({"time_s": [0, 1, 1, 2, 2, 3], "ias_kt": [1] * 6}, "line 4, time_s", "each line once"),
    "midnight": (
        {"time_s": [86397, 86398, 86399, 0, 1, 2], "ias_kt": [1] * 6},
        "line 5, time_s",
        "goes on from 86400 s",
    ),
    "inches as hectopascals": (
        {"time_s": TIME, "ias_kt": [1] * 6, "altimeter_setting_hpa": [29.92] * 6},
        "line 2, altimeter_setting_hpa",
        "the whole column would fit as altimeter_setting_inhg",
    ),
    "kelvins as degrees": (
        {"time_s": TIME, "ias_kt": [1] * 6, "oat_c": [288] * 6},
        "line 2, oat_c",
        "the whole column would fit as oat_k",
    ),
    "ft/min as m/s": (
        {"time_s": TIME, "vsi_mps": [0, 700, 710, 705, 690, 0]},
        "line 3, vsi_mps",
        "the whole column would fit as vsi_fpm",
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_one_line_says_what_is_wrong(csv: Csv, case: str) -> None:
    columns, field, allowed = BAD[case]
    path = csv(columns)
    with pytest.raises(InputError) as caught:
        recording.read(path)
    assert caught.value.source == str(path)
    assert caught.value.field == field
    assert allowed in caught.value.allowed
    assert "\n" not in caught.value.line()


@pytest.mark.parametrize(
    "raw", [b"", b"\n\n", b"\xff\xfe\x00\x01", b"time_s,ias_kt\n0,1\n1,\xe9\n", b"a,a\n1,2\n" * 9, b"\0" * 50]
)
def test_unreadable_files(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(raw)
    with pytest.raises(InputError) as caught:
        recording.read(path)
    assert "\n" not in caught.value.line()


def test_one_figure_that_cannot_be_is_no_question_of_the_unit(csv: Csv) -> None:
    height = [1000.0] * 39 + [60000.0]
    with pytest.raises(InputError) as caught:
        recording.read(csv({"time_s": list(range(40)), "altitude_m": height}))
    assert "would fit" not in caught.value.line()


def test_the_line_says_how_many_times_repeat(csv: Csv) -> None:
    with pytest.raises(InputError) as caught:
        recording.read(csv({"time_s": [0, 1, 1, 1, 2, 3], "ias_kt": [1, 2, 3, 4, 5, 6]}))
    assert '"1" after "1", and 1 more that repeat theirs' in caught.value.line()


def test_a_file_that_is_too_large_for_a_flight_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    with path.open("wb") as file:
        file.truncate(recording.LARGEST + 1)  # takes no room on the disk
    with pytest.raises(InputError) as caught:
        recording.read(path)
    assert "more than 64 MB" in caught.value.line()


def test_it_knows_which_column_each_quantity_came_from(csv: Csv) -> None:
    read = recording.read(csv({"time_s": TIME, "IAS": [1] * 6}), {"ias_kmh": "IAS"})
    assert read.columns == {"ias": ("ias_kmh", "IAS"), "time": ("time_s", "time_s")}


def test_more_cells_than_headers_and_no_file(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("time_s,ias_kt\n" + "".join(f"{i},90\n" for i in range(9)) + "9,90,90\n")
    with pytest.raises(InputError):
        recording.read(path)
    for missing in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(InputError):
            recording.read(missing)


@pytest.mark.parametrize(
    ("columns", "field"), [({"speed": "IAS"}, "columns"), ({"ias_kt": "IAS"}, "columns.ias_kt")]
)
def test_an_unknown_column_in_the_map(csv: Csv, columns: dict[str, str], field: str) -> None:
    with pytest.raises(InputError) as caught:
        recording.read(csv({"time_s": TIME, "ias_kt": [1] * 6}), columns)
    assert caught.value.field == field
