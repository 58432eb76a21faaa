"""Figures: what they carry, and that writing and reading one again changes nothing."""

import copy
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from ramstill.air import units
from ramstill.airplane.figure import BASES, Figure, Provenance
from ramstill.airplane.quantity import Length, LengthAboveZero, PerAngle, Place, Polygon, Reading

LENGTH = TypeAdapter(Length)
UNITS = {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "in": units.INCH, "ft": units.FT}
numbers = st.floats(-1e6, 1e6, allow_nan=False).map(lambda x: round(x, 6))
provenances = st.one_of(
    st.builds(Provenance, st.sampled_from(["common practice", "assumed"]), st.text(max_size=20)),
    st.builds(
        Provenance,
        st.just("measured"),
        st.text(min_size=1, max_size=20),
        st.dates().map(lambda d: d.isoformat()),
    ),
)


def read(adapter, value, provenance=None):
    return adapter.validate_python(value, context=Reading("test", provenance or Provenance()))


@given(numbers, st.sampled_from(sorted(UNITS)), provenances)
def test_reading_gives_si_and_where_it_comes_from(number, unit, provenance):
    figure = read(LENGTH, f"{number!r} {unit}", provenance)
    assert figure == pytest.approx(number * UNITS[unit], rel=1e-15)  # one multiplication
    assert (figure.basis, figure.source, figure.date) == (
        provenance.basis,
        provenance.source,
        provenance.date,
    )
    assert figure.text == f"{number!r} {unit}"


@given(numbers, st.sampled_from(sorted(UNITS)), provenances)
def test_round_trips(number, unit, provenance):
    figure = read(LENGTH, f"{number!r} {unit}", provenance)
    for again in (
        read(LENGTH, figure.as_table()),
        read(LENGTH, figure),
        pickle.loads(pickle.dumps(figure)),
        copy.deepcopy(figure),
    ):
        assert again == figure
        assert again.as_table() == figure.as_table()


@given(st.lists(st.tuples(numbers, numbers), min_size=1, max_size=5))
def test_a_way_in_one_text_is_the_way_in_many(points):
    polygon = TypeAdapter(Polygon)
    one = "; ".join(f"{x!r}, {y!r}" for x, y in points) + " ft"
    many = [[f"{x!r} ft", f"{y!r} ft"] for x, y in points]
    assert read(polygon, one) == read(polygon, many)


def test_a_figure_is_a_float():
    figure = read(LENGTH, {"value": "3/16 in", "basis": "measured", "date": "2026-03-01", "source": "drill"})
    assert isinstance(figure, float)
    assert type(figure * 2) is float
    assert figure.known() == "measured 2026-03-01 (drill)"
    assert "measured" in repr(figure)
    assert read(TypeAdapter(Place), "1/2, 3/4, 1 in")[1] == pytest.approx(0.75 * units.INCH)


def test_the_slope_of_a_wing():
    slope = TypeAdapter(PerAngle)
    assert read(slope, "4.8 /rad") == read(slope, 4.8) == 4.8
    assert read(slope, "0.1 /deg") == pytest.approx(5.729577951, rel=1e-9)  # 180 / pi / 10


def test_basis_is_handed_down_until_another_is_named():
    top = Provenance("assumed", "guess")
    measured = top.under({"basis": "measured", "date": "2026-03-01", "source": "tape"})
    assert measured == Provenance("measured", "tape", "2026-03-01")
    assert measured.under({"length": "3 m"}) == measured
    assert measured.under({"basis": "common practice"}) == Provenance("common practice")
    assert measured.under({"source": "callipers"}) == Provenance("measured", "callipers", "2026-03-01")


@pytest.mark.parametrize(
    "value",
    [
        "3.1",
        "3.1 kg",
        3.1,
        True,
        None,
        [],
        "",
        "nan m",
        "-1 mm",
        "0 mm",
        float("nan"),
        {"value": "1 m", "basis": "guessed"},
        {"value": "1 m", "basis": "measured"},
        {"value": "1 m", "basis": "measured", "date": "2026-03-01"},
        {"value": "1 m", "date": "soon"},
        {"value": "1 m", "date": 3},
        {"value": "1 m", "unit": "m"},
        {"basis": "assumed"},
        {"value": {"value": "1 m"}},
    ],
)
def test_what_is_no_length_above_zero(value):
    with pytest.raises(ValidationError, match="allowed: "):
        read(TypeAdapter(LengthAboveZero), value)


def test_a_figure_from_python_is_checked_too():
    with pytest.raises(ValidationError):
        read(TypeAdapter(LengthAboveZero), Figure(-1.0))
    assert read(LENGTH, Figure(2.0, "assumed")).as_table() == {"value": 2.0, "basis": "assumed"}
    assert set(BASES) == {"measured", "common practice", "assumed"}
