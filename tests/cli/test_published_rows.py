"""Published rows as a session of their own: through the files, the model and `table --json`.

Y. Yamamoto, open design project "formula-ppoino", wiki page "fp024f Rear Fender Study" (2021): an open
two-seater, CFD, lift positive up; moment about mid-wheelbase at the ground, nose-up positive; the last two
columns are the rear share of the lift and lift over drag.

N. Ashton et al., "DrivAerML", arXiv:2408.11969, force files of the single runs: a notchback, scale-resolving
CFD, lift positive up. Quotients of their mixed signs, -21 %, -157 % and 370 %, are no shares.

Weights, wheelbase, frontal area, speed and density are of our own choice: coefficients do not depend on them.
"""

import json
from decimal import Decimal

import pytest

ROWS = {  # configuration: Cm, Cd, Cl, Clf, Clr, rear share, L/D
    "control": ("0.0263", "0.5688", "-0.1923", "-0.0698", "-0.1225", "0.6369", "-0.3380"),
    "deck 50 mm higher": ("0.0258", "0.5684", "-0.1941", "-0.0713", "-0.1229", "0.6328", "-0.3416"),
    "control body only": ("0.0013", "0.4574", "-0.2300", "-0.1137", "-0.1163", "0.5056", "-0.5029"),
    "control front wheels only": ("0.0211", "0.0491", "0.0304", "0.0363", "-0.0059", "-0.1936", "0.6187"),
    "control rear wheels only": ("0.0039", "0.0623", "0.0073", "0.0076", "-0.0003", "-0.0379", "0.1179"),
}
NOTCHBACK = {  # run: Cd, Cl, Clf, Clr
    "11": ("0.3158833", "0.1196749", "-0.02481210", "0.1444870"),
    "12": ("0.2629017", "0.04532444", "-0.07135743", "0.1166819"),
    "13": ("0.2729501", "-0.04254468", "-0.1575819", "0.1150373"),
}
PRESSED_DOWN = list(ROWS)[:3]
VEHICLE = """\
name = "open two-seater of our own choice"
[mass]
total = "650 kg"                # our choice
front_share = "45 %"            # our choice
[size]
wheelbase = "2400 mm"           # our choice
frontal_area = "1.3 m^2"        # our choice
"""
SESSION = """\
title = "published rows"
vehicle = "../vehicle.toml"
[facility]
speed = "150 km/h"              # our choice
air_density = "1.2 kg/m^3"      # our choice
"""


@pytest.fixture
def day(desk):
    head = "run,configuration,front_lift_coefficient,rear_lift_coefficient,drag_coefficient\n"
    lines = [f"{k},{name},{row[3]},{row[4]},{row[1]}" for k, (name, row) in enumerate(ROWS.items(), 1)]
    lines += [f"{run},notchback {run},{row[2]},{row[3]},{row[0]}" for run, row in NOTCHBACK.items()]
    desk.write(vehicle=VEHICLE, session=SESSION, runs=head + "\n".join(lines) + "\n")
    return desk.session


@pytest.fixture
def runs(axletrim, day):
    result = axletrim("table", day, "--json")
    assert result.returncode == 0, result.stderr
    return {run["configuration"]: run for run in json.loads(result.stdout)["runs"]}


def half(text):
    return 0.5 * 10.0 ** int(Decimal(text).as_tuple().exponent)


def test_derived_columns(runs):
    for name, row in ROWS.items():
        moment, drag, lift, front, rear, _, ratio = map(float, row)
        run = runs[name]
        assert run["drag_coefficient"] == pytest.approx(drag, rel=1e-12)
        assert run["front_lift_coefficient"] == pytest.approx(front, rel=1e-12)
        assert run["rear_lift_coefficient"] == pytest.approx(rear, rel=1e-12)
        inputs = half(row[3]) + half(row[4])
        assert run["lift_coefficient"] == pytest.approx(lift, rel=0, abs=1.000001 * (half(row[2]) + inputs))
        assert run["pitching_moment_coefficient"] == pytest.approx(
            moment, rel=0, abs=half(row[0]) + inputs / 2
        )
        slack = half(row[6]) + (inputs + abs(ratio) * half(row[1])) / drag
        assert run["downforce_to_drag"] == pytest.approx(-ratio, rel=0, abs=slack)


def test_rear_share_is_what_the_front_share_leaves(runs):
    for name in PRESSED_DOWN:
        *_, front, rear, share, _ = ROWS[name]
        total = abs(float(front) + float(rear))
        inputs = (abs(float(front)) * half(rear) + abs(float(rear)) * half(front)) / total**2
        assert 1.0 - runs[name]["aero_balance"] == pytest.approx(
            float(share), rel=0, abs=half(share) + inputs
        )
        assert runs[name]["balance_offset"] == pytest.approx(runs[name]["aero_balance"] - 0.45, rel=1e-9)


def test_front_shares_as_a_person_reads_them(axletrim, day):
    text = axletrim("table", day, "--width", "300").stdout
    lines = {name: next(line for line in text.splitlines() if name in line) for name in ROWS}
    assert "36.3 %," in lines["control"]
    assert "36.7 %," in lines["deck 50 mm higher"]


def test_no_share_where_an_axle_lifts_neither_in_text_nor_in_json(axletrim, day, runs):
    text = axletrim("table", day, "--width", "300").stdout.splitlines()
    axles = {name: (float(row[3]), float(row[4])) for name, row in ROWS.items() if name not in PRESSED_DOWN}
    axles |= {f"notchback {run}": (float(row[2]), float(row[3])) for run, row in NOTCHBACK.items()}
    for name, (front, rear) in axles.items():
        run = runs[name]
        assert run["aero_balance"] is run["aero_balance_std"] is run["balance_offset"] is None
        quotients = (front / (front + rear), rear / (front + rear))
        figures = [value for value in run.values() if isinstance(value, float)]
        assert not [f for f in figures for q in quotients if f == pytest.approx(q, rel=1e-3)]
        line = next(line for line in text if name in line)
        axle = "front" if front > 0 else "rear"
        assert f"LIFT at {axle}: none" in line
        assert " points " not in line
        assert "behind" not in line
        for quotient in quotients:
            assert f"{100 * abs(quotient):.1f}" not in line


def test_one_step_that_gains_downforce_and_sheds_drag_is_given_as_two_figures(runs):
    step = {k: runs["deck 50 mm higher"][k] - runs["control"][k] for k in ("downforce_N", "drag_N")}
    assert step["downforce_N"] > 0 > step["drag_N"]
