"""Quantities as people write them, against exact fractions and the definitions of the units.

Sources: the inch is 25.4 mm (international yard and pound agreement, 1959), the pound 0.45359237 kg (same), the knot
1852 m per hour (international nautical mile, 1929), standard gravity 9.80665 m/s2 (CGPM 1901); published. Expected
values are worked out with Fraction.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strutwright.params import quantity
from strutwright.params.quantity import FileUnits, Kind, QuantityError, parse
from strutwright.params.words import Amount, Taper, deg, fine_mm, joined, mm, read, say, stock_mm

KINDS = (
    quantity.LENGTH,
    quantity.ANGLE,
    quantity.POWER,
    quantity.MASS,
    quantity.SPEED,
    quantity.RATE,
    quantity.FORCE,
    quantity.STRESS,
    quantity.AREA,
    quantity.PERCENT,
    quantity.RATIO,
)
UNITS: tuple[FileUnits, ...] = ("mm", "in")
INCH = Fraction(254, 10)
whole = st.integers(0, 200)
sixty_fourths = st.integers(1, 63)


@given(whole, sixty_fourths, st.sampled_from((" ", "-")), st.sampled_from(("in", '"', " in", "inch")))
def test_inch_fractions_are_exact(inches: int, parts: int, between: str, unit: str) -> None:
    f = Fraction(parts, 64)
    text = (f"{inches}{between}" if inches else "") + f"{f.numerator}/{f.denominator}{unit}"
    assert parse(text, quantity.LENGTH, "mm") == pytest.approx(float((inches + f) * INCH), abs=1e-9)


@given(whole, sixty_fourths)
def test_bare_fraction_follows_the_file(inches: int, parts: int) -> None:
    text = f"{inches} {parts}/64"
    value = inches + Fraction(parts, 64)
    assert parse(text, quantity.LENGTH, "in") == pytest.approx(float(value * INCH), abs=1e-9)
    assert parse(text, quantity.LENGTH, "mm") == pytest.approx(float(value), abs=1e-9)


@given(st.decimals("0.001", "5000", places=3))
def test_millimetres_and_inches_say_the_same(size: object) -> None:
    mm = Fraction(str(size))
    inches = mm / INCH
    assert parse(f"{size} mm", quantity.LENGTH, "in") == pytest.approx(float(mm), abs=1e-9)
    assert parse(f"{float(inches)!r} in", quantity.LENGTH, "mm") == pytest.approx(float(mm), rel=1e-12, abs=1e-9)
    assert parse(float(inches), quantity.LENGTH, "in") == parse(f"{float(inches)!r} in", quantity.LENGTH, "mm")


@given(st.integers(0, 89), st.integers(0, 59))
def test_degrees_and_minutes(degrees: int, minutes: int) -> None:
    assert parse(f"{degrees}deg {minutes}min", quantity.ANGLE, "mm") == pytest.approx(
        float(degrees + Fraction(minutes, 60)), abs=1e-9
    )


@given(st.integers(0, 20), st.integers(0, 11), sixty_fourths)
def test_feet_and_inches(feet: int, inches: int, parts: int) -> None:
    total = (feet * 12 + inches + Fraction(parts, 64)) * INCH
    for text in (f"{feet} ft {inches} {parts}/64 in", f"{feet}' {inches}-{parts}/64\""):
        assert parse(text, quantity.LENGTH, "mm") == pytest.approx(float(total), abs=1e-8)


@given(st.floats(-1e6, 1e6), st.sampled_from(KINDS), st.sampled_from(UNITS))
def test_a_number_and_its_text_read_alike(number: float, kind: Kind, units: FileUnits) -> None:
    assert parse(number, kind, units) == parse(repr(number), kind, units)


@pytest.mark.parametrize(("kind", "unit"), [(k, u) for k in KINDS for u in k.factors if u])
def test_each_unit_is_read_behind_a_number(kind: Kind, unit: str) -> None:
    assert parse(f"3 {unit}", kind, "mm") == pytest.approx(3 * kind.factors[unit], abs=1e-9)


@given(st.floats(0.001, 1e6), st.sampled_from(KINDS))
def test_sign_turns_the_value_round(number: float, kind: Kind) -> None:
    assert parse(-number, kind, "mm") == -parse(number, kind, "mm")
    assert parse(f"- {number!r}", kind, "mm") == parse(-number, kind, "mm")


@pytest.mark.parametrize(
    ("text", "kind", "units", "value"),
    [
        ("1 hp", quantity.POWER, "mm", 0.7456998715822702),  # 550 ft lbf/s
        (100, quantity.POWER, "in", 74.56998715822702),
        ("26 lb", quantity.MASS, "mm", 26 * 0.45359237),
        ("9 m/s", quantity.SPEED, "mm", 9 * 3600 / 1852),
        ("18 km/h", quantity.SPEED, "mm", 18 / 1.852),
        ("20 1/s", quantity.RATE, "mm", 1200),
        ("35 ksi", quantity.STRESS, "mm", 241.3165),  # 1 ksi = 6.8948 MPa
        ("450 lbf", quantity.FORCE, "mm", 450 * 0.45359237 * 9.80665),
        ("2 kN", quantity.FORCE, "in", 2000),
        ("1 ft2", quantity.AREA, "mm", 0.3048**2),
        ("0.1 rad", quantity.ANGLE, "mm", 18 / math.pi),
        ("12°", quantity.ANGLE, "mm", 12),
        ("1.8 %", quantity.PERCENT, "mm", 1.8),
        ("100 lbf ft", quantity.TORQUE, "mm", 135.5817948),  # NIST SP 811: 1.355818 N m each
        (100, quantity.TORQUE, "in", 135.5817948),
        ("0.1 in/s", quantity.VIBRATION, "mm", 2.54),
        ("1.5 h", quantity.DURATION, "mm", 90),
        ("1e2", quantity.LENGTH, "mm", 100),
    ],
)
def test_other_units(text: object, kind: Kind, units: FileUnits, value: float) -> None:
    assert parse(text, kind, units) == pytest.approx(value, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "mm",
        "1 2",
        "1 2 mm",
        "1,5",
        "1.5.2",
        "1/0 in",
        "1 1/0",
        "1 - 1/2 in",
        "1 -1/2",
        "--1",
        "+-1",
        "1 kg",
        "1 m m",
        "5 in 3 ft",
        "1 in 1 in",
        "nan",
        "inf",
        "-inf",
        "1e400",
        "0x10",
        "1_000",
        "1/2/3",
        "½",
        "1 1/2 1/4 in",
        "x" * 1000,
        "1" * 400,
        "1 mm;",
        "1 mm)",
        "$(1)",
        None,
        True,
        False,
        [],
        {},
        [1],
        float("nan"),
        float("inf"),
        10**400,
    ],
)
def test_what_is_not_a_length_is_refused(text: object) -> None:
    with pytest.raises(QuantityError) as caught:
        parse(text, quantity.LENGTH, "mm")
    assert str(caught.value)
    assert "a length such as" in caught.value.allowed


@given(
    st.one_of(
        st.text(max_size=80),
        st.text(alphabet="0123456789 ./-+eE'\"mincftdeg%", max_size=30),
        st.floats(),
        st.integers(),
        st.none(),
        st.booleans(),
        st.binary(max_size=8),
    ),
    st.sampled_from(KINDS),
    st.sampled_from(UNITS),
)
def test_anything_is_a_finite_number_or_refused(value: object, kind: Kind, units: FileUnits) -> None:
    try:
        number = parse(value, kind, units)
    except QuantityError as caught:
        refusal = caught
    else:
        assert math.isfinite(number)
        return
    assert str(refusal)
    assert refusal.allowed


@given(st.floats(-1e5, 1e5))
def test_shown_values_read_back(mm: float) -> None:
    inch, rest = quantity.show(mm, "mm", "in").split(" in (")
    assert abs(float(inch) * 25.4 - mm) <= 0.00005 * 25.4 + 1e-9
    assert abs(float(rest.removesuffix(" mm)")) - mm) <= 0.0005 + 1e-9
    assert parse(quantity.show(mm, "mm", "mm"), quantity.LENGTH, "in") == pytest.approx(mm, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (54.0, "mm", "54 mm"),
        (54.1004, "mm", "54.1 mm"),
        (0.00004, "mm", "0 mm"),
        (-0.0001, "mm", "0 mm"),
        (12.3456, "deg", "12.35 deg"),
        (123456.7, "N", "123457 N"),
        (11683.2, "mm3", "11683 mm3"),
        (0.4257123, "", "0.4257"),
        (7.1e-15, "", "0"),
        (math.nan, "mm", "-"),
        (math.inf, "", "-"),
        (2.126, "in", "2.126 in"),
    ],
)
def test_figures_are_short(value: float, unit: str, text: str) -> None:
    assert quantity.figure(value, unit) == text


@pytest.mark.parametrize(
    ("unit", "value", "shown", "name"),
    [
        ("mm", 25.4, 1.0, "in"),
        ("mm4", 416231.4256, 1.0, "in4"),
        ("MPa", 6.894757293, 1000.0, "psi"),
        ("N", 4.4482216152605, 1.0, "lbf"),
        ("N m", 1.3558179483314, 1.0, "lbf ft"),
        ("kg", 0.45359237, 1.0, "lb"),
        ("kW", 0.7456998716, 1.0, "hp"),
        ("rpm", 900.0, 900.0, "rpm"),
    ],
)
def test_inch_units(unit: str, value: float, shown: float, name: str) -> None:
    """Factors of NIST SP 811 (2008), Appendix B.8."""
    assert quantity.in_file_units(value, unit, "in") == (pytest.approx(shown, rel=1e-9), name)
    assert quantity.in_file_units(value, unit, "mm") == (value, unit)


def test_sentences_are_rendered_once_in_the_units_of_the_job() -> None:
    said = say(
        "{part}, {low} to {high} of interference at M12, {count} holes; {turn}; leave {2 mm}",
        part="1/4 in stock",
        low=fine_mm(0.0127),
        high=fine_mm(0.0381),
        count=3,
        turn=say("{m} of torque", m=Amount(690.0, "N m")),
    )
    assert read(said, "in") == (
        "1/4 in stock, 0.0005 in to 0.0015 in of interference at M12, 3 holes; 508.9 lbf ft of torque; leave 0.0787 in"
    )
    assert read(said, "mm") == (
        "1/4 in stock, 0.013 mm to 0.038 mm of interference at M12, 3 holes; 690 N m of torque; leave 2 mm"
    )
    assert read("wall of 7.9 mm", "in") == "wall of 7.9 mm"  # a name is a name: prose is never rewritten


def test_a_text_is_filled_in_steps_and_takes_no_bare_number() -> None:
    half = say("{hole} wants {need}", hole=3)
    assert read(half, "mm") == "3 wants {need}"
    assert read(say(half, need=mm(12.7)), "in") == "3 wants 0.5 in"
    assert read(say("{name}", name="{2 mm}"), "in") == "{2 mm}"  # what a user wrote is not a template
    with pytest.raises(TypeError, match="kind"):
        say("{size}", size=12.7)
    with pytest.raises(TypeError, match="say"):
        f"{half}"
    assert str(joined(", ", [mm(1), "two", deg(3)])) == "1 mm, two, 3 deg"


@given(st.floats(-1e5, 1e5), st.sampled_from(["mm", "deg", "N", "MPa", "kg", "m", "mm2", "N m"]), st.booleans())
def test_a_size_is_the_same_in_both_units(value: float, unit: str, fine: bool) -> None:
    """What is read in inches and pounds is what is read in mm and newtons, within what either shows."""
    there, here = (float(Amount(value, unit, fine).read(u).split(" ")[0]) for u in ("in", "mm"))
    per = quantity.in_file_units(1.0, unit, "in")[0]
    # At worst three figures are shown, and three decimals of something small.
    assert there / per == pytest.approx(here, rel=0.011, abs=0.0006 + 0.0006 / per)
    assert here == pytest.approx(value, rel=0.0051, abs=0.0006)


def test_tapers_are_told_per_foot_in_inches() -> None:
    assert Taper(16.0).read("in") == "1 in 16 (3/4 in per foot)"  # SAE J755
    assert Taper(12.0).read("in") == "1 in 12 (1 in per foot)"
    assert Taper(10.0).read("in") == "1 in 10 (1.200 in per foot)"  # ISO 4566
    assert Taper(10.0).read("mm") == "1 in 10"


def test_temperatures_are_told_in_fahrenheit() -> None:
    assert Amount(-28.0, "C").read("in") == "-18.4 F"
    assert Amount(-40.0, "C").read("in") == "-40 F"


def test_stock_is_told_as_it_is_bought() -> None:
    said = {
        25.4 * inch: text
        for inch, text in (
            (0.375, "3/8 in"),
            (2.5, "2 1/2 in"),
            (3.0, "3 in"),
            (0.812, "13/16 in"),
            (0.0, "0 in"),
            (-1.5, "-1 1/2 in"),
            (0.7, "0.7 in"),
        )
    }
    assert {mm: stock_mm(mm).read("in") for mm in said} == said
    assert stock_mm(12.0).read("in") == "0.4724 in"
    assert stock_mm(12.0).read("mm") == "12 mm"
