"""Whatever a day holds, the plan answers with finite figures or says what to state."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.day.day import reduce_day
from balance.decide.plan.clock import planned_order
from balance.decide.plan.day_belief import belief_of_day
from balance.decide.plan.judged_reading import judge_run
from balance.decide.plan.next_run import next_runs
from balance.model.plans import Choose, DayPlan, Hours, Know, WantedRun
from balance.model.records import Setting
from tests.properties.conftest import build_session

VALUES = {
    "wing": st.sampled_from([2.0, 5.0, 5.5, 14.0]),
    "ride_height": st.sampled_from([30.0, 40.0]),
    "vents": st.sampled_from(["open", "louvred", "taped"]),
    "gurney": st.sampled_from([10.0, 20.0]),
}
SETTINGS = st.fixed_dictionaries({}, optional=VALUES)
RUNS = st.lists(
    st.fixed_dictionaries(
        {
            "label": st.sampled_from(["base", "base again", "package", "wing off"]),
            "settings": SETTINGS,
            "block": st.sampled_from(["", "", "pm"]),
            "status": st.sampled_from(["good", "good", "good", "suspect", "void"]),
            "time": st.sampled_from(["", "09:00", "11:59", "late", "23:10"]),
            "speed": st.sampled_from([None, None, 40.0]),
            "front": st.floats(-900.0, 900.0),
            "rear": st.floats(-900.0, 900.0),
            "drag": st.floats(400.0, 2000.0),
        }
    ),
    min_size=1,
    max_size=7,
)
WANTED = st.lists(st.tuples(SETTINGS, st.booleans()), max_size=5)
AIMS = st.sampled_from([Choose(), Choose(drag_worth=0.0), Know(downforce=15.0, drag=6.0), Know(rear=1e-3)])
PLANS = st.builds(
    lambda wanted, aim, hours, every, enough: DayPlan(
        wanted=tuple(WantedRun(settings=one, must=must) for one, must in wanted),
        aim=aim,
        hours=hours,
        baseline_every=every,
        enough=enough,
    ),
    WANTED,
    AIMS,
    st.sampled_from(
        [None, Hours(start=32400.0, end=61200.0, breaks=((43200.0, 45900.0),)), Hours(start=0.0, end=1.0)]
    ),
    st.sampled_from([None, 1, 3]),
    st.sampled_from([None, 0.0, 40.0]),
)


def session_of(rows, deviation):
    return build_session(
        [(one["front"], one["rear"], one["drag"]) for one in rows],
        configurations=[one["label"] for one in rows],
        runs=[
            {
                "settings": {
                    name: Setting(value=value, unit="" if isinstance(value, str) else "mm")
                    for name, value in one["settings"].items()
                },
                "reason": "any" if one["status"] != "good" else "",
                **{key: one[key] for key in ("block", "status", "time", "speed")},
            }
            for one in rows
        ],
        deviation=deviation,
    )


@settings(deadline=None, max_examples=60)
@given(RUNS, PLANS, st.sampled_from([(7.0, 7.0, 4.0), (None, None, None), (7.0, None, None)]))
def test_any_day_gets_finite_figures(rows, plan, deviation):
    session = session_of(rows, deviation)
    if not session.used:
        return
    stand = belief_of_day(reduce_day(session, draws=100), plan)
    found = next_runs(stand, plan)
    assert all(
        np.isfinite([one.worth, one.time, one.worth_rate]).all() and one.worth >= 0.0 for one in found.runs
    )
    assert all(np.isfinite(one.expected.mean).all() and (one.expected.std > 0.0).all() for one in found.runs)
    assert found.time_left is None or all(one.time <= found.time_left for one in found.runs)
    assert len({one.configuration for one in found.runs}) == len(found.runs) <= 200
    order = planned_order(stand, plan)
    planned = [slot for slot in order.cheapest.slots if slot.kind == "run"]
    made = {one.put("configuration", None) for one in stand.fitted}
    assert not {slot.configuration for slot in planned} & made
    assert order.cheapest.change_time <= order.typed.change_time + 1e-6 or order.dropped
    assert all(
        np.isfinite(one.correlation) and abs(one.correlation) <= 1.0 + 1e-9 for one in order.cheapest.shared
    )
    for run in session.used:
        judged = judge_run(session, plan, run.label)
        assert judged.inside in ("95", "99.7", "outside")
        assert judged.inside != "95" or all(one.kind in ("total", "drag", "sign") for one in judged.likely)
