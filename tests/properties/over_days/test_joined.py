"""Days of one car joined: what must hold whatever was read, and small cases by hand."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.decide.over_days.joined import (
    car_changes,
    disagreements,
    join_days,
    joined_figures,
    like_others,
    shifts_between,
)
from balance.model.errors import DomainError, InputError, UnknownName
from balance.model.records import Setting

PRESSURE = 0.5 * 1.2 * 50.0**2
AT = {"speed": 50.0, "air_density": 1.2}
TRUE = {"A": 500.0, "B": 540.0, "C": 470.0, "D": 610.0, "E": 430.0}
UNKNOWN = (None, None, None)
ORDERS = st.lists(st.sampled_from("ABCDE"), min_size=1, max_size=7).map(lambda more: "A" + "".join(more))
NOISE = st.lists(st.floats(-20.0, 20.0), min_size=8, max_size=8)


def day_of(make_session, order, title, *, noise=None, shift=0.0, name="", **more):
    """Build a day on which configurations ran in an order, each load the truth plus noise plus the day's shift."""
    noise = [0.0] * len(order) if noise is None else noise
    loads = [TRUE[kind] + shift + own for kind, own in zip(order, noise, strict=False)]
    more = {"deviation": UNKNOWN, **more}
    session = make_session(
        [(load, 0.8 * load, 0.5 * load) for load in loads],
        configurations=list(order),
        title=title,
        **more,
    )
    date = dt.date(2026, 1, 1) + dt.timedelta(days=sum(map(ord, title)))
    return replace(session, date=date, facility=replace(session.facility, name=name))


def changes_by_name(joined, reference="A"):
    """Return change, std and half of the interval of each configuration, by its name."""
    figures = joined_figures(joined, joined.named(reference), **AT)
    found = figures.against
    return {
        joined.run_of(k).configuration: np.array(
            [found.change[k], found.std[k], found.high[k] - found.low[k], found.degrees[k]]
        )
        for k in range(len(joined.configurations))
    }


@given(
    orders=st.lists(ORDERS, min_size=2, max_size=4), noise=NOISE, seed=st.integers(0, 99), one=st.booleans()
)
def test_the_order_of_days_changes_no_comparison(make_session, orders, noise, seed, one):
    days = [
        day_of(
            make_session,
            order,
            f"day {k}",
            noise=np.roll(noise, k),
            shift=17.0 * k,
            name="tunnel" if one or k % 2 else "",
            deviation=(7.0, 7.0, 4.0),
        )
        for k, order in enumerate(orders)
    ]
    turned = np.random.default_rng(seed).permutation(len(days)).tolist()
    found = changes_by_name(join_days(days))
    other = changes_by_name(join_days([days[k] for k in turned]))
    assert found.keys() == other.keys()
    for name, figures in found.items():
        np.testing.assert_allclose(other[name], figures, rtol=1e-6, atol=1e-6, err_msg=name)


@given(
    orders=st.lists(ORDERS, min_size=2, max_size=3),
    noise=NOISE,
    constant=st.tuples(*[st.floats(-300.0, 300.0)] * 3),
)
def test_a_constant_added_to_one_day_changes_the_shift_alone(make_session, orders, noise, constant):
    days = [
        day_of(make_session, order, f"day {k}", noise=np.roll(noise, k), name="tunnel")
        for k, order in enumerate(orders)
    ]
    moved = replace(
        days[1],
        runs=tuple(
            replace(
                run,
                reading=replace(
                    run.reading,
                    front=run.reading.front + constant[0],
                    rear=run.reading.rear + constant[1],
                    drag=run.reading.drag + constant[2],
                ),
            )
            for run in days[1].runs
        ),
    )
    before, after = join_days(days), join_days([days[0], moved, *days[2:]])
    for name, figures in changes_by_name(before).items():
        np.testing.assert_allclose(changes_by_name(after)[name], figures, rtol=1e-6, atol=1e-6, err_msg=name)
    added = np.array([constant[0], constant[1], constant[2], constant[0] + constant[1]])
    moves = shifts_between(after, **AT).change[0] - shifts_between(before, **AT).change[0]
    np.testing.assert_allclose(moves, added, rtol=1e-6, atol=1e-6)


@given(order=ORDERS, noise=NOISE)
def test_a_day_is_not_joined_with_itself(make_session, order, noise):
    day = day_of(make_session, order, "Monday", noise=noise)
    with pytest.raises(InputError, match="found the same day twice, expected different days"):
        join_days([day, replace(day, title="Monday again")])
    with pytest.raises(InputError, match="found 1, expected two or more"):
        join_days([day])


def test_a_part_of_one_day_against_one_of_another_by_hand(make_session):
    """Monday A 0, B 40, A 2 and Thursday A 11, D 119, A 13 beside the truth of A.

    Shift: means of A 12 - 1 = 11. B against D: 40 - 1 - (119 - 12) = -68. Scatter: four fits of A on two days leave
    (1 + 1 + 1 + 1)/2 = 2 N² with 2 degrees of freedom. Variance: B and D one each, A's means on each day 1/2 each: 3 x 2 N².
    """
    monday = day_of(make_session, "ABA", "Monday", noise=[0.0, 0.0, 2.0], name="tunnel")
    thursday = day_of(make_session, "ADA", "Thursday", noise=[11.0, 9.0, 13.0], name="tunnel")
    joined = join_days([monday, thursday])
    figures = joined_figures(joined, joined.named("D"), **AT)
    assert figures.shifts.change[0, 0] == pytest.approx(11.0)
    assert figures.shifts.std[0, 0] == pytest.approx(2.0**0.5)  # 2 N² (1/2 + 1/2)
    row = joined.named("B")
    assert figures.against.change[row, 0] == pytest.approx(-68.0)
    assert figures.against.std[row, 0] == pytest.approx(6.0**0.5)
    assert figures.against.degrees[row, 0] == 2.0
    assert [figures.across[joined.named(name)] for name in "ABD"] == [False, True, False]


def test_days_that_scatter_differently_add_their_variances_by_hand(make_session):
    """As before, each day by itself: 2 N² and 2 N² with one degree each; B 2 x 1 + 2/2 and D the same: 3 + 3 N².

    Effective degrees: (3 + 3)²/(3² + 3²) = 2. Thursday three times as far from its mean: 18 N², so 3 + 27 = 30 N² and
    30²/(3² + 27²) = 1.2195.
    """
    monday = day_of(make_session, "ABA", "Monday", noise=[0.0, 0.0, 2.0])
    thursday = day_of(make_session, "ADA", "Thursday", noise=[11.0, 9.0, 13.0])
    joined = join_days([monday, thursday])
    figures = joined_figures(joined, joined.named("D"), **AT)
    row = joined.named("B")
    assert figures.against.std[row, 0] == pytest.approx(6.0**0.5)
    assert figures.against.degrees[row, 0] == pytest.approx(2.0)
    rough = day_of(make_session, "ADA", "Thursday", noise=[9.0, 9.0, 15.0])
    figures = joined_figures(join_days([monday, rough]), 1, **AT)
    row = join_days([monday, rough]).named("D")
    assert figures.against.std[row, 0] == pytest.approx(30.0**0.5)
    assert figures.against.degrees[row, 0] == pytest.approx(900.0 / 738.0)


def test_within_one_day_what_the_other_adds_is_its_readings_alone(make_session):
    """B against A, both on Monday alone and A on Thursday: Thursday's A has no more to say of it than Thursday's constant."""
    monday = day_of(make_session, "AB", "Monday", deviation=(7.0, 7.0, 4.0), noise=[3.0, -2.0])
    thursday = day_of(make_session, "AD", "Thursday", deviation=(7.0, 7.0, 4.0), noise=[50.0, 50.0])
    figures = joined_figures(join_days([monday, thursday]), 0, **AT)
    assert figures.against.change[1, 0] == pytest.approx(TRUE["B"] - TRUE["A"] - 5.0)
    assert figures.against.std[1, 0] == pytest.approx(7.0 * 2.0**0.5)  # as on Monday by itself


def test_days_without_a_configuration_in_common_are_refused_with_what_would_tie_them(make_session):
    monday, thursday = (
        day_of(make_session, order, title) for order, title in (("AB", "Monday"), ("CD", "Thursday"))
    )
    with pytest.raises(InputError) as caught:
        join_days([monday, thursday])
    assert str(caught.value) == (
        "'Monday' and 'Thursday': found no configuration that was run on both, expected one at least, better two; "
        "run 'A' on the other day too; 'A' and 'C' have the same settings: one label for both, if they are one"
    )
    chain = day_of(make_session, "BC", "Tuesday")
    joined = join_days([monday, thursday, chain])  # Tuesday has one of each
    assert np.all(np.isfinite(joined_figures(joined, **AT).against.change))


def test_blocks_of_a_day_are_tied_each_by_itself(make_session):
    monday = day_of(
        make_session, "ABAD", "Monday", runs=[{"block": one} for one in "xxyy"], noise=[0.0, 0.0, 30.0, 30.0]
    )
    thursday = day_of(make_session, "AC", "Thursday", noise=[-10.0, -10.0])
    joined = join_days([monday, thursday])
    assert [(one.day, one.block) for one in joined.strata] == [(0, "x"), (0, "y"), (1, "")]
    assert shifts_between(joined, **AT).change[:, 0] == pytest.approx([30.0, -10.0])
    change = joined_figures(joined, joined.named("A"), **AT).against.change[:, 0]
    named = {joined.run_of(k).configuration: change[k] for k in range(4)}
    assert named == pytest.approx({name: TRUE[name] - TRUE["A"] for name in "ABCD"}, abs=1e-9)
    lone = day_of(make_session, "AE", "Friday", runs=[{"block": one} for one in "xy"])
    untied = joined_figures(join_days([monday, lone]), 0, **AT)
    row = join_days([monday, lone]).named("E")
    assert np.isnan(untied.against.change[row]).all()
    assert np.isnan(untied.shifts.change[-1]).all()


def test_days_at_different_speeds_are_compared_as_areas(make_session):
    monday = day_of(make_session, "ABA", "Monday")
    faster = day_of(make_session, "ACA", "Thursday", speed=60.0)
    loads = tuple(
        replace(
            run,
            reading=replace(
                run.reading,
                front=run.reading.front * 1.44,
                rear=run.reading.rear * 1.44,
                drag=run.reading.drag * 1.44,
            ),
        )
        for run in faster.runs
    )  # (60/50)²
    joined = join_days([monday, replace(faster, runs=loads)])
    figures = joined_figures(joined, joined.named("C"), **AT)
    assert figures.against.change[joined.named("B"), 0] == pytest.approx(TRUE["B"] - TRUE["C"])
    assert figures.shifts.change[0] == pytest.approx(0.0, abs=1e-9)


def test_a_configuration_is_known_again_whatever_the_case_and_spaces_of_its_label(make_session):
    monday = day_of(make_session, "AB", "Monday")
    thursday = day_of(make_session, "AC", "Thursday")
    runs = [
        replace(run, configuration={"A": "  As   DELIVERED"}.get(run.configuration, "C"))
        for run in thursday.runs
    ]
    named = [
        replace(run, configuration={"A": "as delivered"}.get(run.configuration, "B")) for run in monday.runs
    ]
    joined = join_days([replace(monday, runs=tuple(named)), replace(thursday, runs=tuple(runs))])
    assert len(joined.shared) == 1
    wing = [replace(run, settings={"wing": Setting(value=5.0, unit="deg")}) for run in runs]
    with pytest.raises(InputError, match="no configuration that was run on both"):
        join_days([replace(monday, runs=tuple(named)), replace(thursday, runs=tuple(wing))])


def test_labels_that_differ_over_the_same_settings_are_told(make_session):
    monday, thursday = (
        day_of(make_session, order, title) for order, title in (("AB", "Monday"), ("AC", "Friday"))
    )
    wing = {"wing": Setting(value=5.0, unit="deg")}
    days = [
        replace(day, runs=(day.runs[0], replace(day.runs[1], settings=wing))) for day in (monday, thursday)
    ]
    assert like_others(days) == (("B", "C"),)
    assert like_others(join_days(days)) == (("B", "C"),)


def test_another_car_is_refused_and_a_rebuilt_one_is_told(make_session, make_vehicle):
    monday = day_of(make_session, "AB", "Monday")
    other = day_of(make_session, "AC", "Friday", vehicle=make_vehicle(name="another car"))
    with pytest.raises(InputError) as caught:
        join_days([monday, other])
    assert str(caught.value) == (
        "'Friday': found another car, 'another car', expected 'any car'; several cars stand side by side in a library: "
        "axletrim library add"
    )
    rebuilt = day_of(
        make_session, "AC", "Friday", vehicle=make_vehicle(name="Any  car", mass=1150.0, cg_height=0.5)
    )
    assert join_days([monday, rebuilt]).shared == (0,)
    assert car_changes([monday, rebuilt]) == ("mass", "cg_height")
    assert car_changes([monday, monday]) == ()


def test_a_day_without_a_run_that_counts_is_refused(make_session):
    monday = day_of(make_session, "AB", "Monday")
    void = replace(
        day_of(make_session, "AC", "Friday"),
        runs=tuple(replace(run, status="void") for run in day_of(make_session, "AC", "Friday").runs),
    )
    with pytest.raises(DomainError, match="'Friday': found 2 runs, none that counts"):
        join_days([monday, void])


def test_scatter_is_pooled_over_one_named_facility_alone(make_session):
    def alike(*names, figures=((7.0, 7.0, 4.0),) * 3):
        days = [
            day_of(make_session, f"A{'BCD'[k]}", f"day {k}", name=name, deviation=figures[k])
            for k, name in enumerate(names)
        ]
        return join_days(days).alike

    assert alike("tunnel", "tunnel", "tunnel") == (0, 0, 0)
    assert alike("tunnel", "road", "tunnel") == (0, 1, 0)
    assert alike("", "", "") == (0, 1, 2)
    assert alike("tunnel", "tunnel", figures=((7.0, 7.0, 4.0), UNKNOWN)) == (0, 0)
    assert alike("tunnel", "tunnel", figures=((7.0, 7.0, 4.0), (9.0, 7.0, 4.0))) == (0, 1)


def test_a_car_that_shared_both_days_counts_once_and_a_joined_day_is_no_other_car(make_session):
    """Morning and afternoon of one date, each naming the other and one more car: A 2 N² with 2 degrees of freedom over both
    days, C 0, 3 of the other car 4.5 N² with 1: (2 + 2 + 4.5)/3 with 3.
    """
    other = replace(
        day_of(make_session, "CDC", "other car", noise=[0.0, 0.0, 3.0], name="tunnel"), folder="/c"
    )
    morning = day_of(make_session, "ABA", "Morning", noise=[0.0, 0.0, 2.0], name="tunnel")
    afternoon = day_of(make_session, "ADA", "Afternoon", noise=[11.0, 9.0, 13.0], name="tunnel")
    morning, afternoon = replace(morning, folder="/a"), replace(afternoon, folder="/b")
    joined = join_days(
        [
            replace(morning, alongside=(other, afternoon)),
            replace(afternoon, alongside=(other, morning)),
        ]
    )
    ((_, fits),) = joined.fits.alike
    assert fits.repeatability.degrees_of_freedom[0] == 3.0
    assert fits.repeatability.deviation[0] ** 2 == pytest.approx(8.5 / 3.0)


def test_a_configuration_that_did_not_shift_as_the_others_is_found(make_session):
    order = "ABCABC"
    monday = day_of(make_session, order, "Monday", deviation=(7.0, 7.0, 4.0), degrees=1000.0)
    odd = [80.0 if kind == "C" else 0.0 for kind in order]
    thursday = day_of(make_session, order, "Thursday", noise=odd, deviation=(7.0, 7.0, 4.0), degrees=1000.0)
    joined = join_days([monday, thursday])
    places, found = disagreements(joined, **AT)
    assert {joined.run_of(k).configuration for k, _ in places} == {"A", "B", "C"}
    # by hand: one of three is 80 N off on one of two days; less the shift of 80/3 and the mean over days, two thirds of 40
    row = next(
        row for row, (k, one) in enumerate(places) if joined.run_of(k).configuration == "C" and one == 1
    )
    assert found.change[row, 0] == pytest.approx(80.0 / 3.0)
    assert found.resolved[row, 0]
    same = join_days([monday, day_of(make_session, order, "Thursday", deviation=(7.0, 7.0, 4.0), shift=80.0)])
    assert not disagreements(same, **AT)[1].resolved.any()


def test_one_tie_cannot_disagree_with_itself(make_session):
    monday = day_of(make_session, "AB", "Monday", deviation=(1e-9, 1e-9, 1e-9))
    thursday = day_of(make_session, "AC", "Thursday", noise=[90.0, 90.0], deviation=(1e-9, 1e-9, 1e-9))
    assert not disagreements(join_days([monday, thursday]), **AT)[1].resolved.any()


def test_a_configuration_is_named_by_label_or_by_a_run_of_a_day(make_session):
    joined = join_days([day_of(make_session, "AB", "Monday"), day_of(make_session, "CA", "Thursday")])
    letters = ("A", "B")
    assert joined.named("C", letters) == joined.named("B:1", letters) == 2
    assert joined.named("B:2", letters) == joined.named("A:1", letters) == 0
    with pytest.raises(UnknownName, match="configuration: found 'B:7'"):
        joined.named("B:7", letters)


def test_nothing_is_called_real_where_refitting_is_assumed_or_nothing_is_known(make_session):
    def figures(order, **more):
        days = [day_of(make_session, order, f"day {k}", shift=90.0 * k, **more) for k in range(2)]
        return joined_figures(join_days(days), **AT)

    unknown = figures("AB", name="")
    assert np.isnan(unknown.shifts.std).all()
    assert not unknown.shifts.resolved.any()
    untouched = [
        day_of(make_session, "AAB", f"day {k}", shift=90.0 * k, noise=[0.0, 1.0 + k, 0.0]) for k in range(2)
    ]
    assumed = joined_figures(join_days(untouched), **AT)
    assert np.isfinite(assumed.shifts.std).all()
    assert assumed.shifts.refit_assumed.all()
    assert not assumed.shifts.resolved.any()
