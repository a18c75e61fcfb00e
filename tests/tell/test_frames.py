"""Frames for a notebook: the figures of ``--json``, a row each, with their units."""

import numpy as np
import pandas as pd
import pytest

import balance
from balance.decide.car.prepared_day import prepare_day
from balance.decide.settings.families import find_families
from balance.decide.settings.response import fit_response
from balance.decide.what_if.what_if import evaluate_what_if
from balance.model.what_ifs import WhatIf

DEMO = "vehicles/brindlow_hatch/tunnel_day"


@pytest.fixture(scope="module")
def day():
    return balance.reduce_day(balance.load_session(DEMO), draws=500)


def test_an_assessment_has_a_row_a_configuration_with_the_figures_of_its_record(day):
    table = balance.assess(day, speed=40.0, rows=day.rows.configurations)
    found = balance.frame(table)
    assert isinstance(found, pd.DataFrame)
    records = balance.table_record(table)["configurations"]
    assert list(found.index) == [record["name"] for record in records]
    for key in ("front_downforce_N", "rear_downforce_N_std", "drag_N", "grip_surplus", "range_verdict"):
        assert found[key].tolist() == [record[key] for record in records]
    ends = [record["grip_surplus_interval"] for record in records]
    np.testing.assert_array_equal(found[["grip_surplus_low", "grip_surplus_high"]].to_numpy(), np.array(ends))
    assert found.attrs["speed_m_s"] == 40.0


def test_every_column_of_numbers_has_a_unit(day):
    found = balance.frame(balance.assess(day, rows=day.rows.configurations))
    units = found.attrs["units"]
    assert set(units) == set(found.select_dtypes("float").columns)
    assert (units["front_downforce_N_std"], units["drag_area_m2"], units["leaves_band_at_m_s_low"]) == (
        "N",
        "m^2",
        "m/s",
    )
    assert units["grip_surplus"] == "1"


def test_parts_have_a_row_each(day):
    parts = balance.assess_parts(day)
    found, records = balance.frame(parts), balance.parts_record(parts)["parts"]
    assert list(found.index) == [record["run"] for record in records]
    assert found["drag_change_N"].tolist() == [record["drag_change_N"] for record in records]
    assert found.loc["15", "runs"] == "15, 17"
    assert found.attrs["units"]["drag_change_N_detectable"] == "N"


def test_a_sweep_goes_by_its_speeds(day):
    speeds = np.array([30.0, 40.0, 50.0])
    found = balance.frame(balance.sweep(day, day.rows.standing[0], speeds))
    assert found.index.tolist() == speeds.tolist()
    assert found["drag_N"].is_monotonic_increasing


def test_a_response_and_what_ifs(day):
    prepared = prepare_day(day)
    family = next(one for one in find_families(prepared, "wing_angle") if "14" in one.labels)
    curve = balance.frame(fit_response(prepared, family))
    assert curve.index.name == "wing_angle"
    assert curve.attrs["unit"] == "deg"
    assert curve["inside_useful_range"].tolist() == [True, True, True, True, False]
    result = evaluate_what_if(prepared, WhatIf(name="heavier", start="15", mass=1250.0))
    cars = balance.frame([result])
    assert list(cars.index) == ["heavier, start", "heavier, result"]
    assert cars["rear_downforce_N"].tolist() == [result.start.forces[1], result.result.forces[1]]
    pd.testing.assert_frame_equal(cars, balance.frame(result))


def test_what_is_no_result_is_refused():
    with pytest.raises(TypeError, match="expected an assessment"):
        balance.frame([1, 2])
