"""The parts of the invented cars, against what their readings were made from (`vehicles/README.md`)."""

import json
from pathlib import Path

import numpy as np
import pytest

import balance
from balance.compare.increments import find_increments
from balance.decide.parts.baselines import against
from balance.decide.parts.parts import RankBy, assess_parts, rank_parts
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.export.records_csv import to_json
from balance.tell.parts.parts_json import parts_record
from balance.tell.repeatability.scatter_json import FORCES
from balance.units.text import parse_quantity

VEHICLES = Path(__file__).parents[2] / "vehicles"

# Brindlow hatch, N at 160 km/h and 1.2 kg/m³: front downforce, rear downforce, drag
HATCH = {
    ("splitter_length", 40.0): (320, -10, 10),
    ("splitter_length", 60.0): (470, -18, 22),
    ("canards", "pair"): (48, -9, 11),
    ("spoiler_height", 25.0): (-12, 120, 8),
    ("spoiler_height", 55.0): (-38, 235, 46),
    ("wing_angle", 2.0): (-94, 449, 35),
    ("wing_angle", 5.0): (-123, 578, 50),
    ("wing_angle", 8.0): (-152, 697, 69),
    ("wing_angle", 11.0): (-180, 795, 94),
    ("wing_angle", 14.0): (-203, 758, 165),
    ("flap_height", 10.0): (-22, 80, 15),
    ("vents", "bonnet louvres"): (85, -6, 9),
}
SPLITTER_WITH_WING = (32, -8, -6)
CANARD_TURNED_IN_RUN_5 = (-15, 3, 5)
# Ostrel two-seater, lbf at 100 mph and 1.2 kg/m³
TWO_SEATER = {
    ("wing_angle", 6.0): (0, 0, 0),
    ("wing_angle", 9.0): (-5, 24, 7),
    ("wing_angle", 12.0): (-9, 43, 16),
    ("canards", "pair"): (30, -5, 6),
}


def truth(run, table):
    """What the run's readings were made from, less the base."""
    true = np.zeros(3)
    for name, setting in run.settings.items():
        true += table[name, setting.value]
    if table is HATCH:
        if "splitter_length" in run.settings and "wing_angle" in run.settings:
            true += SPLITTER_WITH_WING
        if run.label == "5":
            true += CANARD_TURNED_IN_RUN_5
    return np.append(true, true[0] + true[1])


def inside(parts, table, unit):
    """For each comparison, whether front, rear, drag and total lie inside their intervals."""
    runs = parts.day.readings.runs
    changes = parts.increments.changes
    found = []
    for row in rank_parts(parts, RankBy.DOWNFORCE):
        pair = parts.increments.pairs[row]
        true = (truth(runs[pair.run], table) - truth(runs[pair.baseline], table)) * unit
        found.append((changes.low[row] <= true) & (true <= changes.high[row]))
    return np.array(found)


@pytest.fixture(scope="module")
def hatch():
    return balance.reduce_day(balance.load_session(VEHICLES / "brindlow_hatch" / "tunnel_day"))


@pytest.fixture(scope="module")
def two_seater():
    return balance.reduce_day(balance.load_session(VEHICLES / "ostrel_two_seater" / "straight_morning"))


@pytest.mark.parametrize("baseline", [None, "1", "18"])
def test_the_hatch_s_true_values_lie_inside_nearly_all_intervals(hatch, baseline):
    parts = assess_parts(hatch if baseline is None else against(hatch, baseline))
    held = inside(parts, HATCH, 1.0)
    assert held.size >= 60
    assert held.mean() >= 0.9


@pytest.mark.parametrize("baseline", [None, "1"])
def test_the_two_seater_s_true_values_lie_inside_nearly_all_intervals(two_seater, baseline):
    density = 1.2
    parts = assess_parts(
        two_seater if baseline is None else against(two_seater, baseline),
        speed=parse_quantity("100 mph", "speed"),
        air_density=density,
    )
    held = inside(parts, TWO_SEATER, parse_quantity("1 lbf", "force"))
    assert held.size >= 16
    assert held.mean() >= 0.9


def test_every_large_part_is_resolved_with_the_right_sign(hatch):
    parts = assess_parts(hatch)
    changes, runs = parts.increments.changes, hatch.readings.runs
    for row in rank_parts(parts, RankBy.DOWNFORCE):
        pair = parts.increments.pairs[row]
        true = truth(runs[pair.run], HATCH) - truth(runs[pair.baseline], HATCH)
        for column in (FRONT, REAR, DRAG, TOTAL):
            if abs(true[column]) > 2.0 * changes.detectable[row, column]:
                assert changes.resolved[row, column]
                assert np.sign(changes.change[row, column]) == np.sign(true[column])


def test_the_record_says_what_the_increments_say(hatch):
    parts = assess_parts(hatch)
    record = json.loads(to_json(parts_record(parts)))
    increments = find_increments(
        hatch.session, hatch.fits,
        dynamic_pressure=parts.increments.uncorrected.dynamic_pressure,
    )  # fmt: skip
    assert record["format"] == "axletrim-parts/1"
    assert [part["run"] for part in record["parts"]] == [i.run for i in increments]
    for part, i in zip(record["parts"], increments, strict=True):
        assert part["baseline"] == i.baseline
        assert part["differs"] == list(i.differs)
        assert part["package"] == (len(i.differs) > 1)
        for name in FORCES:
            change, key = getattr(i, name), f"{name}_change_N"
            assert part[key] == pytest.approx(change.change)
            assert part[f"{key}_std"] == pytest.approx(change.std)
            assert part[f"{key}_interval"] == pytest.approx([change.low, change.high])
            assert part[f"{key}_resolved"] is change.resolved
        assert part["downforce_per_drag"] == i.ratio.value
        assert part["downforce_per_drag_set"]["kind"] in ("bounded", "outside", "whole line", "none")
        assert part["case"] == i.ratio.case
        assert part["sentence"].endswith(".")


def test_interactions_of_splitter_and_wing_hold_the_true_one(hatch):
    record = parts_record(assess_parts(hatch))
    found = [one for one in record["interactions"] if set(one["base_runs"]) >= {"1", "6"}]
    assert [one["together_runs"] for one in found] == [["15", "17"], ["18"]]
    assert all(one["parts"] == ["splitter_length", "wing_angle"] for one in found)
    for name, true in zip(("front_downforce", "rear_downforce", "drag"), SPLITTER_WITH_WING, strict=True):
        low, high = found[0][f"{name}_interaction_N_interval"]
        assert low <= true <= high
