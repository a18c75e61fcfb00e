"""Text to SI and back."""

import math
import subprocess
import sys

import pytest

from balance.model.errors import UnitError
from balance.units.shown import SI, US
from balance.units.text import (
    dimension_of,
    known_unit,
    parse_quantity,
    suggest_unit,
    unit_scale,
)

READ = [  # definitions: international yard and pound of 1959, standard gravity 9.80665 m/s²
    ("1290 kg", "mass", 1290.0),
    ("2844 lb", "mass", 2844 * 0.45359237),
    ("3 g", "mass", 0.003),
    ("2575 mm", "length", 2.575),
    ("1 ft", "length", 0.3048),
    ("160 km/h", "speed", 160 / 3.6),
    ("100 mph", "speed", 44.704),
    ("7 N", "force", 7.0),
    ("1 lbf", "force", 0.45359237 * 9.80665),
    ("1 kgf", "force", 9.80665),
    ("\u221212.5 N", "force", -12.5),
    ("+.5 kN", "force", 500.0),
    ("1.98 m^2", "area", 1.98),
    ("1.98 m²", "area", 1.98),
    ("1.98 m**2", "area", 1.98),
    ("230 kW", "power", 230e3),
    ("5 deg", "angle", math.radians(5)),
    ("5°", "angle", math.radians(5)),
    ("20 degC", "temperature", 293.15),
    ("20\u00a0°C", "temperature", 293.15),
    ("68 °F", "temperature", 293.15),
    ("1013.25 hPa", "pressure", 101325.0),
    ("29.92 inHg", "pressure", 29.92 * 25.4 * 133.322387415),
    ("1.225 kg/m³", "density", 1.225),
    ("1.225 kg/m3", "density", 1.225),
    ("1.225e-3 g/cm3", "density", 1.225),
    ("1.98 m2", "area", 1.98),
    ("1.98e4 cm2", "area", 1.98),
    ("1.225 kg m^-3", "density", 1.225),
    ("1.225 kg·m⁻³", "density", 1.225),
    ("54.2 %", "fraction", 0.542),
    ("-1.5e1 %", "fraction", -0.15),
    ("20", "number", 20.0),
    ("1e-400 N", "force", 0.0),
]


@pytest.mark.parametrize(("text", "kind", "si"), READ)
def test_a_quantity_is_read_into_si(text, kind, si):
    assert parse_quantity(text, kind) == pytest.approx(si, rel=1e-15, abs=0)


REFUSED = [
    (
        "1290",
        "mass",
        "found '1290' without a unit, expected a mass with its unit; write '1290 kg' or '1290 lb', whichever it is",
    ),
    ("0.542", "fraction", "found '0.542' without a unit, expected a fraction with its unit; write '54.2 %'"),
    (
        "12,5 kg",
        "mass",
        "found '12,5 kg', expected a mass as in '12.5 kg'; a comma for a point? write the decimal point as '.', and no marks between thousands",
    ),
    ("1 290 kg", "mass", "found '1 290 kg', expected a mass as in '12.5 kg'; check the figure and its unit"),
    ("", "mass", "found nothing, expected a mass as in '12.5 kg'"),
    ("nan kg", "mass", "found 'nan kg', expected a mass as in '12.5 kg'; check the figure and its unit"),
    ("inf kg", "mass", "found 'inf kg', expected a mass as in '12.5 kg'; check the figure and its unit"),
    (
        "1e9999 m",
        "length",
        "found '1e9999 m', expected a length that is finite; check the figure and its unit",
    ),
    (
        "1e306 km",
        "length",
        "found '1e306 km', expected a length that is finite; check the figure and its unit",
    ),
    (
        "160 kmh",
        "speed",
        "found the unknown unit 'kmh', expected a speed unit such as km/h, mph, m/s; write 'km/h'",
    ),
    (
        "1.2 kg/m4",
        "density",
        "found the unknown unit 'kg/m4', expected a density unit such as kg/m^3, lb/ft^3; did you mean 'kg/m^3'?",
    ),
    ("7 lb", "force", "found the unit 'lb', which measures a mass, expected a force unit; write 'lbf'"),
    ("7 kg", "force", "found the unit 'kg', which measures a mass, expected a force unit; write 'kgf'"),
    (
        "7 mm",
        "mass",
        "found the unit 'mm', which measures a length, expected a mass unit such as kg, lb, g; check the figure and its unit",
    ),
    (
        "2 %",
        "angle",
        "found the unit '%', which measures a fraction, expected an angle unit such as deg, rad; check the figure and its unit",
    ),
    (
        "2 deg",
        "fraction",
        "found the unit 'deg', which measures an angle, expected a fraction unit such as %; check the figure and its unit",
    ),
    ("20 kg", "number", "found the unit 'kg', expected a plain number without a unit"),
]


@pytest.mark.parametrize(("text", "kind", "message"), REFUSED)
def test_what_cannot_be_read_says_what_was_found_and_expected(text, kind, message):
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, kind)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "text",
    [
        "1 m**99999",
        "1 m^9^9^9",
        "1 m" + "*m" * 10_000,
        "1 __import__('os').system('true')",
        "1 m if 1 else m",
        "1 (m)",
        "1 m/0",
        "1 m^0",
        "1 m\n",
        "9" * 100_000 + " m",
        "1 \x1b[2J",
        "1 dBm",
        "1 delta_degC",
        "1 mdegC",
        "1 degC^2/K",
        "1 /m",
        "1 m/",
        "1 m//m",
        "1 m\u202e",
    ],
)
@pytest.mark.parametrize("kind", ["length", "power", "temperature"])
def test_hostile_text_is_refused_or_read_and_never_evaluated(text, kind):
    if (text.strip(), kind) == ("1 m", "length"):
        assert parse_quantity(text, kind) == 1.0
        return
    with pytest.raises(UnitError) as caught:
        parse_quantity(text, kind)
    assert len(str(caught.value)) < 400
    assert str(caught.value).isprintable()


def test_a_bare_fraction_only_where_the_caller_allows_it():
    assert parse_quantity("0.542", "fraction", bare=True) == 0.542
    with pytest.raises(UnitError, match="from 0 to 1"):
        parse_quantity("54.2", "fraction", bare=True)


def test_a_scale_holds_for_every_figure_of_its_unit():
    factor, offset = unit_scale("degF", "temperature")
    assert 32 * factor + offset == pytest.approx(273.15, rel=1e-15)
    assert 212 * factor + offset == pytest.approx(373.15, rel=1e-15)


def test_units_of_settings():
    assert known_unit("N/mm")
    assert not known_unit("clicks")
    assert dimension_of("N/mm") is None
    assert dimension_of("clicks") is None
    assert dimension_of("in") == "length"
    assert suggest_unit("degr") == "did you mean 'deg'?"


SHOWN_IN = {
    "N": "N", "km/h": "km/h", "kg": "kg", "mm": "mm", "m": "m", "m²": "m^2", "kg/m³": "kg/m^3", "kW": "kW",
    "hPa": "hPa", "°C": "degC", "Pa": "Pa", "lbf": "lbf", "mph": "mph", "lb": "lb", "in": "in", "ft": "ft",
    "ft²": "ft^2", "lb/ft³": "lb/ft^3", "hp": "hp", "inHg": "inHg", "°F": "degF", "lbf/ft²": "lbf/ft^2",
}  # fmt: skip
SHOWN_AS = {"distance": "length", "dynamic_pressure": "pressure"}


@pytest.mark.parametrize("system", [SI, US], ids=lambda system: system.name)
def test_shown_units_agree_with_the_unit_library(system):
    for kind, unit in system.units.items():
        factor, offset = unit_scale(SHOWN_IN[unit.label], SHOWN_AS.get(kind, kind))
        assert unit.scale == pytest.approx(factor, rel=1e-15), kind
        assert unit.offset == pytest.approx(offset, rel=1e-15), kind
        assert unit.to_si(unit.from_si(273.0)) == pytest.approx(273.0, rel=1e-14)


def python(code, **environment):
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, env=environment
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_showing_needs_no_unit_library():
    code = (
        "import sys, balance.units.text as u; u.US.unit('force').from_si(1.0); print('pint' in sys.modules)"
    )
    assert python(code) == "False"


READ_ONE = "from balance.units.text import parse_quantity; print(parse_quantity('1 km', 'length'))"


def test_a_cache_folder_that_cannot_be_made_costs_no_answer():
    assert python(READ_ONE, XDG_CACHE_HOME="/dev/null/none") == "1000.0"


def test_a_damaged_cache_costs_no_answer(tmp_path):
    assert python(READ_ONE, XDG_CACHE_HOME=str(tmp_path)) == "1000.0"
    kept = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert kept
    for path in kept:
        path.write_bytes(b"garbage\n")
    assert python(READ_ONE, XDG_CACHE_HOME=str(tmp_path)) == "1000.0"


# names that files may use, whatever the version of the unit library
KNOWN = [
    "N",
    "kN",
    "daN",
    "lbf",
    "kgf",
    "kp",
    "Nm",
    "kNm",
    "daNm",
    "lbf*ft",
    "N/mm",
    "m",
    "mm",
    "cm",
    "km",
    "in",
    "inch",
    "ft",
    "foot",
    "yd",
    "mile",
    "mph",
    "kph",
    "km/h",
    "knot",
    "fps",
    "m/s",
    "s",
    "min",
    "h",
    "kg",
    "g",
    "mg",
    "t",
    "lb",
    "oz",
    "slug",
    "stone",
    "Pa",
    "hPa",
    "kPa",
    "MPa",
    "mbar",
    "bar",
    "psi",
    "inHg",
    "mmHg",
    "torr",
    "atm",
    "K",
    "degC",
    "degF",
    "degR",
    "deg",
    "rad",
    "mrad",
    "arcmin",
    "W",
    "kW",
    "hp",
    "PS",
    "metric_horsepower",
    "J",
    "V",
    "mV",
    "A",
    "Hz",
    "rpm",
    "%",
    "percent",
    "ppm",
    "turn",
    "L",
    "liter",
    "m^2",
    "ft^2",
    "in^2",
    "cm^2",
    "kg/m^3",
    "lb/ft^3",
    "g/cm^3",
    "slug/ft^3",
]
UNKNOWN = ["kmh", "sqft", "sqm", "bhp", "Nx", "furlongs/fort", "newtonmetre"]


@pytest.mark.parametrize("name", KNOWN)
def test_a_name_that_files_may_use_is_known(name):
    assert known_unit(name)


@pytest.mark.parametrize("name", UNKNOWN)
def test_a_name_that_means_nothing_is_not(name):
    assert not known_unit(name)


def test_a_moment_is_no_force_and_no_length():
    assert dimension_of("Nm") is None
    with pytest.raises(UnitError, match="found the unit 'Nm', expected a force unit"):
        unit_scale("Nm", "force")
