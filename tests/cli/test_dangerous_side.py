"""The front over the rear is the dangerous side: no tolerance of a car's file hides it."""

import json

import pytest

# Static rear weight of the small car: 1290 kg, 54.2 % front, so 1290 * 9.80665 * 0.458 = 5794 N at the rear. With the
# front neither pressed nor lifted and X lifted off the rear, the surplus is (1 - X/5794)^0.86 - 1: 285 N give -4.25 %,
# 395 N -5.9 %, 40 N -0.6 % (hand arithmetic; the default exponent 0.86 stated so that no draw moves it).
REAR_LIFT = {"-4.25 %": 285, "-5.9 %": 395, "-0.6 %": 40}
STATED = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\ndegrees_of_freedom = 20\n'


@pytest.fixture
def day(desk):
    def write(target, lift, stated=STATED, second="base"):
        vehicle = (
            desk.car / "vehicle.toml"
        ).read_text() + f'[target]\n{target}\n[tyres]\ngrip_load_exponent = "0.86 exactly"\n'
        session = (desk.session / "session.toml").read_text() + stated
        runs = f"run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,base,0,{lift},1150\n2,{second},0,{lift},1150\n"
        return desk.write(vehicle=vehicle, session=session, runs=runs)

    return write


def test_a_wide_rear_tolerance_does_not_open_the_dangerous_side(axletrim, day):
    record = json.loads(axletrim("table", day('tolerance = "5 %"', REAR_LIFT["-4.25 %"]), "--json").stdout)
    run = record["runs"][0]
    assert run["grip_surplus"] == pytest.approx(-0.0425, abs=0.0005)
    assert run["verdict"] == "front overpowers rear"
    assert record["tolerance"] == {"rear": 0.05, "front": 0.015}
    assert any("oversteer 1.5 % assumed" in text for text in record["warnings"])


@pytest.mark.parametrize("width", ["80", "120"])
def test_a_wide_front_tolerance_is_shown_in_every_verdict_and_the_danger_is_still_told(axletrim, day, width):
    said = axletrim("table", day('front_tolerance = "15 %"', REAR_LIFT["-5.9 %"]), "--width", width).stdout
    rows = [line for line in said.splitlines() if "│" in line and "in balance" in line]
    assert len(rows) == 1  # both readings are of one configuration
    assert "in balance, 15 %" in rows[0]
    flat = " ".join(said.split())
    assert (
        "an oversteer limit of 15.0 %, where 1.5 % is usual: a car in balance may have more oversteer" in flat
    )
    assert "Notes - run 1: warning: past the usual 1.5 % oversteer limit in more than 99 % of draws" in flat


def test_without_scatter_a_wide_front_tolerance_hides_no_danger(axletrim, day):
    said = axletrim(
        "table", day('front_tolerance = "15 %"', REAR_LIFT["-5.9 %"], stated="", second="other")
    ).stdout
    assert "warning: the front has 5.9 % more grip; the usual oversteer limit is 1.5 %" in " ".join(
        said.split()
    )


@pytest.mark.parametrize(
    ("tolerance", "doubted"), [("1.5 %", False), ("3 %", False), ("3.1 %", True), ("15 %", True)]
)
def test_check_asks_whether_a_front_tolerance_above_three_per_cent_was_meant(
    axletrim, day, tolerance, doubted
):
    said = axletrim("check", day(f'front_tolerance = "{tolerance}"', REAR_LIFT["-0.6 %"])).stdout
    assert ("is the point in the right place?" in said) is doubted


@pytest.mark.parametrize(
    ("lift", "felt"),
    [
        ("-0.6 %", "behaves much as in slow corners"),
        ("-4.25 %", "the rear lets go earlier than in slow corners"),
        ("-5.9 %", "the rear lets go earlier than in slow corners"),
    ],
)
def test_what_the_driver_feels_follows_the_surplus_and_not_the_band(axletrim, day, tmp_path, lift, felt):
    folder = day('front_tolerance = "15 %"', REAR_LIFT[lift])
    made = axletrim("report", folder, "-o", tmp_path / "page.html")
    assert made.returncode == 0, made.stderr
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert felt in page
    assert ("more oversteer than in slow corners)" in page) is (lift != "-0.6 %")
    assert ("much as in slow corners" in page) is (lift == "-0.6 %")


def test_axles_that_read_nothing_do_not_lift(axletrim, desk):
    runs = "run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,base,0,0,1150\n2,base,0,0,1150\n"
    said = axletrim("table", desk.write(runs=runs), "--width", "200").stdout
    assert "too small: none" in said
    assert "LIFT at" not in said
