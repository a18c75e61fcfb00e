"""Sweeps of one setting: families, steps, order of running."""

import pytest

from balance.compare.increments import find_increments
from balance.compare.ratios import RatioCase
from balance.compare.setting_sweeps import find_setting_sweeps
from balance.model.records import Setting
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
REAR = {2.0: 300.0, 5.0: 400.0, 8.0: 450.0, 11.0: 440.0}
DRAG = {2.0: 600.0, 5.0: 620.0, 8.0: 650.0, 11.0: 720.0}


def sweeps(make_session, angles, *, labels=None, blocks=None, offsets=None, others=None):
    fields = [
        {
            "settings": {"wing": Setting(value=a, unit="deg")} | ((others or {}).get(k, {})),
            "block": blocks[k] if blocks else "",
        }
        for k, a in enumerate(angles)
    ]
    offsets = offsets or [0.0] * len(angles)
    session = make_session(
        [(100.0, REAR[a] + o, DRAG[a]) for a, o in zip(angles, offsets, strict=True)],
        configurations=labels or ["car"] * len(angles),
        runs=fields,
    )
    fits = fits_of_session(session, reduce_session(session))
    return find_setting_sweeps(find_increments(session, fits, dynamic_pressure=PRESSURE))


def test_steps_go_up_by_value_and_a_step_past_the_useful_range_shows(make_session):
    (sweep,) = sweeps(make_session, [8.0, 2.0, 11.0, 5.0])
    assert sweep.setting == "wing"
    assert sweep.unit == "deg"
    assert sweep.values.tolist() == [2.0, 5.0, 8.0, 11.0]
    assert sweep.order == ("1", "2", "3", "4")
    assert sweep.steps.change[:, 3] == pytest.approx([100.0, 50.0, -10.0])
    assert sweep.steps.change[:, 2] == pytest.approx([20.0, 30.0, 70.0])
    assert [sweep.ratios[k].case for k in range(3)] == [
        RatioCase.MORE_FOR_MORE,
        RatioCase.MORE_FOR_MORE,
        RatioCase.LESS_AND_MORE,
    ]
    assert sweep.ratios[2].value is None
    assert sweep.loads.change[:, 1] == pytest.approx([300.0, 400.0, 450.0, 440.0])


def test_a_family_is_one_block_with_all_other_settings_alike_whatever_the_labels(make_session):
    flap = {"flap": Setting(value=10.0, unit="mm")}
    found = sweeps(
        make_session,
        [2.0, 5.0, 8.0, 2.0, 5.0, 2.0, 11.0, 5.0],
        labels=["car", "car", "car", "other", "other", "car", "car", "car"],
        blocks=["am"] * 6 + ["pm"] * 2,
        others={2: flap, 5: flap},
    )
    assert [s.order for s in found] == [("1", "2", "4", "5"), ("3", "6"), ("7", "8")]
    assert all(s.setting == "wing" for s in found)


def test_text_settings_and_lone_values_make_no_sweep(make_session):
    vents = [{"vents": Setting(value=v)} for v in ("open", "shut")]
    assert sweeps(make_session, [5.0, 5.0], others=dict(enumerate(vents))) == ()
