"""What must hold of increments, whatever the session."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.compare.classes import PartClass
from balance.compare.increments import find_increments
from balance.compare.ratios import RatioKind
from balance.model.errors import InputError, UnknownName
from balance.model.records import Setting, Triple
from balance.reduce.fits import fits_of_session
from balance.reduce.readings import reduce_session

PRESSURE = 0.5 * 1.2 * 50.0**2
FORCE = st.floats(-600.0, 1500.0)
READINGS = st.lists(st.tuples(FORCE, FORCE, st.floats(300.0, 1500.0)), min_size=2, max_size=8)
NAMES = ("front_downforce", "rear_downforce", "downforce", "drag")


def compare(session, *, across_blocks=False, **options):
    fits = fits_of_session(session, reduce_session(session), across_blocks=across_blocks)
    return find_increments(session, fits, dynamic_pressure=PRESSURE, **options)


def mm(**values):
    return {name: Setting(value=value, unit="mm") for name, value in values.items()}


def figures(increments):
    c = increments.changes
    return np.stack([c.change, c.std, c.low, c.high])


@given(READINGS, st.floats(-300.0, 300.0))
def test_a_common_error_leaves_increments_and_their_uncertainty_unchanged(make_session, readings, error):
    """JCGM 100:2008, H.3.4, of differences."""
    moved = [tuple(force + error for force in run) for run in readings]
    first, second = compare(make_session(readings)), compare(make_session(moved))
    np.testing.assert_allclose(figures(first), figures(second), rtol=0, atol=1e-8)
    np.testing.assert_array_equal(first.changes.std, second.changes.std)


@given(READINGS)
def test_all_at_once_is_one_after_another(make_session, readings):
    increments = compare(make_session(readings, runs=[{}] + [{"baseline": "1"}] * (len(readings) - 1)))
    for row, one in enumerate(increments):
        for column, name in ((0, "front_downforce"), (1, "rear_downforce"), (3, "downforce"), (2, "drag")):
            change = getattr(one, name)
            assert change.change == increments.changes.change[row, column]
            assert change.std == increments.changes.std[row, column]
            assert change.resolved == (change.low > 0 or change.high < 0)
        assert one.downforce.change == pytest.approx(
            one.front_downforce.change + one.rear_downforce.change, abs=1e-9
        )


@given(READINGS)
def test_the_other_way_round_every_sign_turns(make_session, readings):
    there = compare(make_session(readings, runs=[{}] + [{"baseline": "1"}] * 7))
    back = compare(make_session(readings, runs=[{"baseline": "2"}] + [{}] * 7))
    forth = there[[p.run for p in there.pairs].index(1)]
    turned = back[0]
    for name in NAMES:
        assert getattr(forth, name).change == pytest.approx(-getattr(turned, name).change, abs=1e-9)
        assert getattr(forth, name).std == pytest.approx(getattr(turned, name).std)


@settings(max_examples=30)
@given(st.floats(1.01, 5.0))
def test_more_scatter_never_narrows_an_increment(make_session, factor):
    readings = [(300.0, 500.0, 600.0), (350.0, 480.0, 620.0)]
    some = compare(make_session(readings))
    more = compare(make_session(readings, deviation=(7.0 * factor, 7.0 * factor, 4.0 * factor)))
    assert np.all(more.changes.std > some.changes.std)
    assert np.all(more.changes.resolved <= some.changes.resolved)


def test_repeats_on_either_side_narrow_the_interval(make_session):
    readings = [(300.0, 500.0, 600.0), (350.0, 480.0, 620.0)] * 3
    session = make_session(
        readings, configurations=["base", "part"] * 3, degrees=1e9, runs=[{"baseline": "1"}]
    )
    session = replace(session, runs=(replace(session.runs[0], baseline=None), *session.runs[1:]))
    increment = next(i for i in compare(session) if i.run == "2")
    assert increment.runs == ("2", "4", "6")
    assert increment.baseline_runs == ("1", "3", "5")
    assert increment.drag.std == pytest.approx(4.0 * np.sqrt(2 / 3), rel=1e-6)


def test_a_mean_is_the_plain_mean_over_fits_of_the_plain_mean_of_each(make_session):
    """Two readings of one fit count as one: (mean of 1 and 2, and 4) against 3."""
    readings = [(300.0, 500.0, 600.0), (310.0, 500.0, 600.0), (400.0, 500.0, 600.0), (320.0, 500.0, 600.0)]
    session = make_session(
        readings, configurations=["base", "base", "part", "base"], runs=[{}, {}, {"baseline": "1"}, {}]
    )
    increment = next(i for i in compare(session) if i.run == "3")
    assert increment.front_downforce.change == pytest.approx(400.0 - (305.0 + 320.0) / 2.0, rel=1e-12)


@given(st.floats(25.0, 90.0), st.floats(0.95, 1.3))
def test_runs_at_other_speeds_and_air_are_compared_as_areas(make_session, speed, density):
    readings = [(300.0, 500.0, 600.0), (360.0, 480.0, 630.0)]
    at_one_speed = compare(make_session(readings, runs=[{}, {"baseline": "1"}]))[-1]
    session = make_session(
        readings, air_density=density, runs=[{"speed": speed}, {"speed": 50.0, "baseline": "1"}]
    )
    scaled = 0.5 * density * np.array([speed, 50.0]) ** 2 / PRESSURE
    runs = tuple(
        replace(run, reading=Triple(front=f * q, rear=r * q, drag=d * q))
        for run, (f, r, d), q in zip(session.runs, readings, scaled, strict=True)
    )
    other = compare(replace(session, runs=runs))[-1]
    for name in NAMES:
        assert getattr(other, name).change == pytest.approx(
            getattr(at_one_speed, name).change, rel=1e-9, abs=1e-9
        )
    assert other.drag.std == pytest.approx(4.0 * np.sqrt(np.sum(scaled**-2.0)), rel=1e-9)


def test_shared_baselines_keep_their_correlation(make_session):
    """Two increments over one baseline: their difference knows nothing of it, their sum carries it twice."""
    readings = [(300.0, 500.0, 600.0), (350.0, 480.0, 620.0), (330.0, 490.0, 610.0)]
    increments = compare(make_session(readings, runs=[{}, {"baseline": "1"}, {"baseline": "1"}]))
    second, third = increments.uncorrected.weights[-2:]
    difference, total = increments.contrast(np.stack([third - second, third + second])).std[:, 2]
    assert difference == pytest.approx(4.0 * np.sqrt(2.0), rel=1e-12)
    assert total == pytest.approx(4.0 * np.sqrt(6.0), rel=1e-12)


def test_a_baseline_is_stated_or_chosen_or_proposed_in_this_order(make_session):
    readings = [(300.0, 500.0, 600.0)] * 5
    steps = [mm(wing=1.0), mm(wing=2.0), mm(wing=3.0), mm(wing=3.0, flap=1.0), mm(wing=2.0, flap=2.0)]
    fields = [{"settings": s} for s in steps]
    fields[2]["baseline"] = "1"
    session = make_session(readings, configurations=["car"] * 5, runs=fields)
    found = {i.run: i for i in compare(session, chosen={"3": "2", "4": "1"})}
    assert (found["3"].baseline, found["3"].proposed, found["3"].package) == ("1", False, False)
    assert (found["4"].baseline, found["4"].proposed, found["4"].differs) == ("1", False, ("wing", "flap"))
    assert found["4"].package
    assert (found["2"].baseline, found["2"].proposed) == ("1", True)
    assert (found["5"].baseline, found["5"].differs) == ("2", ("flap",))
    proposed = {i.run: i for i in compare(session)}
    assert (proposed["4"].baseline, proposed["4"].differs) == ("3", ("flap",))


def test_the_label_alone_is_one_difference_and_no_package(make_session):
    session = make_session([(300.0, 500.0, 600.0)] * 2, configurations=["plain", "taped"])
    increment = compare(session)[-1]
    assert (increment.differs, increment.package, increment.proposed) == (("configuration",), False, True)


def test_a_proposal_turned_round_is_marked(make_session):
    session = make_session([(300.0, 500.0, 600.0)] * 3, configurations=["plain", "taped", "plain"])
    found = {i.run: i.mirrors for i in compare(session)}
    assert found == {"1": "2", "2": None, "3": "2"}


def pairs_of(make_session, steps, *, labels=None, fields=None):
    """Run, baseline, whether it is later, and whether it shows a part, of a day that states what is in ``fields``."""
    runs = [{"settings": step, **(fields or {}).get(k, {})} for k, step in enumerate(steps, 1)]
    session = make_session(
        [(300.0, 500.0, 600.0)] * len(steps), configurations=labels or ["car"] * len(steps), runs=runs
    )
    increments = compare(session)
    return {
        i.run: (i.baseline, i.later, pair.shows_part)
        for i, pair in zip(increments, increments.pairs, strict=True)
    }


FILLER = mm(fin=1.0, skirt=2.0)  # differs from all others in two things or more
CANDIDATES = (
    ("the part off, earlier", {}, "car", True),
    ("the part off, later", {}, "car", False),
    ("another value, earlier", mm(wing=5.0), "car", True),
    ("one part more, earlier", mm(wing=8.0, lip=5.0), "car", True),
    ("another value, later", mm(wing=5.0), "car", False),
    ("one part more, later", mm(wing=8.0, lip=5.0), "car", False),
)
"""What a run of the wing at 8 mm may be compared with, the most wanted first; common practice, no source."""


@pytest.mark.parametrize(
    ("wanted", "other"),
    [(one, other) for k, one in enumerate(CANDIDATES) for other in CANDIDATES[k + 1 :]],
    ids=lambda one: one[0],
)
def test_baselines_are_proposed_in_this_order_however_near_the_others_are(make_session, wanted, other):
    """The one that is wanted less stands right beside the run, the other behind a car of quite other parts."""
    steps, labels = [(mm(wing=8.0), "car")], []
    for one in (other, wanted):
        for step in [(one[1], one[2])] if one is other else [(FILLER, "car"), (one[1], one[2])]:
            steps = [step, *steps] if one[3] else [*steps, step]
    run = next(k for k, step in enumerate(steps, 1) if step == (mm(wing=8.0), "car"))
    expected = next(k for k, step in enumerate(steps, 1) if step == (wanted[1], wanted[2]) and k != run)
    labels = [label for _, label in steps]
    found = pairs_of(make_session, [step for step, _ in steps], labels=labels)
    assert found[str(run)][:2] == (str(expected), not wanted[3])


def test_another_name_of_the_same_settings_is_no_part_unless_it_is_said(make_session):
    """A repeat that was labelled otherwise: neither a part nor a baseline, until one states the other as its own."""
    steps, labels = [mm(wing=8.0), mm(wing=8.0, lip=5.0), mm(wing=8.0)], ["wing", "lip", "wing spare"]
    plain = pairs_of(make_session, steps, labels=labels)
    assert {run for run, (_, _, is_part) in plain.items() if is_part} == {"2"}
    assert "3" not in plain
    said = pairs_of(make_session, steps, labels=labels, fields={3: {"baseline": "1"}})
    assert said["3"] == ("1", False, True)
    bare = [{}, mm(wing=8.0), {}]  # where nothing is fitted, its name alone says what a configuration is
    assert pairs_of(make_session, bare, labels=["base", "wing", "taped"])["3"] == ("1", False, True)


@pytest.mark.parametrize(("wanted", "other"), [(0, 2), (2, 3)])
def test_what_is_wanted_more_is_proposed_though_it_was_run_at_another_speed(make_session, wanted, other):
    (_, step, *_), (_, less, *_) = CANDIDATES[wanted], CANDIDATES[other]
    fields = {1: {"speed": 40.0}}
    assert pairs_of(make_session, [step, less, mm(wing=8.0)], fields=fields)["3"][0] == "1"


@pytest.mark.parametrize(
    ("speeds", "baseline"),
    [
        ((50.0, 50.0, 50.0), "2"),  # the nearest
        ((50.0, 40.0, 50.0), "1"),  # at the run's own speed
        ((50.0, 49.1, 50.0), "2"),  # within 2 %: 49 m/s
        ((50.0, 48.9, 50.0), "1"),
        ((40.0, 40.0, 50.0), "2"),  # none is
    ],
)
def test_of_several_the_nearest_at_the_same_speed_is_proposed(make_session, speeds, baseline):
    fields = {k: {"speed": speed} for k, speed in enumerate(speeds, 1)}
    labels = ["taped", "sealed", "car"]
    assert pairs_of(make_session, [{}, {}, {}], labels=labels, fields=fields)["3"][0] == baseline


def test_an_earlier_run_with_the_part_off_is_proposed_however_near_others_are(make_session):
    steps = [{}, mm(wing=8.0), mm(lip=5.0), mm(wing=8.0, gurney=10.0), mm(wing=8.0, gurney=20.0)]
    found = pairs_of(make_session, steps)
    assert found["4"] == ("2", False, True)
    assert found["5"] == ("2", False, True)
    assert found["2"] == ("1", False, True)
    assert not found["1"][2]


def test_a_later_run_with_the_part_off_is_proposed_where_there_is_no_earlier_one_and_that_is_said(
    make_session,
):
    found = pairs_of(make_session, [mm(spoiler=55.0), {}])
    assert found == {"1": ("2", True, True), "2": ("1", False, False)}


def test_two_sizes_one_after_the_other_are_both_shown_against_the_part_off(make_session):
    found = pairs_of(make_session, [{}, mm(flap=1.0), {}, mm(spoiler=55.0), mm(spoiler=25.0), {}])
    assert {run for run, (_, _, part) in found.items() if part} == {"2", "4", "5"}
    assert (found["4"][0], found["5"][0]) == ("3", "3")


@pytest.mark.parametrize("stated", ["", "4"])
def test_a_baseline_that_came_back_shows_no_part_even_where_a_sheet_names_the_run_before(
    make_session, stated
):
    steps = [{}, mm(splitter=60.0), mm(splitter=60.0, canards=1.0), mm(spoiler=55.0), {}]
    fields = {5: {"baseline": stated}} if stated else {}
    fields |= {3: {"baseline": "1"}}
    found = pairs_of(make_session, steps, fields=fields)
    assert {run for run, (_, _, part) in found.items() if part} == {"2", "3", "4"}


def test_a_baseline_named_by_what_was_taken_off_is_the_baseline_and_no_part(make_session):
    labels = ["baseline", "splitter on", "splitter off", "wing on", "baseline again", "louvres"]
    steps = [{}, mm(splitter=60.0), {}, mm(wing=5.0), {}, {}]
    found = pairs_of(make_session, steps, labels=labels)
    assert (found["2"][0], found["4"][0]) == ("1", "1")
    assert "3" not in found
    assert "5" not in found
    assert found["6"] == ("1", False, True)


def test_proposals_and_repeats_stay_in_their_block(make_session):
    fields = [{"block": "am"}, {"block": "am"}, {"block": "pm"}, {"block": "pm"}]
    session = make_session(
        [(300.0, 500.0, 600.0)] * 4, configurations=["plain", "taped", "sealed", "plain"], runs=fields
    )
    found = {i.run: i for i in compare(session)}
    assert found["3"].baseline == "4"
    assert found["2"].baseline_runs == ("1",)
    told = {i.run: i for i in compare(session, across_blocks=True)}
    assert told["3"].baseline == "2"
    assert told["2"].baseline_runs == ("1", "4")


def test_void_runs_are_never_used_and_suspect_ones_are_marked(make_session):
    fields = [{"status": "suspect"}, {"status": "void"}, {"baseline": "2"}, {}, {"status": "suspect"}]
    session = make_session([(300.0, 500.0, 600.0)] * 5, configurations=["a", "a", "b", "a", "c"], runs=fields)
    increments = compare(session)
    found = {i.run: i for i in increments}
    assert "2" not in found
    assert found["3"].baseline_runs == ("4",)  # a good reading stands without the suspect one
    assert found["3"].suspect == ()
    assert found["5"].suspect == ("5",)
    assert found["3"].proposed
    assert found["3"].notes == ("stated baseline '2' is void and not used",)


def test_a_repeat_against_its_own_configuration_is_no_part(make_session):
    readings = [(300.0, 500.0, 600.0), (320.0, 500.0, 600.0)]
    session = make_session(readings, configurations=["base", "base"], runs=[{}, {"baseline": "1"}])
    increment = compare(session)[-1]
    assert increment.part_class is PartClass.REPEAT
    assert increment.differs == ()
    assert increment.front_downforce.change == pytest.approx(20.0)


def test_with_no_repeats_and_no_facility_figure_nothing_is_resolved(make_session):
    readings = [(300.0, 500.0, 600.0), (900.0, 1500.0, 650.0)]
    session = make_session(readings, deviation=(None, None, None), runs=[{}, {"baseline": "1"}])
    increments = compare(session)
    increment = increments[-1]
    assert not increments.changes.resolved.any()
    assert increment.ratio.kind is RatioKind.NONE
    assert increment.ratio.value is None
    assert increment.part_class is PartClass.SCATTER_UNKNOWN
    assert increment.rounded_ratio.value == pytest.approx(1600.0 / 50.0)
    assert "noise unknown: nothing is significant; run the baseline again" in increments.notes


def test_with_untouched_repeats_alone_refitting_is_assumed_and_nothing_is_resolved(make_session):
    readings = [(300.0, 500.0, 600.0), (301.0, 500.5, 600.5), (302.0, 499.0, 601.0), (900.0, 900.0, 700.0)]
    session = make_session(
        readings,
        configurations=["base", "base", "base", "part"],
        deviation=(None, None, None),
        runs=[{}, {}, {}, {"baseline": "1"}],
    )
    increment = compare(session)[-1]
    assert increment.part_class is PartClass.REFIT_ASSUMED
    assert not increment.drag.resolved
    assert increment.drag.refit_assumed
    within = np.std([600.0, 600.5, 601.0], ddof=1)
    fit, alone = (2.5 * within) ** 2 + within**2 / 3.0, (2.5 * within) ** 2 + within**2
    assert increment.drag.std == pytest.approx(np.sqrt(fit + alone), rel=1e-12)


def test_a_wrong_choice_is_refused(make_session):
    session = make_session([(300.0, 500.0, 600.0)] * 2)
    with pytest.raises(UnknownName, match="run: found '9', expected one of: 1, 2"):
        compare(session, chosen={"1": "9"})
    with pytest.raises(InputError, match="baseline of run '1': found the run itself, expected another run"):
        compare(session, chosen={"1": "1"})


def test_a_session_of_no_or_one_run_has_no_increments(make_session):
    assert len(compare(make_session([(300.0, 500.0, 600.0)]))) == 0
