"""Which runs are worth a thought: by the list of the plan, on an invented car whose parts and merits are stated here."""

import numpy as np
import pytest

from balance.decide.plan.candidates import LEADING, between_values, candidates, hosts_of
from balance.decide.plan.configuration import configuration
from balance.model.records import Adjuster

WORTH = {
    ("wing", 4.0): 100.0,
    ("wing", 8.0): 300.0,
    ("gurney", 10.0): 50.0,
    ("splitter", 60.0): 250.0,
    ("canards", "pair"): 40.0,
    ("vents", "open"): -30.0,
}
"""What each part is worth here; together they add up. [N]"""
BARE = configuration({})
TRIED = tuple(
    configuration(one)
    for one in (
        {},
        {"splitter": 60.0},
        {"wing": 4.0},
        {"wing": 8.0},
        {"splitter": 60.0, "wing": 8.0},
        {"wing": 8.0, "gurney": 10.0},
        {"vents": "open"},
        {"canards": "pair"},
    )
)
BEST = configuration({"splitter": 60.0, "wing": 8.0})


def merit(some):
    return np.array([sum(WORTH.get(pair, 0.0) for pair in one.settings) for one in some])


def listed(tried=TRIED, best=BEST, wanted=(), **more):
    found = candidates(tried, BARE, best, wanted, merit, **more)
    kinds = {}
    for one in found:
        assert one.configuration not in kinds  # each once
        kinds[one.configuration] = one.kind
    return kinds


def test_neighbours_of_the_best_are_one_change_away():
    kinds = listed()
    assert kinds[configuration({"wing": 8.0})] == "off"
    assert kinds[configuration({"splitter": 60.0})] == "off"
    assert kinds[configuration({"splitter": 60.0, "wing": 4.0})] == "value"
    assert kinds[configuration({"splitter": 60.0, "wing": 6.0})] == "between"
    assert kinds[configuration({"splitter": 60.0, "wing": 8.0, "canards": "pair"})] == "value"
    assert (kinds[BARE], kinds[BEST]) == ("baseline", "best")


def test_what_stands_on_a_wing_comes_and_goes_with_it():
    assert hosts_of(TRIED) == {"gurney": ("wing",)}
    best = configuration({"splitter": 60.0, "wing": 8.0, "gurney": 10.0})
    kinds = listed(tried=(*TRIED, best), best=best)
    assert kinds[configuration({"splitter": 60.0})] == "off"  # the wing off, and the flap with it
    assert not any("gurney" in one.names and "wing" not in one.names for one in kinds)
    alone = configuration({"gurney": 10.0})
    assert hosts_of((*TRIED, alone)) == {}  # it was run without


def test_what_stands_on_a_spoiler_or_on_a_wing_is_told_by_where_it_was_run():
    on_spoiler = configuration({"rear_spoiler": 20.0, "gurney": 5.0, "canards": "pair"})
    assert hosts_of([BARE, on_spoiler]) == {"gurney": ("rear_spoiler",)}
    plates = configuration({"wing": 4.0, "end_plate": "large", "spoiler": 20.0})
    assert hosts_of([BARE, plates]) == {"end_plate": ("spoiler", "wing")}
    assert hosts_of([BARE, configuration({"gurney": 5.0, "canards": "pair"})]) == {}  # nothing to stand on


def test_a_gap_is_that_to_the_nearest_values():
    known = [configuration({"wing": value}) for value in (2.0, 4.0, 8.0, 12.0, 20.0)]
    assert between_values("wing", known[2], known, []) == (6.0, 10.0)
    assert between_values("wing", known[0], known, []) == (3.0,)
    assert between_values("wing", known[4], known, []) == (16.0,)
    assert between_values("lip", known[4], known, []) == ()


def test_a_flap_that_is_put_on_brings_its_wing():
    kinds = listed(best=configuration({"splitter": 60.0}))
    assert kinds[configuration({"splitter": 60.0, "wing": 8.0, "gurney": 10.0})] in ("value", "union")
    assert configuration({"splitter": 60.0, "gurney": 10.0}) not in kinds


def test_unions_are_of_parts_that_were_not_run_together():
    kinds = listed()
    unions = [one for one, kind in kinds.items() if kind == "union"]
    assert configuration({"splitter": 60.0, "wing": 4.0, "canards": "pair"}) in unions
    assert not set(unions) & set(TRIED)
    assert all(2 <= len(one.names) <= 5 for one in unions)
    assert max(unions, key=lambda one: float(merit([one])[0])) in unions


def test_only_the_leading_parts_are_put_together():
    names = [f"part_{k}" for k in range(LEADING + 2)]
    tried = [BARE, *(configuration({name: "on"}) for name in names)]

    def by_number(some):
        return np.array([sum(-float(name.partition("_")[2]) for name in one.names) for one in some])

    found = candidates(tried, BARE, tried[1], (), by_number)
    leading = set(names[:LEADING])
    assert all(one.configuration.names <= leading for one in found if one.kind == "union")
    assert any(names[LEADING - 1] in one.configuration.names for one in found if one.kind == "union")


def test_at_most_two_hundred():
    tried = [BARE, *(configuration({f"part_{k}": float(v)}) for k in range(12) for v in range(3))]
    assert len(candidates(tried, BARE, tried[1], (), merit)) == 200


@pytest.mark.parametrize(
    ("holes", "values"),
    [
        ((), (6.0, 10.0)),
        ((5.0, 11.0), (5.0, 11.0)),
        ((4.0, 8.0, 12.0), ()),
        ((5.0, 6.5, 7.5), (6.5,)),
    ],
)
def test_the_middle_of_a_gap_or_the_hole_nearest_to_it(holes, values):
    known = [configuration({"wing": at}) for at in (4.0, 8.0, 12.0)]
    adjusters = [
        Adjuster(setting="wing", unit="deg", holes=tuple((str(k), at) for k, at in enumerate(holes)))
    ]
    assert between_values("wing", known[1], known, adjusters) == values


def test_limits_leave_out_what_may_not_be():
    limits = Adjuster(setting="wing", unit="deg", low=4.0, high=7.0)
    kinds = listed(adjusters=[limits])
    assert {one.value("wing") for one in kinds} <= {None, 4.0, 6.0}


def test_a_wanted_run_is_one_until_it_was_made():
    new = configuration({"vents": "open", "wing": 4.0})
    kinds = listed(wanted=[(new, True), (BEST, True)])
    assert kinds[new] == "wanted"
    assert kinds[BEST] == "best"
