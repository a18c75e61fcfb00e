"""What a part did, in one class, from what is resolved."""

from types import SimpleNamespace

import numpy as np
import pytest

from balance.compare.classes import PartClass, part_classes


def classify(front, rear, drag, total, *, known=True, assumed=False):
    """Signs of the resolved changes; 0 is not resolved."""
    sense = np.array([[front, rear, drag, total]], float)
    changes = SimpleNamespace(
        change=np.where(sense == 0, 0.1, sense),
        resolved=sense != 0,
        scatter_known=known,
        refit_assumed=np.full(4, assumed),
    )
    return part_classes(changes)[0]


@pytest.mark.parametrize(
    ("drag", "total", "expected"),
    [
        (1, 1, "gains for a price"),
        (-1, -1, "sheds for a saving"),
        (-1, 1, "gains and saves"),
        (1, -1, "loses and costs"),
        (0, 1, "gains at no measured cost"),
        (0, -1, "loses at no measured saving"),
    ],
)
@pytest.mark.parametrize("axles", [(0, 0), (1, -1), (1, 1), (-1, 0)])
def test_a_resolved_total_decides_with_drag(drag, total, expected, axles):
    assert classify(*axles, drag, total) == (PartClass(expected), None)


@pytest.mark.parametrize("drag", [-1, 0, 1])
def test_axles_in_opposite_senses_move_load(drag):
    assert classify(1, -1, drag, 0) == (PartClass.MOVES_LOAD_FORWARD, "both")
    assert classify(-1, 1, drag, 0) == (PartClass.MOVES_LOAD_REARWARD, "both")


def test_one_axle_stands_for_an_unresolved_total_and_is_named():
    assert classify(1, 0, 0, 0) == (PartClass.GAINS_AT_NO_MEASURED_COST, "front")
    assert classify(0, -1, 0, 0) == (PartClass.LOSES_AT_NO_MEASURED_SAVING, "rear")
    assert classify(0, 1, 1, 0) == (PartClass.GAINS_FOR_A_PRICE, "rear")
    assert classify(-1, -1, 1, 0) == (PartClass.LOSES_AND_COSTS, "both")


def test_drag_alone_and_nothing_at_all():
    assert classify(0, 0, 1, 0)[0] is PartClass.COSTS_FOR_NO_MEASURED_GAIN
    assert classify(0, 0, -1, 0)[0] is PartClass.SAVES_AT_NO_MEASURED_LOSS
    assert classify(0, 0, 0, 0) == (PartClass.LESS_THAN_SHOWN, None)
    assert classify(0, 0, 0, 0, known=False) == (PartClass.SCATTER_UNKNOWN, None)
    assert classify(0, 0, 0, 0, assumed=True) == (PartClass.REFIT_ASSUMED, None)
