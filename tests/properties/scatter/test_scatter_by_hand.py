"""Where a day's scatter comes from, how figures are combined, and what the draws have in common: by hand."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from balance.compare.contrasts import combined_weights
from balance.compare.increments import find_increments
from balance.decide.day.day import reduce_day
from balance.model.errors import DomainError
from balance.model.records import OptionalTriple, Stated, StatedRepeatability, Triple
from balance.reduce.drag_couple import at_ground_level, lever_std
from balance.reduce.draws import coverage_interval, seed_of, shared_draws, spread
from balance.reduce.fits import coded, fits_of_session
from balance.reduce.readings import reduce_session
from balance.reduce.repeatability import stated_by_facility

PRESSURE = 1500.0
NOTHING = (None, None, None)


def fits_of(session):
    return fits_of_session(session, reduce_session(session))


def known(make_session, readings, order, **fields):
    names = [str(one) for one in order]
    return fits_of(make_session(readings, configurations=names, **fields)).repeatability


def around(step, *, front=300.0, rear=500.0, drag=600.0):
    """Two readings of one car that are so far apart in each channel: a standard deviation of step / root 2."""
    one = (front, rear, drag)
    return [one, tuple(a + b for a, b in zip(one, step, strict=True))]


ROOT2 = np.sqrt(2.0)


@pytest.mark.parametrize(
    ("deviation", "sources", "values", "assumed"),
    [
        # untouched repeats 1, 2 and 3 N apart: one reading of one fit is root(1 + 2.5²) times their root(1/2), root(4/2) ...
        (
            NOTHING,
            ("repeats",) * 4,
            [np.sqrt(7.25) * one / ROOT2 for one in (1.0, 2.0, 3.0, 3.0)],
            (True,) * 4,
        ),
        # of a facility's figure that is larger, nothing is assumed
        ((7.0, 9.0, 8.0), ("facility",) * 4, [7.0, 9.0, 8.0, np.hypot(7.0, 9.0)], (False,) * 4),
        # 2.6926 / root 2 is 1.904 N, 5.711 N for drag: one below it and one above
        (
            (1.90, 9.0, 5.72),
            ("repeats", "facility", "facility", "facility"),
            [np.sqrt(7.25) / ROOT2, 9.0, 5.72, np.hypot(1.90, 9.0)],
            (True, False, False, False),
        ),
        (
            (1.91, 9.0, 5.70),
            ("facility", "facility", "repeats", "facility"),
            [1.91, 9.0, np.sqrt(7.25) * 3.0 / ROOT2, np.hypot(1.91, 9.0)],
            (False, False, True, False),
        ),
    ],
)
def test_what_refitting_does_is_assumed_where_no_figure_is_larger(
    make_session, deviation, sources, values, assumed
):
    found = known(make_session, around((1.0, 2.0, 3.0)), "aa", deviation=deviation)
    assert found.source == sources
    assert found.deviation == pytest.approx(values, rel=1e-9)
    assert found.assumed == assumed
    assert found.refit_assumed is any(assumed)
    assert found.repeats is None
    assert found.within.degrees_of_freedom == 1.0


def test_a_figure_of_some_channels_stands_for_those_alone(make_session):
    found = known(make_session, [(300.0, 500.0, 600.0)], "a", deviation=(7.0, None, 4.0))
    assert found.source == ("facility", None, "facility", None)
    np.testing.assert_array_equal(found.deviation, [7.0, np.nan, 4.0, np.nan])
    assert not found.known
    assert known(make_session, [(300.0, 500.0, 600.0)], "a", deviation=(7.0, 7.0, None)).known
    assert known(make_session, [(300.0, 500.0, 600.0)], "a", deviation=NOTHING).source == (None,) * 4


def refitted(step):
    """Base, another car, and the base again so many N apart."""
    first, again = around(step)
    return [first, (0.0, 0.0, 100.0), again]


def test_repeats_and_a_facility_that_agree_are_pooled_channel_by_channel(make_session):
    """One degree of freedom beside 20: s² = (20 s0² + s_r²)/21 unless s_r²/s0² is beyond the 90 % point of F(1, 20), 2.975
    (tables): 10 N apart are 50 N², against 49 N²; 40 N apart are 800 N², against 16 N²."""
    found = known(make_session, refitted((10.0, 10.0, 40.0)), "aba", deviation=(7.0, 7.0, 4.0))
    pooled = np.sqrt((20.0 * 49.0 + 50.0) / 21.0)
    assert found.deviation[:3] == pytest.approx([pooled, pooled, 40.0 / ROOT2])
    assert found.source == ("facility and repeats", "facility and repeats", "repeats", "facility and repeats")
    assert found.degrees_of_freedom.tolist() == [21.0, 21.0, 1.0, 21.0]
    assert [note.partition(":")[0] for note in found.notes if "stand alone" in note] == ["drag"]
    assert found.assumed == (False,) * 4
    assert found.within is None


def test_the_total_of_repeats_is_their_own(make_session):
    """Both axles 10 N up together are 20 N of total, and 200 N²; one up and one down are none."""
    alike = known(make_session, refitted((10.0, 10.0, 2.0)), "aba", deviation=NOTHING)
    against = known(make_session, refitted((10.0, -10.0, 2.0)), "aba", deviation=NOTHING)
    assert alike.deviation == pytest.approx([10.0 / ROOT2, 10.0 / ROOT2, 2.0 / ROOT2, 20.0 / ROOT2])
    assert against.deviation == pytest.approx([10.0 / ROOT2, 10.0 / ROOT2, 2.0 / ROOT2, 0.0])


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"degrees_assumed": True}, "degrees of freedom not stated, 4 assumed"),
        ({"degrees_assumed": False}, None),
    ],
)
def test_what_was_assumed_of_a_facilitys_figure_is_said(make_session, fields, said):
    session = make_session([(300.0, 500.0, 600.0)])
    session = replace(session, repeatability=replace(session.repeatability, **fields))
    notes = fits_of(session).repeatability.notes
    assert any("4 assumed" in note for note in notes) is (said is not None)
    assert any("combined as if independent" in note for note in notes)
    assert not any("repeatability unknown" in note for note in notes)


def test_a_day_of_unknown_scatter_says_so(make_session):
    notes = known(make_session, [(300.0, 500.0, 600.0)], "a", deviation=NOTHING).notes
    assert [note.partition(":")[0] for note in notes] == ["repeatability unknown"]


@pytest.mark.parametrize(
    ("degrees", "deviation", "wrong"),
    [
        (1.0, (7.0, 7.0, 4.0), None),
        (0.99, (7.0, 7.0, 4.0), "degrees of freedom"),
        (np.inf, (7.0, 7.0, 4.0), "degrees of freedom"),
        (4.0, (7.0, -0.1, 4.0), "found -0.1 N"),
        (4.0, (0.0, 0.0, 0.0), None),
    ],
)
def test_a_facilitys_figure_that_is_none_is_refused(make_session, degrees, deviation, wrong):
    session = make_session([(300.0, 500.0, 600.0)], deviation=deviation, degrees=degrees)
    if wrong is None:
        assert stated_by_facility(session).degrees_of_freedom == degrees
    else:
        with pytest.raises(DomainError, match=wrong):
            stated_by_facility(session)


def test_a_figure_stated_as_a_coefficient_is_a_force_at_the_facilitys_air_and_speed(
    make_session, make_vehicle
):
    """0.002 of 2 m² at 1500 Pa is 6 N; a systematic 0.001 is 3 N."""
    stated = StatedRepeatability(
        deviation=OptionalTriple(front=0.002, rear=0.003, drag=0.001),
        form="coefficient",
        degrees_of_freedom=20.0,
        degrees_assumed=False,
        systematic=OptionalTriple(front=0.001, rear=None, drag=None),
    )
    session = make_session([(300.0, 500.0, 600.0)], vehicle=make_vehicle(frontal_area=2.0))
    found = fits_of(replace(session, repeatability=stated)).repeatability
    assert found.deviation == pytest.approx([6.0, 9.0, 3.0, np.hypot(6.0, 9.0)])
    assert found.systematic == pytest.approx([3.0, 0.0, 0.0])


def test_no_scatter_falls_below_what_rounding_makes_by_itself(make_session):
    """Half a digit of 1, 3 and 2 N: its standard deviation is that over the root of 3 (GUM 4.3.7)."""
    session = make_session(
        [(300.0, 500.0, 600.0), (0.0, 0.0, 1.0), (300.0, 500.0, 600.0)],
        configurations=list("aba"),
        deviation=NOTHING,
    )
    runs = tuple(replace(run, resolution=Triple(front=1.0, rear=3.0, drag=2.0)) for run in session.runs)
    found = fits_of(replace(session, runs=runs)).repeatability
    least = np.array([1.0, 3.0, 2.0, np.hypot(1.0, 3.0)]) / np.sqrt(3.0)
    assert found.deviation == pytest.approx(least)
    np.testing.assert_array_equal(found.correlation, np.eye(3))


def test_what_fitting_adds_is_what_is_left_of_one_reading(make_session):
    """Readings of one fit 2 N apart have 2 N²; fit means of 301 and 321 N have 200 N², and one reading 2 (1 - 3/4) more."""
    readings = [(300.0, 500.0, 600.0), (302.0, 500.0, 600.0), (0.0, 0.0, 1.0), (321.0, 500.0, 600.0)]
    found = known(make_session, readings, "aaba", deviation=NOTHING)
    assert found.within_deviation[0] == pytest.approx(ROOT2)
    assert found.deviation[0] == pytest.approx(np.sqrt(200.0 + 0.25 * 2.0))
    assert found.between[0] == pytest.approx(np.sqrt(200.5 - 2.0))
    quiet = known(make_session, readings[2:], "ba", deviation=(1.0, 1.0, 1.0))
    np.testing.assert_array_equal(quiet.within_deviation, np.zeros(4))
    assert quiet.between == pytest.approx(quiet.deviation)


def test_downforce_and_drag_move_together_as_those_of_the_repeats(make_session):
    """The correlation of the sums of both axles with drag, by numpy, of seven refitted readings."""
    forces = np.random.default_rng(7).normal(0.0, 1.0, (7, 3)) @ np.array(
        [[7.0, 2.0, 3.0], [0.0, 5.0, -2.0], [0.0, 0.0, 3.0]]
    )
    readings = [one for force in forces for one in (tuple(500.0 + force), (1.0, 2.0, 3.0))]
    names = [name for k in range(7) for name in ("a", f"b{k}")]
    fits = fits_of(make_session(readings, configurations=names, deviation=NOTHING))
    found, told = fits.repeatability.downforce_drag_correlation
    assert told
    assert found == pytest.approx(np.corrcoef(forces[:, 0] + forces[:, 1], forces[:, 2])[0, 1], rel=1e-9)


def test_loads_stay_in_their_block_and_differences_go_through_what_was_run_in_both(make_session):
    """A was run in both blocks, 30 N higher in the second: a load is of its own block; B less C has the 30 N out of it."""
    order, blocks = "ABAC", ("am", "am", "pm", "pm")
    loads = (500.0, 540.0, 530.0, 480.0)
    session = make_session(
        [(load, load, load) for load in loads],
        configurations=list(order),
        runs=[{"block": block} for block in blocks],
    )
    fits = fits_of(session)
    asked = np.array([[1.0, 0, 0, 0], [0, 0, 0, 1.0], [0, 0.5, 0, 0.5], [1.0, -1.0, 0, 0], [0, 1.0, 0, -1.0]])
    weights, tied = fits.tied(asked)
    assert tied.all()
    np.testing.assert_allclose(weights[:4], asked[:4], atol=1e-12)
    assert (weights @ fits.readings.areas)[4, 0] * PRESSURE == pytest.approx(540.0 - (480.0 - 30.0))
    apart = fits_of(
        make_session(
            [(load, load, load) for load in loads],
            configurations=list("ABDC"),
            runs=[{"block": block} for block in blocks],
        )
    )
    weights, tied = apart.tied(asked)
    assert tied.tolist() == [True, True, True, True, False]
    np.testing.assert_array_equal(weights, asked)


@pytest.mark.parametrize(
    ("speeds", "mean"),
    [
        ((50.0, 40.0, 40.0), {1, 2}),  # the speed with most
        ((50.0, 40.0, 50.0), {0, 2}),
        ((50.0, 40.0), {0}),  # the first of equals
        ((40.0, 50.0), {0}),
        ((50.0, 40.0, 40.0, 50.0), {0, 3}),
    ],
)
def test_readings_at_other_speeds_enter_no_mean(make_session, speeds, mean):
    order = [name for k in range(len(speeds)) for name in ("a", f"b{k}")]
    fields = [one for speed in speeds for one in ({"speed": speed}, {})]
    fits = fits_of(make_session([(100.0, 200.0, 600.0)] * len(order), configurations=order, runs=fields))
    counting = {
        row // 2
        for fit, there in zip(fits.fits, fits.counts, strict=True)
        if there
        for row in fit
        if row % 2 == 0
    }
    assert counting == mean
    for k, speed in enumerate(speeds):
        own = {row // 2 for row in fits.sets[2 * k]}
        assert own == {other for other, one in enumerate(speeds) if one == speed}


def test_what_all_readings_share_widens_a_load_and_no_difference(make_session):
    """7 N and a common 20 N at the front: the root of the sum of squares of one, of a difference root 2 times 7 N."""
    session = make_session([(300.0, 500.0, 600.0), (310.0, 500.0, 600.0)], systematic=(20.0, None, 3.0))
    stds = fits_of(session).stds(np.array([[1.0, 0.0], [1.0, -1.0], [0.5, 0.5]])) * PRESSURE
    assert stds[0] == pytest.approx([np.hypot(7.0, 20.0), 7.0 * ROOT2, np.hypot(7.0 / ROOT2, 20.0)])
    assert stds[1] == pytest.approx([7.0, 7.0 * ROOT2, 7.0 / ROOT2])
    assert stds[2] == pytest.approx([5.0, 4.0 * ROOT2, np.hypot(4.0 / ROOT2, 3.0)])
    assert stds[3] == pytest.approx([np.hypot(7.0 * ROOT2, 20.0), 14.0, np.hypot(7.0, 20.0)])


def held_high(make_session, make_vehicle, *, height=0.3, said=None, **fields):
    session = make_session(
        [(300.0, 500.0, 600.0), (300.0, 500.0, 900.0)], vehicle=make_vehicle(exact=True), **fields
    )
    session = replace(session, facility=replace(session.facility, drag_reacted_at=height))
    return replace(session, uncertainties={} if said is None else {"facility.drag_reacted_at": said})


@pytest.mark.parametrize(
    ("height", "said", "metres"),
    [
        (
            0.3,
            None,
            0.05 / np.sqrt(3.0),
        ),  # uniform within 50 mm (GUM 4.3.7); the range is common practice, no source
        (0.3, Stated(value=0.3, std=0.02), 0.02),
        (0.3, Stated(value=0.3, exact=True), 0.0),
        (0.0, None, 0.0),
        (None, None, 0.0),
    ],
)
def test_the_height_at_which_drag_is_reacted_shifts_load_from_axle_to_axle(
    make_session, make_vehicle, height, said, metres
):
    """Over a wheelbase of 2.5 m, by 600 N of drag; of a difference by 300 N."""
    session = held_high(make_session, make_vehicle, height=height, said=said)
    assert lever_std(session) == pytest.approx(metres / 2.5)
    stds = fits_of(session).stds(np.array([[1.0, 0.0], [1.0, -1.0]])) * PRESSURE
    couple = metres / 2.5 * np.array([600.0, 300.0])
    for axle in (0, 1):
        assert stds[axle] == pytest.approx(np.hypot(7.0 * np.array([1.0, ROOT2]), couple))
    assert stds[2] == pytest.approx([4.0, 4.0 * ROOT2])
    assert stds[3] == pytest.approx([7.0 * ROOT2, 14.0])


@pytest.mark.parametrize(
    ("said", "std", "most"),
    [(None, 0.05 / np.sqrt(3.0), 0.05), (Stated(value=0.3, std=0.02), 0.02, np.inf)],
)
def test_draws_of_the_height_shift_both_axles_by_their_drag_and_no_total(
    make_session, make_vehicle, said, std, most
):
    session = held_high(make_session, make_vehicle, said=said, deviation=(1e-6,) * 3, degrees=1e9)
    day = reduce_day(session, draws=20_000)
    loads = day.draws([0, 1]) * PRESSURE
    moved = (loads[1] - loads[1].mean(axis=0)) * 2.5 / np.array([600.0, 900.0])
    np.testing.assert_allclose(loads[0] + loads[1], 800.0, atol=1e-3)
    np.testing.assert_allclose(moved[:, 0], moved[:, 1], atol=1e-3)  # one height for the day
    assert np.std(moved[:, 0]) == pytest.approx(std, rel=0.03)
    assert np.max(np.abs(moved)) < most * 1.02
    # reacted 0.3 m up: 0.3/2.5 of the drag was on the rear that pads would have felt at the front
    assert loads[0].mean(axis=0) == pytest.approx([300.0 - 72.0, 300.0 - 108.0], abs=0.3)
    ground = at_ground_level(session, day.areas([0, 1])) * PRESSURE
    assert ground == pytest.approx(np.array([[300.0, 300.0], [500.0, 500.0], [600.0, 900.0]]))


def test_a_seed_is_of_title_and_labels_alone_and_has_63_bits(make_session):
    seeds = {seed_of(make_session([(1.0, 2.0, 3.0)], title=f"day {k}")) for k in range(64)}
    assert len(seeds) == 64
    assert max(seeds) < 2**63
    assert max(seeds) > 2**62
    one = make_session([(1.0, 2.0, 3.0)])
    assert seed_of(one) == seed_of(make_session([(9.0, 9.0, 9.0)]))
    assert seed_of(one) != seed_of(make_session([(1.0, 2.0, 3.0)] * 2))


@pytest.mark.parametrize(
    ("count", "confidence", "low", "high"),
    [
        (10, 0.8, 1, 8),  # one of ten on either side
        (100, 0.95, 2, 97),  # two and a half, which is two to the even
        (1000, 0.95, 25, 974),
        (100, 0.999, 0, 99),
        (1, 0.95, 0, 0),
        (2, 0.5, 0, 1),
    ],
)
def test_an_interval_cuts_the_same_off_both_ends(count, confidence, low, high):
    """JCGM 101:2008, 7.7.2: the middle draws that hold the share, in the order of size."""
    draws = np.random.default_rng(3).permutation(np.arange(float(count)))
    assert coverage_interval(draws, confidence) == (low, high)


def test_a_standard_uncertainty_is_half_of_what_the_middle_68_per_cent_span():
    """Of 0 to 999 in any order 159 stand on either side of 68.27 %: (840 - 159)/2; an infinite tail changes nothing."""
    draws = np.random.default_rng(3).permutation(np.arange(1000.0))
    assert spread(draws)[0] == 340.5
    assert spread(np.where(draws > 900.0, np.inf, draws))[0] == 340.5
    assert spread(draws, 0.5)[1:] == (250.0, 749.0)


def test_texts_are_coded_by_their_first_coming():
    assert coded(["b", "a", "b", "B", "c", "a"]).tolist() == [0, 1, 0, 2, 3, 1]


def test_sums_of_means_are_written_as_weights():
    means = np.array([[1.0, 0.0, 0.0], [0.0, 0.5, 0.5], [0.0, 1.0, 0.0]])
    rows = [np.array([0, 1]), np.array([1, 2])]
    plus = combined_weights(means, rows, [np.array([2, 0])])
    np.testing.assert_array_equal(plus, [means[0] + means[1] - means[2], means[1] + means[2] - means[0]])


def test_rounding_is_half_a_digit_of_every_figure_added_up(make_session):
    """0.5, 1 and 2 N a figure: twice that in a difference of two runs; of a mean of two against one, as much."""
    session = make_session(
        [(300.0, 500.0, 600.0), (400.0, 600.0, 700.0), (302.0, 500.0, 600.0)],
        configurations=list("aba"),
        runs=[{}, {"baseline": "1"}, {}],
    )
    runs = tuple(replace(run, resolution=Triple(front=0.5, rear=1.0, drag=2.0)) for run in session.runs)
    session = replace(session, runs=runs)
    found = find_increments(session, fits_of(session), dynamic_pressure=2.0 * PRESSURE)
    row = [pair.run for pair in found.pairs].index(1)
    assert found.changes.rounding[row] == pytest.approx(2.0 * np.array([1.0, 2.0, 4.0, 3.0]))
    assert found.changes.change[row] == pytest.approx(2.0 * np.array([99.0, 100.0, 100.0, 199.0]))


def test_scatter_of_one_channel_never_reaches_another(make_session):
    """Every channel's figure from its own steps, whichever way the three are handed round."""
    steps = (3.0, 8.0, 20.0)
    for order in itertools.permutations(range(3)):
        step = tuple(steps[k] for k in order)
        found = known(make_session, refitted(step), "aba", deviation=NOTHING)
        assert found.deviation[:3] == pytest.approx(np.array(step) / ROOT2)
        shared = shared_draws(make_session(refitted(step)), found, count=100)
        assert shared.scale.shape == (100, 3)
        np.testing.assert_array_equal(shared.scale[:, 0], shared.scale[:, 2])


def test_a_sum_of_no_readings_is_nothing_in_every_draw(make_session):
    session = make_session([(300.0, 500.0, 600.0)] * 2)
    fits = fits_of(session)
    shared = shared_draws(session, fits.repeatability, count=1000)
    assert fits.draws(np.ones((3, 2)), shared).std() > 0.0  # memory that was used before
    drawn = fits.draws(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]]), shared)
    assert not drawn[:, :, [0, 2]].any()
    assert drawn[:, :, 1].all()


def test_the_drawn_couple_is_that_of_each_draw_s_own_lever(make_session, make_vehicle):
    session = held_high(make_session, make_vehicle)
    shared = shared_draws(session, fits_of(session).repeatability, count=50)
    areas = np.random.default_rng(5).uniform(0.1, 0.9, (3, 50, 4))
    together = shared.with_couple(areas)
    for sum_of in range(4):
        alone = shared.with_couple(areas[:, :, sum_of])
        np.testing.assert_allclose(alone, together[:, :, sum_of], rtol=1e-14)
        moved = areas[2, :, sum_of] * shared.lever[:, 0]
        np.testing.assert_allclose(alone[0], areas[0, :, sum_of] - moved, rtol=1e-12)
        np.testing.assert_allclose(alone[1], areas[1, :, sum_of] + moved, rtol=1e-12)
