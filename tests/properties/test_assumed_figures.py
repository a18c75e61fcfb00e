"""What is assumed where nothing is stated, and from where on something is said: each as the vocabulary and the docstrings tell it.

All of it is common practice, no source, unless something else stands beside it. An answer that rests on one of these changes
where it is moved, for every car: so none is moved by the way.
"""

import importlib

import pytest

ASSUMED = {
    "decide.day.best_balanced": {"DRAG_WORTH": 5.0},
    "decide.day.overturned": {
        "LOAD_REACH": 0.5,
        "SHARE_REACH": 0.10,
        "EXPONENT_REACH": 0.3,
        "HIGHEST": 0.6,
        "LOAD_DOUBT": 0.05,
        "SHARE_DOUBT": 0.003,
        "EXPONENT_DOUBT": 0.03,
        "HEIGHT_DOUBT": 0.05,
    },
    "decide.day.range_seen": {"BEYOND_TESTS": 1.22},  # half as much dynamic pressure again
    "decide.day.range_verdict": {"RANGE_DRAWS": 2_000},
    "decide.day.verdict": {"LIGHT_LOAD": 0.01, "DANGER_SHARE": 0.05},
    "decide.day.onsets": {"FASTEST": 150.0},
    "decide.doubts.entry_doubts": {
        "SIGN_SLACK": 0.3,
        "TEN_SLACK": 0.3,
        "MOST_OF_AXLE": 3.0,
        "DRAG_OF_USUAL": (0.5, 2.0),
        "STEEPEST_OF_FAMILY": 2.0,
        "STEEPEST_PER_DEGREE": 0.15,
        "FEWEST_SETTINGS": 3,
        "RANGES_OUTSIDE": 2.0,
    },
    "decide.doubts.expected": {"SAME_SPEED": 0.20, "SURE_OF_STEP": 1.0 / 16.0},
    "decide.doubts.plausibility": {
        "FRONT_TOLERANCE_DOUBT": 0.03,
        "DRAG_AREA_RANGE": (0.3, 2.0),
        "SPEED_DEPARTURE": 0.20,
        "DENSITY_DEPARTURE": 0.03,
        "SCALED_ALIKE": 0.05,
        "APART": 15.0,
    },
    "decide.doubts.standing_out": {"OUTSIDE": 0.99},
    "decide.parts.part_place": {"MISMATCH": 0.1},
    "decide.plan.change_times": {"READING": 300.0, "FIT_OR_TAKE_OFF": 600.0, "VALUE_TO_VALUE": 300.0},
    "decide.plan.clock": {"PROTECTED_MORE": 2},
    "decide.plan.day_belief": {
        "UNKNOWN_READING": 0.005,
        "REFIT": 2.0,
        "DRIFT_A_RUN": 0.2,
        "BLOCK_SHARE": 0.03,
    },
    "decide.plan.expected_reading": {"NEVER_RUN": 4.0},
    "decide.plan.judged_reading": {"NEARER": 3.0, "USUAL_DRAG": 0.4, "TOTAL_APART": 0.02},
    "decide.plan.merit": {"REAR_PENALTY": 3.0, "FRONT_PENALTY": 6.0},
    "decide.plan.next_run": {
        "PLANS": ((1, 1), (1, 2), (1, 4), (1, 8), (2, 1), (4, 1)),
        "ENOUGH_SHARE": 0.02,
        "ENOUGH_OF_NOISE": 0.25,
    },
    "decide.plan.part_contrasts": {"SHARED": 0.3},
    "decide.plan.planned_day": {"MORE_BASELINES": 3},
    "decide.plan.prior": {
        "PAIR_SHARE": 0.15,
        "LARGE": (0.20, 0.20, 0.04),
        "SMALL": (0.07, 0.07, 0.014),
        "UNIT_DRAG": 0.35,
    },
    "decide.settings.ballast": {"MOST_BALLAST": 60.0},
    "decide.settings.response": {
        "SLIGHT_FALL": 0.02,
        "FLATTER": 0.5,
        "STALLED_SHARE": 0.5,
        "POSSIBLY_SHARE": 0.05,
    },
    "compare.resolution": {"MOST_REPEATS": 1000},
    "handling.top_speed": {"ROLLING_RESISTANCE": 0.015},
    "handling.axle_loads": {"STANDARD_GRAVITY": 9.80665},  # ISO 80000-3
    "model.records": {"USUAL_FRICTION": 1.1},
    "reduce.drag_couple": {"REACTED_WITHIN": 0.05},
    "reduce.draws": {"DECISION_DRAWS": 10_000},
    "reduce.readings": {"ASSUMED_HUMIDITY": 0.5},
    "reduce.repeatability": {"CORRELATION_NEEDS": 4.0, "REFIT_FACTOR": 2.5},
    "reduce.repeats": {"SPEED_TOLERANCE": 0.02},
    "reduce.stated_draws": {
        "STIFFNESS_RANGE": (0.6, 0.9),
        "STIFFNESS_DIFFERENCE": 0.10,
        "STIFFNESS_STATED": 0.075,
        "GRIP_RANGE": (0.8, 0.95),
        "GRIP_DIFFERENCE": 0.05,
        "GRIP_STATED": 0.0375,
        "SHARE_STD": 0.003,
        "FRICTION_STD": 0.025,
    },
}


@pytest.mark.parametrize("module", ASSUMED)
def test_what_is_assumed_is_what_is_said(module):
    found = vars(importlib.import_module(f"balance.{module}"))
    assert {name: found[name] for name in ASSUMED[module]} == ASSUMED[module]
