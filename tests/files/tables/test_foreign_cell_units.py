"""Tables whose units stand behind each figure: the same runs as with the units over the columns."""

import itertools

import pytest

DAY = {"speed": "160 km/h", "air_density": "1.225 kg/m^3", "forces": "as read", "lift_sign": "up"}
BARE = "Run;Configuration;Front lift;Rear lift;Drag\n"
HEAD = "Run;Configuration;Speed;Temperature;Wing angle;Front lift;Rear lift;Drag\n"


def column(plan, name):
    return [row[plan.header.index(name)] for row in plan.rows]


def test_units_in_the_cells_are_those_of_the_column(planned):
    plan = planned(
        HEAD
        + "1;base;160 km/h;21 °C;4 deg;84 N;260 N;1150 N\n2;lip;161 km/h;22 °C;6 deg;-140 N;275 N;1162 N\n"
    )
    assert plan.ready
    assert column(plan, "speed [km/h]") == ["160", "161"]
    assert column(plan, "temperature [degC]") == ["21", "22"]
    assert column(plan, "wing_angle [deg]") == ["4", "6"]
    assert column(plan, "front_lift [N]") == ["84", "-140"]
    assert "'Front lift': a unit stands in its cells, as in '84 N'" in plan.understood


@pytest.mark.parametrize(
    ("figure", "plain"), [("1.162,5", "1162.5"), ("−84,0", "-84.0"), ("1 162,25", "1162.25"), ("84", "84")]
)
@pytest.mark.parametrize(("gap", "unit"), itertools.product(["", " ", "\u00a0"], ["N", "kN", "lbf", "kgf"]))
def test_a_figure_of_any_shape_keeps_its_unit(planned, figure, plain, gap, unit):
    plan = planned(BARE + f"1;base;{figure}{gap}{unit};260,5{gap}{unit};1150,5{gap}{unit}\n")
    assert plan.ready
    assert column(plan, f"front_lift [{unit}]") == [plain]


def test_other_units_in_some_cells_are_brought_to_that_of_the_column_and_said(planned):
    plan = planned(
        "Run;Configuration;Speed;Front lift;Rear lift;Drag\n1;base;160 km/h;84 N;260 N;1150 N\n"
        "2;lip;100 mph;-100 lbf;0.2 kN;1162 N\n3;base;160;84;261;1151\n"
    )
    assert plan.ready
    # 1 mile is 1.609344 km, 1 lb 0.45359237 kg: international yard and pound, by definition; g0 after CGPM 1901
    assert column(plan, "speed [km/h]") == ["160", "160.934", "160"]
    assert column(plan, "rear_lift [N]") == ["260", "200", "261"]
    assert float(column(plan, "front_lift [N]")[1]) == pytest.approx(-100 * 0.45359237 * 9.80665, abs=0.05)
    assert "'Rear lift': brought to N from another unit in the cell: line 3" in plan.understood


def test_names_that_end_like_a_unit_stay_names(planned):
    plan = planned(
        "Run;Configuration;Vents;Front lift [N];Rear lift [N];Drag [N]\n"
        "12 K;4 mm;2 mm;84;260;1150\n12 N;base;open;-140;275;1162\n"
    )
    assert plan.ready
    assert column(plan, "run") == ["12 K", "12 N"]
    assert column(plan, "configuration") == ["4 mm", "base"]
    assert column(plan, "vents") == ["2 mm", "open"]


def test_a_cell_with_a_unit_of_another_kind_is_asked_about(planned):
    plan = planned(BARE + "1;base;84 N;260 N;1150 N\n2;lip;84 kg/m^3;260 N;1150 N\n")
    assert [question.key.split(".")[0] for question in plan.questions] == ["units"]
    assert "line 3" in plan.questions[0].text
