"""`axletrim table`: JSON, CSV, units, speed and density, sorting, widths."""

import csv
import io
import json
import math

import pytest

TOP = {
    "format", "session", "speed_m_s", "air_density_kg_m3", "weights_N", "front_weight_share",
    "front_weight_share_std", "wheelbase_m", "tolerance", "target_surplus", "exponents", "draws", "seed", "confidence", "repeatability", "runs",
    "configurations", "warnings",
}  # fmt: skip
RUN = {
    "run", "configuration", "settings", "baseline", "status", "speed_m_s", "dynamic_pressure_Pa", "air_density_kg_m3",
    "air_density_source", "front_downforce_N", "front_downforce_N_std", "rear_downforce_N", "rear_downforce_N_std",
    "downforce_N", "downforce_N_std", "drag_N", "drag_N_std", "front_downforce_area_m2", "rear_downforce_area_m2",
    "downforce_area_m2", "drag_area_m2", "drag_coefficient", "lift_coefficient", "front_lift_coefficient",
    "rear_lift_coefficient", "pitching_moment_coefficient", "downforce_to_drag",
    "drag_power_W",
    "drag_power_W_std", "aero_balance", "aero_balance_std",
    "balance_offset", "front_added_load", "rear_added_load", "front_load_share", "neutral_steer_shift",
    "neutral_steer_shift_std", "grip_surplus", "grip_surplus_std", "grip_surplus_interval", "grip_surplus_driven",
    "grip_surplus_driven_interval", "verdict", "nominal_verdict", "verdict_probability", "verdict_shares",
    "onset_speed_m_s", "onset_speed_interval_m_s", "onset_verdict", "onset_speed_driven_m_s", "onset_driven_verdict", "lift_off_speed_m_s", "lift_off_axle", "notes",
}  # fmt: skip
VERDICTS = {
    "in balance", "rear overpowers front", "front overpowers rear", "at the edge", "cannot tell", "axle off the ground",
}  # fmt: skip


def strict(text):
    """Read JSON as its standard has it: no NaN, no Infinity, no key twice."""

    def no_constant(name):
        pytest.fail(f"{name} in JSON")

    def no_double(pairs):
        assert len({key for key, _ in pairs}) == len(pairs)
        return dict(pairs)

    return json.loads(text, parse_constant=no_constant, object_pairs_hook=no_double)


@pytest.fixture
def record(axletrim):
    def read(*arguments):
        result = axletrim("table", *arguments, "--json")
        assert result.returncode == 0, result.stderr
        assert result.stderr == ""
        return strict(result.stdout)

    return read


CONFIGURATION = RUN | {
    "name", "runs", "readings", "fits", "range_m_s", "range_verdict", "range_verdict_at_m_s", "edge",
    "leaves_band_at_m_s", "leaves_band_at_m_s_interval", "understeer_under_power_at_m_s", "with_drive",
    "beyond_tested", "refit_assumed", "overturned_by",
}  # fmt: skip


def test_json_judges_configurations_by_the_mean_of_their_readings(record, demo):
    table = record(demo)
    runs = {run["run"]: run for run in table["runs"]}
    once = [label for one in table["configurations"] for label in one["runs"]]
    assert len(once) == len(set(once))
    for one in table["configurations"]:
        assert set(one) == CONFIGURATION
        assert one["readings"] == len(one["runs"])
        if one["readings"] == 1:
            assert one["front_downforce_N"] == runs[one["runs"][0]]["front_downforce_N"]
            assert one["name"] == one["configuration"]
    several = next(one for one in table["configurations"] if one["runs"] == ["15", "17"])
    assert several["name"] == "splitter and wing (mean of runs 15, 17)"
    assert several["fits"] == 2  # run 16, another car, stands between them
    for key in ("front_downforce_N", "rear_downforce_N", "drag_N"):
        assert several[key] == pytest.approx((runs["15"][key] + runs["17"][key]) / 2.0)
        assert several[f"{key}_std"] < runs["15"][f"{key}_std"]


def test_json_says_how_far_up_a_car_is_in_balance(record, demo):
    # a car that is at the edge at the speed of the tests, and loose above it, below its top speed of 228 km/h
    table = record(demo, "--speed", "148 km/h")
    spoiler = next(one for one in table["configurations"] if one["runs"] == ["9"])
    assert (spoiler["verdict"], spoiler["range_verdict"]) == ("at the edge", "front overpowers rear")
    low, high = spoiler["leaves_band_at_m_s_interval"]
    assert low < spoiler["leaves_band_at_m_s"] < high
    assert spoiler["range_m_s"] == pytest.approx([118.0 / 3.6, 228.0 / 3.6])
    slow = record(demo, "--speed", "60 km/h")
    same = next(one for one in slow["configurations"] if one["runs"] == ["9"])
    assert {key: same[key] for key in ("range_verdict", "leaves_band_at_m_s")} == {
        key: spoiler[key] for key in ("range_verdict", "leaves_band_at_m_s")
    }


def test_json_says_what_would_overturn_a_verdict_the_nearest_first(record, demo):
    table, fast = record(demo), record(demo, "--speed", "200 km/h")
    usual = {"front_weight_share": 0.003, "exponent_difference": 0.03, "drag_height": 0.05}
    seen = set()
    for one, same in zip(table["configurations"], fast["configurations"], strict=True):
        away = []
        for change in one["overturned_by"]:
            assert set(change) == {"what", "change", "relative", "to", "at_m_s"}
            assert change["what"] in {*usual, "front_downforce", "rear_downforce"}
            assert change["relative"] == change["what"].endswith(
                "downforce"
            )  # none of the demo's axles is near nothing
            assert change["to"] in VERDICTS - {"at the edge", "cannot tell", one["range_verdict"]}
            axle = change["what"].split("_")[0]
            doubt = usual.get(change["what"])
            if doubt is None:
                doubt = max(0.05, one[f"{axle}_downforce_N_std"] / abs(one[f"{axle}_downforce_N"]))
            away.append(abs(change["change"]) / doubt)
            seen.add(change["what"])
        assert away == sorted(away)
        assert one["overturned_by"] == same["overturned_by"]  # it does not hang on the speed shown
    assert seen == {*usual, "front_downforce", "rear_downforce"}
    edge = next(one for one in table["configurations"] if one["runs"] == ["14"])
    assert (edge["range_verdict"], edge["edge"]) == ("at the edge", "front")
    assert {round(change["at_m_s"] * 3.6, 6) for change in edge["overturned_by"]} == {148.0}  # long left
    mean = next(one for one in table["configurations"] if one["runs"] == ["15", "17"])
    assert {change["at_m_s"] for change in mean["overturned_by"]} == {None}
    assert not any("overturned_by" in run for run in table["runs"])


def test_json_has_the_keys_of_its_format(record, demo):
    table = record(demo)
    assert set(table) == TOP
    assert table["format"] == "axletrim-table/1"
    assert set(table["session"]) == {"title", "date", "floor", "vehicle"}
    assert set(table["repeatability"]) == {
        "front_N", "rear_N", "drag_N", "downforce_N", "source", "degrees_of_freedom", "channels",
        "within_fit_N", "between_fits_N", "fits", "refit_assumed",
    }  # fmt: skip
    assert set(table["weights_N"]) == {"front", "rear"}
    assert set(table["tolerance"]) == {"rear", "front"}
    assert set(table["exponents"]) == {"stiffness", "grip"}
    assert all(set(e) == {"value", "range", "assumed"} for e in table["exponents"].values())
    for run in table["runs"]:
        assert set(run) == RUN
        assert {run["verdict"], run["nominal_verdict"]} <= VERDICTS
        assert math.isclose(sum(run["verdict_shares"].values()), 1.0)
    labels = [run["run"] for run in table["runs"]]
    assert labels == [str(k) for k in range(1, 25) if k != 8]  # run 8 is void
    wing = next(run for run in table["runs"] if run["run"] == "20")
    assert wing["settings"]["wing_angle"] == {"value": 11.0, "unit": "deg"}
    assert "vents" not in wing["settings"]


def test_json_is_in_plain_characters_and_keeps_any_text(record, axletrim, desk):
    desk.write(session=desk.session.joinpath("session.toml").read_text().replace("Spring", "Frühling 🏁"))
    assert record(desk.session)["session"]["title"] == "Frühling 🏁 tunnel day (invented)"
    assert axletrim("table", desk.session, "--json").stdout.isascii()


def test_a_car_without_frontal_area_and_scatter_has_nulls(record, desk):
    vehicle = (desk.car / "vehicle.toml").read_text().replace('frontal_area = "1.98 m^2"\n', "")
    desk.write(vehicle=vehicle)
    table = record(desk.session)
    assert table["repeatability"]["source"] is None
    for run in table["runs"]:
        assert set(run) == RUN
        for key in ("drag_coefficient", "lift_coefficient", "pitching_moment_coefficient", "front_downforce_N_std",
                    "verdict_probability", "verdict_shares", "grip_surplus_interval", "onset_speed_interval_m_s"):  # fmt: skip
            assert run[key] is None, key


def test_speed_and_density_state_the_forces(record, demo):
    plain = record(demo)
    fast = record(demo, "--speed", "150 mph", "--air-density", "1.1 kg/m^3")
    assert fast["speed_m_s"] == pytest.approx(150 * 0.44704, rel=1e-12)
    assert fast["air_density_kg_m3"] == 1.1
    ratio = (fast["speed_m_s"] / plain["speed_m_s"]) ** 2 * 1.1 / plain["air_density_kg_m3"]
    for slow_run, fast_run in zip(plain["runs"], fast["runs"], strict=True):
        for key in ("front_downforce_N", "rear_downforce_N", "drag_N", "drag_N_std"):
            assert fast_run[key] == pytest.approx(slow_run[key] * ratio, rel=1e-9)
        for key in ("front_downforce_area_m2", "dynamic_pressure_Pa", "speed_m_s", "downforce_to_drag"):
            assert fast_run[key] == pytest.approx(slow_run[key], rel=1e-9)


def test_csv_has_a_row_a_run_with_the_stated_speed(axletrim, record, demo):
    result = axletrim("table", demo, "--csv", "--speed", "150 mph")
    assert result.returncode == 0
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    runs = record(demo, "--speed", "150 mph")["runs"]
    assert [row["run"] for row in rows] == [run["run"] for run in runs]
    for row, run in zip(rows, runs, strict=True):
        assert float(row["stated_speed_m_s"]) == pytest.approx(150 * 0.44704)
        assert float(row["stated_air_density_kg_m3"]) == 1.2
        assert float(row["drag_N"]) == run["drag_N"]
        low, high = run["grip_surplus_interval"]
        assert (float(row["grip_surplus_interval_low"]), float(row["grip_surplus_interval_high"])) == (
            low,
            high,
        )
    assert "nan" not in result.stdout.casefold()
    assert "\r" not in result.stdout


@pytest.mark.parametrize(
    ("units", "shown", "not_shown"), [("si", "at 160 km/h", "lbf"), ("us", "at 99 mph", "km/h")]
)
def test_units(axletrim, demo, units, shown, not_shown):
    result = axletrim("table", demo, "--units", units)
    assert result.returncode == 0
    assert shown in result.stdout
    assert not_shown not in result.stdout


def test_unknown_units_are_refused(axletrim, demo, spoken):
    assert "'si', 'us'" in spoken(axletrim("table", demo, "--units", "imperial"))


def test_sorting_both_ways_and_in_every_form(axletrim, record, demo):
    rising = [run["drag_N"] for run in record(demo, "--sort", "drag")["runs"]]
    falling = [run["drag_N"] for run in record(demo, "--sort", "-drag")["runs"]]
    assert rising == sorted(rising)
    assert falling == sorted(rising, reverse=True)
    first = axletrim("table", demo, "--sort=-drag").stdout.splitlines()
    top = next(line for line in first if "splitter and wing" in line)
    assert top.split()[0] == "19"
    assert axletrim("table", demo, "--csv", "--sort=-drag").stdout.splitlines()[1].startswith("19,")


def test_runs_without_a_value_stand_last_whichever_way(record, demo):
    for sort in ("wing_angle", "-wing_angle"):
        fitted = ["wing_angle" in run["settings"] for run in record(demo, "--sort", sort)["runs"]]
        assert fitted == sorted(fitted, reverse=True)


def test_an_unknown_column_is_answered_with_the_near_one(axletrim, demo, spoken):
    for sort in ("--sort=wingangle", "--sort=-wingangle"):
        words = spoken(axletrim("table", demo, sort))
        assert "found 'wingangle'" in words
        assert "did you mean 'wing_angle'?" in words


@pytest.mark.parametrize("width", [40, 60, 80, 100, 160, 300])
def test_columns_go_whole_and_lines_fit(axletrim, demo, width):
    result = axletrim("table", demo, "--width", width)
    assert result.returncode == 0
    lines = result.stdout.splitlines()
    assert max(map(len, lines)) <= width
    head = next(line for line in lines if line.startswith("  run"))
    body = lines[lines.index(head) + 2 :][:17]
    assert head.split()[-4:] == ["in", "bal.", "to", "then"]
    assert "…" not in head
    names = slice(head.find("configuration"), head.find("│")) if "configuration" in head else slice(0)
    assert "…" not in "".join(line.replace(line[names], "") for line in body)  # a name alone may give way
    assert len({line[: head.find("│")].split("+")[0] for line in body}) == len(body)
    rules = [[k for k, c in enumerate(line) if c == "│"] for line in (head, *body)]
    assert all(rule == rules[0] for rule in rules)
    assert sum("▼ OVERSTEER" in line for line in body) == 5
    left_out = result.stderr.removeprefix("axletrim: left out for width: ").split(";")[0].split(", ")
    assert not set(head.split()) & {name for name in left_out if " " not in name}
    assert ("left out" in result.stderr) == (width < 300)


def test_a_terminal_of_20_columns(axletrim, demo):
    for columns in ("20", "1"):
        result = axletrim("table", demo, COLUMNS=columns)
        assert result.returncode == 0
        assert max(map(len, result.stdout.splitlines())) <= 40
        assert "▼ OVERSTEER" in result.stdout


def test_the_terminal_says_how_wide(axletrim, demo):
    assert max(map(len, axletrim("table", demo, COLUMNS="70").stdout.splitlines())) <= 70


@pytest.mark.parametrize(
    ("option", "words"),
    [
        (("--draws", "5"), "5 is not in the range 100<=x<=1000000"),
        (("--speed", "0 km/h"), "--speed: found '0 km/h', expected a speed above 0"),
        (("--speed", "-5 km/h"), "--speed: found '-5 km/h', expected a speed above 0"),
        (("--speed", "fast"), "--speed: found 'fast', expected a speed as in '12.5 km/h'"),
        (("--speed", "160"), "write '160 km/h' or '160 mph', whichever it is"),
        (("--speed", "160 kg"), "--speed: found the unit 'kg', which measures a mass, expected a speed unit"),
        (("--speed", "160 kmh"), "write 'km/h'"),
        (("--speed", "1e9 km/h"), "expected above 0 and below 1000"),
        (("--speed", "nan km/h"), "--speed: found 'nan km/h'"),
        (("--speed", ""), "--speed: found nothing"),
        (("--air-density", "1.2"), "--air-density: found '1.2' without a unit"),
        (("--air-density", "0.075 kg/m^3"), "expected a density of air, 0.5 to 2 kg/m^3; check its unit"),
        (("--air-density", "0 kg/m^3"), "--air-density: found '0 kg/m^3', expected a density above 0"),
        (("--confidence", "2"), "2.0 is not in the range 0.5<=x<=0.999"),
        (("--width", "20"), "20 is not in the range 40<=x<=1000"),
    ],
)
def test_options_that_make_no_sense(axletrim, demo, spoken, option, words):
    result = axletrim("table", demo, *option)
    assert words in spoken(result)
    assert result.stdout == ""


def test_draws_and_confidence_stand_in_the_record(record, demo):
    table = record(demo, "--draws", "500", "--confidence", "0.8")
    assert (table["draws"], table["confidence"]) == (500, 0.8)


def test_figures_do_not_flicker(axletrim, demo):
    assert axletrim("table", demo, "--json").stdout == axletrim("table", demo, "--json").stdout
