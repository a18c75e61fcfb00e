"""`axletrim speeds`: one run against speed."""

import json
from pathlib import Path

import pytest


@pytest.fixture
def record(axletrim, demo):
    def read(*arguments):
        result = axletrim("speeds", demo, *arguments, "--json")
        assert result.returncode == 0, result.stderr
        assert result.stderr == ""
        return json.loads(result.stdout)

    return read


@pytest.mark.parametrize(
    ("run", "reading", "rows", "runs"),
    [
        ("15", (), "configurations", ["15", "17"]),
        ("17", (), "configurations", ["15", "17"]),
        ("15", ("--reading",), "runs", ["15"]),
    ],
)
def test_all_quantities(record, axletrim, demo, run, reading, rows, runs):
    """A run's label means its configuration; with --reading the run alone."""
    sweep = record(run, "--from", "100 km/h", "--to", "160 km/h", "--step", "20 km/h", *reading)
    assert sweep["format"] == "axletrim-sweep/1"
    assert sweep["run"] == run
    assert sweep["speed_m_s"] == pytest.approx([100 / 3.6, 120 / 3.6, 140 / 3.6, 160 / 3.6])
    assert sweep["runs"] == runs
    table = json.loads(axletrim("table", demo, "--json").stdout)[rows]
    run = next(run for run in table if run["run"] == "15")
    for key, values in sweep.items():
        if key not in ("format", "run", "runs", "air_density_kg_m3", "speed_m_s"):
            assert key in run
            assert len(values) == 4
            assert values[-1] == (pytest.approx(run[key]) if isinstance(run[key], float) else run[key])


@pytest.mark.parametrize("name", ["grip_surplus", "grip surplus", "Grip-Surplus"])
def test_one_quantity_with_its_uncertainty(record, name):
    sweep = record("15", "--quantity", name)
    assert set(sweep) == {
        "format", "run", "runs", "air_density_kg_m3", "speed_m_s", "grip_surplus", "grip_surplus_std", "grip_surplus_interval",
    }  # fmt: skip


def test_a_force_by_its_name(record):
    assert {"drag_N", "drag_N_std"} < set(record("15", "--quantity", "drag"))


def test_as_text_every_column_has_its_unit(axletrim, demo):
    result = axletrim("speeds", demo, "15", "--quantity", "grip_surplus", "--units", "us")
    assert result.returncode == 0
    assert result.stderr == ""
    lines = result.stdout.splitlines()
    head = next(k for k, line in enumerate(lines) if "speed" in line)
    assert lines[head].split("  ")[-1] == "95 % interval"
    assert lines[head + 1].split() == ["mph", "%", "%", "%"]
    assert "…" not in result.stdout
    assert "lb/ft³" in lines[head - 2]


def test_the_surplus_in_the_table_is_the_one_that_the_verdict_was_made_from(axletrim, demo):
    two_seater = str(Path(demo).parents[1] / "ostrel_two_seater" / "straight_morning")  # driven at the rear
    arguments = ("1", "--reading", "--from", "220 km/h", "--to", "220 km/h")
    judged = json.loads(axletrim("speeds", two_seater, *arguments, "--json").stdout)
    shown = axletrim("speeds", two_seater, *arguments, "--width", 160).stdout
    row = next(line for line in shown.splitlines() if "◐ OVERSTEER?" in line)
    low, high = judged["grip_surplus_driven_interval"][0]
    nominal = judged["grip_surplus_driven"][0]
    figures = f"{nominal * 100:.0f} {low * 100:.0f} to {high * 100:.0f}".replace("-", "\N{MINUS SIGN}")
    assert figures in " ".join(row.split())
    picked = axletrim("speeds", two_seater, *arguments, "--quantity", "grip_surplus").stdout
    assert "verdicts use grip_surplus_driven" in picked


@pytest.mark.parametrize("width", [40, 60, 80, 100, 160])
def test_columns_go_whole_and_lines_fit(axletrim, demo, width):
    for others in ((), ("--chart",), ("--quantity", "verdict_shares")):
        result = axletrim("speeds", demo, "15", "--width", width, *others)
        assert result.returncode == 0
        if others != ("--quantity", "verdict_shares") or width >= 80:
            assert max(map(len, result.stdout.splitlines())) <= width
    plain = axletrim("speeds", demo, "15", "--width", width)
    assert "verdict" in plain.stdout
    assert "in balance" in plain.stdout


@pytest.mark.parametrize(
    "name",
    [None, "axle_loads", "front_load_share", "neutral_steer_shift", "drag", "drag_N", "rear_downforce_N"],
)
def test_charts(axletrim, demo, name):
    picked = () if name is None else ("--quantity", name)
    result = axletrim("speeds", demo, "15", "--chart", *picked)
    assert result.returncode == 0, result.stderr
    assert result.stderr == ""
    assert "km/h" in result.stdout


def test_a_chart_that_is_not_drawn_lists_those_that_are(axletrim, demo, spoken):
    words = spoken(axletrim("speeds", demo, "15", "--chart", "--quantity", "aero_balance"))
    assert "grip_surplus, axle_loads, front_load_share, neutral_steer_shift, drag" in words


@pytest.mark.parametrize("encoding", ["latin-1", "cp1252", "ascii"])
def test_a_chart_in_plain_characters(axletrim, demo, encoding):
    written = "utf-8" if encoding == "ascii" else encoding  # click takes ascii for a misconfigured utf-8
    result = axletrim("speeds", demo, "15", "--chart", PYTHONIOENCODING=encoding, encoding=written)
    assert result.returncode == 0
    assert "***" in result.stdout
    assert "\\u" not in result.stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("99",), "run: found '99', expected one of: 1, 2, 3"),
        (("as delivered",), "run: found 'as delivered'"),
        (("8",), "run: found '8'"),  # void
        (("15", "--quantity", "grip_surpls"), "did you mean 'grip_surplus'?"),
        (("15", "--step", "0 km/h"), "--step: found '0 km/h', expected a speed above 0"),
        (("15", "--step", "0.001 km/h"), "take a wider step"),
        (("15", "--from", "300 km/h"), "--from, --to, --step: speeds: found"),
        (("15", "--from", "quick"), "--from: found 'quick'"),
        (("15", "--to", "-1 mph"), "--to: found '-1 mph', expected a speed above 0"),
    ],
)
def test_what_cannot_be_swept(axletrim, demo, spoken, arguments, words):
    result = axletrim("speeds", demo, *arguments)
    assert words in spoken(result)
    assert result.stdout == ""


def test_one_speed_alone(record):
    sweep = record("15", "--from", "160 km/h", "--to", "160 km/h")
    assert sweep["speed_m_s"] == pytest.approx([160 / 3.6])


@pytest.mark.parametrize("name", ["drag_N", "drag", "DRAG_n"])
def test_a_key_is_found_however_it_is_written(record, name):
    found = record("15", "--quantity", name)
    assert set(found) == {"format", "run", "runs", "air_density_kg_m3", "speed_m_s", "drag_N", "drag_N_std"}
