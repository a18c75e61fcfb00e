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


def at_speeds(make_session, runs):
    """Runs of (angle, speed, label), each with the loads of its angle at 50 m/s."""
    session = make_session(
        [(100.0 * (v / 50.0) ** 2, REAR[a] * (v / 50.0) ** 2, DRAG[a] * (v / 50.0) ** 2) for a, v, _ in runs],
        configurations=[label for *_, label in runs],
        runs=[{"settings": {"wing": Setting(value=a, unit="deg")}, "speed": v} for a, v, _ in runs],
    )
    fits = fits_of_session(session, reduce_session(session))
    return find_setting_sweeps(find_increments(session, fits, dynamic_pressure=PRESSURE))


def test_a_value_run_at_several_speeds_is_taken_at_the_family_s_own(make_session):
    """The middle speed of all five is 50 m/s: of 2 degrees the runs at 50 and 50.9 m/s, within 2 %, and not that at 40."""
    runs = [(2.0, 40.0), (2.0, 50.0), (2.0, 50.9), (5.0, 50.0), (8.0, 51.1)]
    (sweep,) = at_speeds(make_session, [(*one, "car") for one in runs])
    assert sweep.runs == (("2", "3"), ("4",), ("5",))
    assert sweep.order == ("1", "2", "3", "4", "5")
    alone = [(2.0, 40.0), (2.0, 50.0), (2.0, 51.1), (5.0, 50.0), (8.0, 51.1)]
    (sweep,) = at_speeds(make_session, [(*one, "car") for one in alone])
    assert sweep.runs == (("2",), ("4",), ("5",))


@pytest.mark.parametrize(
    ("labels", "apart"),
    [
        (("wing 2 deg", "wing 5 deg"), False),
        (("Wing", "wing again"), False),
        (("car wing 2", "car wing 5, refitted after lunch"), False),
        (("baseline", "wing 5"), False),
        (("wing 2", "wing 5 taped"), True),
        (("low car", "car"), True),
        (("a2", "b5"), False),  # a word with a digit is a number
    ],
)
def test_labels_that_tell_of_more_than_the_setting(make_session, labels, apart):
    (sweep,) = at_speeds(make_session, [(2.0, 50.0, labels[0]), (5.0, 50.0, labels[1])])
    assert sweep.named_apart is apart
