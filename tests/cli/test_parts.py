"""`axletrim parts`, `compare` and `repeatability`: what each part did, and what a day can show."""

import csv
import io
import json
import re

import pytest

FORCES = ("front_downforce", "rear_downforce", "downforce", "drag")
BARE = """\
run,configuration,wing_angle [deg],front_lift [N],rear_lift [N],drag [N],baseline
1,base,,84,260,1150,
2,wing,5,120,-330,1195,1
3,wing,8,140,-420,1220,1
"""
REPEATED = BARE + "4,base,,90,255,1153,\n"
UNTOUCHED = BARE.replace("2,wing", "1b,base,,88,254,1154,\n2,wing", 1)
STATED = """\
[repeatability]
front = "7 N"
rear = "7 N"
drag = "4 N"
degrees_of_freedom = 20
"""


@pytest.fixture
def record(axletrim, demo):
    def read(command, *arguments, session=None):
        result = axletrim(command, session or demo, *arguments, "--json")
        assert result.returncode == 0, result.stderr
        return json.loads(result.stdout, parse_constant=pytest.fail)

    return read


def by_run(record):
    return {part["run"]: part for part in record["parts"]}


def test_every_run_with_a_baseline_stands_in_the_record(record):
    parts = record("parts")
    assert parts["format"] == "axletrim-parts/1"
    assert parts["speed_m_s"] == pytest.approx(160 / 3.6)
    assert parts["air_density_kg_m3"] == 1.2
    assert parts["confidence"] == 0.95
    assert set(by_run(parts)) == {str(k) for k in range(1, 25)} - {"8"}
    splitter = by_run(parts)["4"]
    assert splitter["baseline"] == "1"
    assert splitter["baseline_runs"] == ["1", "2", "6", "13", "24"]
    assert splitter["differs"] == ["splitter_length"]
    assert splitter["package"] is False
    assert splitter["case"] == "more downforce for more drag"
    assert splitter["class"] == "gains for a price"
    assert splitter["downforce_per_drag_set"]["kind"] == "bounded"
    low, high = (splitter["downforce_per_drag_set"][end] for end in ("low", "high"))
    assert low < splitter["downforce_per_drag"] < high
    assert splitter["downforce_per_drag"] == pytest.approx(
        splitter["downforce_change_N"] / splitter["drag_change_N"]
    )
    for name in FORCES:
        low, high = splitter[f"{name}_change_N_interval"]
        assert low < splitter[f"{name}_change_N"] < high
        assert splitter[f"{name}_change_N_resolved"] is (low > 0 or high < 0)
        assert splitter[f"{name}_change_N_std"] > 0
    assert by_run(parts)["23"]["package"] is True
    assert by_run(parts)["22"]["baseline_proposed"] is True
    assert parts["repeatability"]["source"] == "facility and repeats"
    assert parts["drift"][0]["correction_offered"] is False
    assert parts["interactions"]


def test_speed_and_density_rescale_what_is_stated(record):
    near, far = record("parts"), record("parts", "--speed", "80 km/h", "--air-density", "0.6 kg/m^3")
    for run, part in by_run(near).items():
        for name in FORCES:
            assert by_run(far)[run][f"{name}_change_N"] == pytest.approx(part[f"{name}_change_N"] / 8)
        assert by_run(far)[run]["downforce_per_drag"] == (
            None if part["downforce_per_drag"] is None else pytest.approx(part["downforce_per_drag"])
        )


def test_every_run_against_one(record):
    parts = by_run(record("parts", "--baseline", "15"))
    assert all(part["baseline"] == "15" for run, part in parts.items() if run != "15")
    assert parts["17"]["class"] == "same configuration"
    assert parts["1"]["baseline_proposed"] is False
    ranked = record("parts", "--baseline", "15", "--rank", "drag")["parts"]
    assert "15" not in [part["run"] for part in ranked]


@pytest.mark.parametrize(
    ("rank", "key"),
    [
        ("downforce", "downforce_change_N"),
        ("drag", "drag_change_N"),
        ("rear", "rear_downforce_change_N"),
        ("front", "front_downforce_change_N"),
        ("target", "moved_toward_target"),
        ("ratio", "downforce_per_drag"),
    ],
)
def test_ranks_put_the_most_first_and_each_comparison_once(record, rank, key):
    parts = record("parts", "--rank", rank)["parts"]
    figures = [part[key] for part in parts]
    assert figures == sorted(figures, reverse=True)
    assert all(part["mirrors"] is None and part["differs"] for part in parts)
    assert len({(*part["runs"], *part["baseline_runs"]) for part in parts}) == len(parts)


def test_csv_has_a_row_a_part(axletrim, demo, record):
    result = axletrim("parts", demo, "--csv")
    assert result.returncode == 0
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    parts = record("parts")["parts"]
    assert [row["run"] for row in rows] == [part["run"] for part in parts]
    assert float(rows[0]["downforce_change_N_interval_low"]) == parts[0]["downforce_change_N_interval"][0]
    assert float(rows[0]["stated_speed_m_s"]) == pytest.approx(160 / 3.6)
    both = axletrim("parts", demo, "--csv", "--json")
    assert both.returncode == 2


@pytest.mark.parametrize("width", [60, 80, 100, 120, 160])
def test_the_page_fits_and_keeps_class_and_run(axletrim, demo, width):
    short, full = (axletrim("parts", demo, "--width", width, *option) for option in ((), ("--full",)))
    for result in (short, full):
        assert result.returncode == 0
        assert all(len(line) <= width for line in result.stdout.splitlines())
        for words in (" effect", "run less baseline"):
            assert words in result.stdout
        assert re.search(
            r"^  4 .*splitter.* (\+DF \+drag|more downforce, more drag)", result.stdout, re.MULTILINE
        )
        head = result.stdout[: result.stdout.index(" effect")]
        assert "at 148 km/h, 1.200 kg/m³" in " ".join(head.split())
    for words in ("What each part did", "Together beyond the sum of each alone", "\nCautions\n"):
        assert words in full.stdout
        assert words not in short.stdout


def test_us_customary_units_and_words_of_the_ratio(axletrim, demo):
    said = " ".join(axletrim("parts", demo, "--units", "us", "--speed", "100 mph", "--full").stdout.split())
    assert "At 100 mph, splitter length 60 mm adds" in said
    assert "lbf gained per lbf of drag" in said
    shed = axletrim("parts", demo, "--units", "us", "--speed", "100 mph", "--baseline", "18", "--full").stdout
    said += " ".join(shed.split())
    assert "lbf given up per lbf saved" in said
    assert " N " not in said.replace("[N]", "")


def test_nothing_known_means_nothing_resolved_and_a_way_out(axletrim, desk, record):
    desk.write(runs=BARE)
    parts = record("parts", session=desk.session)
    assert parts["repeatability"]["source"] is None
    assert parts["drift"] == []
    for part in parts["parts"]:
        assert part["class"] in ("scatter unknown", "same configuration")
        assert part["downforce_per_drag"] is None
        assert part["downforce_per_drag_set"] == {"kind": "none", "low": None, "high": None}
        for name in FORCES:
            assert part[f"{name}_change_N_resolved"] is False
            assert part[f"{name}_change_N_std"] is None
            assert part[f"{name}_change_N_interval"] is None
    for command in ("parts", "repeatability"):
        said = " ".join(axletrim(command, desk.session).stdout.split())
        assert "run the baseline again" in said
    assert "NOTHING IS SIGNIFICANT" in axletrim("parts", desk.session).stdout


def test_untouched_repeats_are_named(axletrim, desk, record):
    desk.write(runs=UNTOUCHED)
    parts = record("parts", session=desk.session)
    assert parts["repeatability"]["untouched_repeats_only"] is True
    assert all(part["untouched_repeats_only"] for part in parts["parts"])
    said = " ".join(axletrim("parts", desk.session).stdout.split())
    assert "refitting assumed, NOTHING IS CALLED SIGNIFICANT" in said
    assert "run the baseline again" in said


def test_a_drift_is_taken_out_where_there_is_one_and_both_figures_stand(axletrim, desk, record):
    rows = ["run,configuration,front_lift [N],rear_lift [N],drag [N],baseline"]
    kinds = ["base", "wing", "base", "lip", "base", "flap", "base"]
    rows += [
        f"{k},{kind},{84 - 6 * k + k % 2},{260 - 300 * (kind != 'base')},{1150 + k % 3},{'' if kind == 'base' else 1}"
        for k, kind in enumerate(kinds, 1)
    ]
    desk.write(runs="\n".join(rows) + "\n")
    plain = record("parts", session=desk.session)
    corrected = record("parts", "--correct-drift", session=desk.session)
    assert plain["drift"][0]["front_downforce_drift_N_per_run_resolved"] is True
    assert plain["drift"][0]["correction_offered"] is True
    assert (plain["drift_corrected"], corrected["drift_corrected"]) == (False, True)
    for before, after in zip(plain["parts"], corrected["parts"], strict=True):
        key = "front_downforce_change_N"
        assert before[key] == before["as_measured"][key] == after["as_measured"][key]
        assert after[key] == after["drift_corrected"][key] == before["drift_corrected"][key]
    wing = by_run(plain)["2"], by_run(corrected)["2"]
    assert wing[0]["front_downforce_change_N"] != pytest.approx(wing[1]["front_downforce_change_N"], abs=1.0)
    assert "drift is significant and NOT REMOVED" in axletrim("parts", desk.session).stdout
    assert "DRIFT REMOVED" in axletrim("parts", desk.session, "--correct-drift").stdout


HALF_DRIFTING = """\
run,block,configuration,wing [deg],splitter [mm],front_lift [N],rear_lift [N],drag [N]
1,am,base,,,84,260,1150
2,am,wing,5,,70,-40,1190
3,am,base,,,72,261,1152
4,am,wing,5,,57,-41,1189
5,am,base,,,60,260,1151
6,pm,base,,,80,258,1150
7,pm,splitter,,40,-120,262,1158
8,pm,base,,,77,261,1151
9,pm,base,,,81,261,1150
"""
"""The morning's baseline falls by 6 N a run at the front, the afternoon's stands still."""


def test_a_part_of_a_block_without_a_drift_stands_as_measured_and_says_so(axletrim, desk, record):
    desk.write(runs=HALF_DRIFTING)
    plain = by_run(record("parts", session=desk.session))
    corrected = by_run(record("parts", "--correct-drift", session=desk.session))
    for run, taken in (("2", True), ("7", False)):
        assert plain[run]["drift_taken_out"] is False
        assert corrected[run]["drift_taken_out"] is taken
    for name in FORCES:
        for key in (
            f"{name}_change_N",
            f"{name}_change_N_std",
            f"{name}_change_N_interval",
            f"{name}_change_N_detectable",
        ):
            assert corrected["7"][key] == plain["7"][key]
    assert corrected["7"]["downforce_per_drag_set"] == plain["7"]["downforce_per_drag_set"]
    assert corrected["2"]["front_downforce_change_N_std"] < plain["2"]["front_downforce_change_N_std"]
    said = axletrim("parts", desk.session, "--correct-drift", "--width", "150", "--full").stdout
    flat = " ".join(said.split())
    assert "DRIFT REMOVED, not of ‡ (--correct-drift leaves it in)" in flat
    assert "of ‡ as measured: total" in flat
    assert [line.split()[0] for line in said.splitlines() if line.startswith(("  2", "  7"))] == ["2", "7‡"]
    assert flat.count("no drift is removed from it: none is significant in its block") == 1
    assert "of 1 of 2 parts" in " ".join(axletrim("parts", desk.session).stdout.split())


def test_where_a_drift_cancels_in_the_order_of_running_that_is_said(axletrim, desk, record):
    """A-L-A-B-A-L-A: the baselines' mean stands where B was run, so that a steady drift changes no figure."""
    rows = HALF_DRIFTING.splitlines()[:1]
    loads = [(84, "", ""), (78, "", 40), (72, "", ""), (66, 5, ""), (61, "", ""), (54, "", 40), (48, "", "")]
    rows += [
        f"{k},,{'wing' if wing else 'lip' if lip else 'base'},{wing},{lip},{front},260,{1150 + k % 2}"
        for k, (front, wing, lip) in enumerate(loads)
    ]
    desk.write(runs="\n".join(rows) + "\n")
    plain, corrected = (
        by_run(record("parts", *option, session=desk.session))["3"] for option in ((), ("--correct-drift",))
    )
    key = "front_downforce_change_N"
    assert corrected[key] == pytest.approx(plain[key], abs=1e-9)
    assert corrected[f"{key}_std"] < plain[f"{key}_std"]
    said = " ".join(axletrim("parts", desk.session, "--correct-drift", "--full").stdout.split())
    assert "its figures stay, its intervals are without the drift" in said


def test_a_part_over_blocks_has_no_drift_taken_out(axletrim, desk, record):
    head, *rows = HALF_DRIFTING.splitlines()
    stated = [f"{row},{'1' if row.startswith('7,') else ''}" for row in rows]
    desk.write(runs="\n".join([f"{head},baseline", *stated]) + "\n")
    plain, corrected = (
        by_run(record("parts", *option, session=desk.session))["7"] for option in ((), ("--correct-drift",))
    )
    assert corrected["drift_taken_out"] is False
    for name in FORCES:
        assert corrected[f"{name}_change_N_interval"] == plain[f"{name}_change_N_interval"]
    said = " ".join(axletrim("parts", desk.session, "--correct-drift", "--full").stdout.split())
    assert "no drift is removed from it: it reaches over blocks" in said


def test_where_no_part_lies_in_a_block_that_drifts_none_is_said_to_be_out(axletrim, desk):
    """The wing of the morning is stated against the afternoon's baseline, so that both parts miss the morning's drift."""
    head, *rows = HALF_DRIFTING.splitlines()
    stated = [f"{row},{'6' if row.startswith(('2,', '4,')) else ''}" for row in rows]
    desk.write(runs="\n".join([f"{head},baseline", *stated]) + "\n")
    said = " ".join(axletrim("parts", desk.session, "--correct-drift").stdout.split())
    assert "a drift is significant, but CANNOT BE REMOVED from these parts" in said
    assert "DRIFT REMOVED" not in said


def test_without_a_drift_that_is_said_on_stderr_alone(axletrim, demo):
    result = axletrim("parts", demo, "--correct-drift")
    assert result.returncode == 0
    assert "no drift is significant, so none was removed" in result.stderr


def test_two_runs_compared(axletrim, demo, record):
    found = record("compare", "4", "15")
    assert found["format"] == "axletrim-compare/1"
    assert (found["run"], found["baseline"]) == ("15", "4")
    assert found["runs"] == ["15", "17"]
    assert found["differs"] == ["wing_angle"]
    part = by_run(record("parts"))["15"]
    for name in FORCES:
        assert found[f"{name}_change_N"] == pytest.approx(part[f"{name}_change_N"])
    back = record("compare", "15", "4")
    assert back["downforce_change_N"] == pytest.approx(-found["downforce_change_N"])
    assert back["downforce_per_drag"] == pytest.approx(found["downforce_per_drag"])
    assert (back["verdict_before"], back["verdict_after"]) == (
        found["verdict_after"],
        found["verdict_before"],
    )
    said = " ".join(axletrim("compare", demo, "4", "15", "--width", 100).stdout.split())
    for words in (
        "mean of runs 15, 17 against run 4",
        "wing angle 5°",
        "significant",
        "Downforce per drag of the part 13.2 N gained per N of drag",
        "of the whole car, not of the part",
        "without ▼ MORE OVERSTEER than in slow corners from 61 km/h",
        "run 1",
    ):
        assert words in said


def test_two_baselines_around_a_run_may_be_named(record, axletrim, demo, tmp_path):
    """Runs 6 and 13 are the car as delivered before and after run 11, which was made 95 of 180 minutes after the first."""
    found = record("compare", "6 and 13", "11")
    assert (found["baseline"], found["second_baseline"], found["interpolated_by"]) == ("6", "13", "time")
    assert found["interpolated_share"] == pytest.approx(95.0 / 180.0)
    page = tmp_path / "two.html"
    assert axletrim("compare", demo, "6 and 13", "11", "-o", page).returncode == 0
    assert "between runs 6 and 13" in page.read_text("utf-8")


def test_without_names_it_is_the_recommendation_against_the_start(record):
    """The demo's report.toml names run 15, and the day began as delivered."""
    found = record("compare")
    assert (found["baseline"], found["run"]) == ("1", "15")
    assert (found["range_verdict_before"], found["range_verdict_after"]) == (
        "front overpowers rear",
        "in balance",
    )


def test_configurations_are_found_by_name_where_that_is_one_set_of_settings(axletrim, demo, record, spoken):
    found = record("compare", "As Delivered", "10")
    assert (found["baseline"], found["run"]) == ("1", "10")
    said = spoken(axletrim("compare", demo, "as delivered", "splitter and wing"))
    assert "different settings" in said
    assert "name the run" in said
    assert "did you mean" in spoken(axletrim("compare", demo, "as deliverd", "10"))
    assert "the run itself" in spoken(axletrim("compare", demo, "10", "10"))


@pytest.mark.parametrize(
    ("command", "arguments", "words"),
    [
        ("parts", ("--baseline", "77"), "run"),
        ("parts", ("--baseline", "8"), "run"),
        ("parts", ("--speed", "fast"), "--speed"),
        ("parts", ("--rank", "beauty"), "rank"),
        ("compare", ("4",), "name two runs"),
    ],
)
def test_slips_are_refused_in_plain_words(axletrim, demo, spoken, command, arguments, words):
    assert words in spoken(axletrim(command, demo, *arguments))


def test_the_scatter_of_the_day(axletrim, demo, record):
    day = record("repeatability")
    assert day["format"] == "axletrim-scatter/1"
    assert day["repeatability"]["channels"]["front"]["degrees_of_freedom"] == 24
    assert day["facility"]["front_N"] == pytest.approx(7.0)
    assert day["refitted_repeats"]["degrees_of_freedom"] == 4
    assert day["untouched_repeats"]["degrees_of_freedom"] == 1
    assert [one["runs"] for one in day["repeats"]] == [["1", "2", "6", "13", "24"], ["15", "17"]]
    for quantity in ("front", "rear", "drag", "total"):
        least = day["least_significant_difference_N"][quantity]
        assert 0 < least < day["smallest_detectable_difference_N"][quantity]
        runs = [size[quantity] for size in day["runs_on_each_side"]]
        assert runs == sorted(runs, reverse=True)
    said = " ".join(axletrim("repeatability", demo, "--width", 80).stdout.split())
    for words in (
        "Single runs: 42 N of total downforce and 16 N of drag are detectable (80 % power)",
        "facility's figure",
        "least significant difference",
        "smallest detectable change",
        "a part of 10 N",
        "runs 1, 2, 6, 13, 24, car changed in between",
        "not offered: no drift is significant",
        "A-B-A runs 15, 16, 17",
    ):
        assert words in said


@pytest.mark.parametrize("width", [60, 80, 120])
def test_scatter_and_comparison_fit_the_page(axletrim, demo, width):
    for arguments in (("repeatability", demo), ("compare", demo, "1", "23"), ("compare", demo, "4", "15")):
        result = axletrim(*arguments, "--width", width)
        assert result.returncode == 0, result.stderr
        assert all(len(line) <= width for line in result.stdout.splitlines())


def test_a_stated_figure_alone_is_said(axletrim, desk):
    desk.write(runs=BARE, session=desk_session())
    said = " ".join(axletrim("repeatability", desk.session).stdout.split())
    assert "No run was repeated: the facility's figure stands alone" in said
    desk.write(runs=REPEATED, session=desk_session())
    said = " ".join(axletrim("repeatability", desk.session).stdout.split())
    assert "repeats and facility together" in said


def desk_session():
    return f"""\
title = "Spring tunnel day (invented)"
vehicle = "../vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.225 kg/m^3"
forces = "as read"
{STATED}"""


AROUND = """\
run,time,configuration,wing [deg],front_lift [N],rear_lift [N],drag [N],baseline
1,09:00,base,,80,260,1150,
2,09:20,wing,5,80,-60,1180,{around}
3,10:00,base,,80,260,1210,
4,10:10,wing,8,80,-120,1230,
"""


def test_a_part_between_two_baselines_is_interpolated_by_the_clock(axletrim, desk, record):
    """A third of the way from 1150 N to 1210 N stands 1170 N: the wing costs 10 N."""
    desk.write(runs=AROUND.format(around="1 and 3"), session=desk_session())
    part = by_run(record("parts", session=desk.session))["2"]
    assert (part["baseline"], part["second_baseline"], part["baseline_runs"]) == ("1", "3", ["1", "3"])
    assert part["interpolated_by"] == "time"
    assert part["interpolated_share"] == pytest.approx(1.0 / 3.0)
    assert part["drag_change_N"] == pytest.approx(10.0)
    assert "1–3" in axletrim("parts", desk.session).stdout
    desk.write(runs=AROUND.format(around="1"), session=desk_session())
    alone = by_run(record("parts", session=desk.session))["2"]
    assert alone["drag_change_N"] == pytest.approx(
        0.0, abs=1e-9
    )  # against the mean of both, as far from the run or not
    assert (alone["second_baseline"], alone["interpolated_by"], alone["interpolated_share"]) == (
        None,
        None,
        None,
    )


@pytest.mark.parametrize(
    ("around", "found"),
    [
        ("1 and 9", "'9', which is no run here"),
        ("1 and 1", "the same run twice"),
        ("3 and 4", "both on one side of this run"),
        ("1 and 3 and 4", "3 runs"),
        ("2 and 3", "the run itself"),
    ],
)
def test_baselines_that_are_not_around_the_run_are_faults(axletrim, desk, around, found):
    desk.write(runs=AROUND.format(around=around), session=desk_session())
    result = axletrim("check", desk.session)
    assert result.returncode != 0
    said = " ".join((result.stdout + result.stderr).split())
    assert found in said
    assert "baseline" in said
