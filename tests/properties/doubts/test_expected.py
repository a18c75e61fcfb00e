"""What a reading is expected to be: by its repeats, along a line of one setting, or as the most alike run read.

Forces are invented; each expected value is worked out by hand beside its check, by the definitions of median and straight
line. The limits of the doubts are common practice, no source.
"""

import numpy as np
import pytest

from balance.decide.day.day import reduce_day
from balance.decide.doubts.entry_doubts import entry_doubts
from balance.decide.doubts.expected import changed_settings, expected, family_of
from balance.decide.doubts.plausibility import doubts
from balance.model.records import Setting

PRESSURE = 0.5 * 1.2 * 50.0**2
SCATTER = 7.0  # the largest that the made session states, in N


def day_of(make_session, rows):
    """Reduce a day of (label, settings, (front, rear, drag) in N, further fields of the run)."""
    labels, settings, forces, fields = zip(*[(*row, {})[:4] for row in rows], strict=True)
    runs = [
        {
            "settings": {
                name: Setting(value=value, unit="deg" if isinstance(value, float) else "")
                for name, value in one.items()
            },
            **more,
        }
        for one, more in zip(settings, fields, strict=True)
    ]
    return reduce_day(make_session(forces, configurations=labels, runs=runs), draws=100)


def forces(usual):
    return usual.mean * PRESSURE


def wing_sweep(make_session, *angles):
    """Make a wing of 100 N front less 5 N, rear 300 N more 20 N, drag 600 N more 10 N a degree."""
    return day_of(
        make_session,
        [("car", {"wing": a}, (100.0 - 5.0 * a, 300.0 + 20.0 * a, 600.0 + 10.0 * a)) for a in angles],
    )


def test_nothing_is_expected_of_the_only_good_run(make_session):
    day = day_of(
        make_session,
        [
            ("base", {}, (-80.0, -280.0, 1150.0)),
            ("base", {}, (-82.0, -284.0, 1152.0), {"status": "suspect", "reason": "tape"}),
        ],
    )
    assert expected(day, 0) is None
    assert expected(day, 1, without=[0]) is None
    assert expected(day, 1).why.rows == (0,)


def test_one_repeat_is_expected_to_read_as_the_other(make_session):
    day = day_of(make_session, [("base", {}, (-80.0, -280.0, 1150.0)), ("base", {}, (-90.0, -286.0, 1140.0))])
    usual = expected(day, 1)
    assert (usual.why.kind, usual.why.rows) == ("repeats", (0,))
    assert forces(usual) == pytest.approx([-80.0, -280.0, 1150.0])
    assert usual.std * PRESSURE == pytest.approx([SCATTER] * 3)


@pytest.mark.parametrize("wrong", range(3))
def test_one_wrong_repeat_of_three_makes_no_right_one_doubtful(make_session, wrong):
    rows = [("base", {}, (-80.0, -280.0, 1150.0))] * 3
    rows[wrong] = ("base", {}, (-80.0, 280.0, 1150.0))
    day = day_of(make_session, rows)
    for row in range(3):
        assert forces(expected(day, row)) == pytest.approx([-80.0, -280.0, 1150.0])  # two of three read so
    assert [(d.kind, d.run, d.axle) for d in doubts(day) if d.run] == [("sign", str(wrong + 1), "rear")]


def test_a_repeat_at_quite_another_speed_is_merely_alike(make_session):
    def at(speed):
        day = day_of(
            make_session,
            [
                ("base", {}, (-80.0, -280.0, 1150.0)),
                ("base", {}, (-40.0, -140.0, 575.0), {"speed": speed}),
            ],
        )
        return [expected(day, row).why.kind for row in (0, 1)]

    assert at(40.5) == ["repeats", "repeats"]  # 19 % below 50 m/s
    assert at(39.5) == ["like", "like"]  # 21 % below 50 m/s


def test_a_line_runs_through_the_two_nearest_values_of_the_one_setting_that_differs(make_session):
    day = wing_sweep(make_session, 0.0, 4.0, 8.0, 6.0)
    between, beyond = expected(day, 3), expected(day, 2, without=[3])
    assert (between.why.kind, between.why.rows) == ("line", (1, 2))
    assert forces(between) == pytest.approx(
        [70.0, 420.0, 660.0]
    )  # the line that made the forces, at 6 degrees
    assert (beyond.why.kind, beyond.why.rows) == ("line", (1, 0))
    assert forces(beyond) == pytest.approx([60.0, 460.0, 680.0])  # the same at 8 degrees
    step = np.array([20.0, 80.0, 40.0])  # from 4 to 8 degrees
    assert beyond.std * PRESSURE == pytest.approx(SCATTER + step / 16.0)


def test_a_line_needs_two_other_values(make_session):
    day = wing_sweep(make_session, 0.0, 4.0)
    usual = expected(day, 1)
    assert (usual.why.kind, usual.why.rows) == ("like", (0,))
    assert forces(usual) == pytest.approx([100.0, 300.0, 600.0])


def test_the_most_alike_run_has_the_same_parts_then_fewest_changes_then_is_the_latest_before(make_session):
    wing = {"wing": 4.0, "flap": "up"}
    day = day_of(
        make_session,
        [
            ("a", {}, (-80.0, -280.0, 1150.0)),
            ("b", {"wing": 4.0}, (-60.0, 100.0, 1200.0)),
            ("c", {"wing": 8.0, "flap": "down"}, (-50.0, 150.0, 1220.0)),
            ("d", wing, (-55.0, 140.0, 1210.0)),
            ("e", {}, (-81.0, -281.0, 1151.0)),
            ("f", {}, (-82.0, -282.0, 1152.0)),
        ],
    )
    assert expected(day, 3).why.rows == (2,)  # the same parts, though run b differs in less
    assert expected(day, 3, without=[2]).why.rows == (1,)
    assert expected(day, 5).why.rows == (4,)
    assert expected(day, 0).why.rows == (4,)  # none before: the first after
    assert expected(day, 1, without=[2, 3, 4, 5]).why.rows == (0,)


def test_what_is_expected_never_follows_the_reading_where_it_has_one_repeat_or_none(make_session):
    for reading in ((60.0, 460.0, 680.0), (-600.0, 46.0, 6800.0)):
        rows = [
            ("car", {"wing": 0.0}, (100.0, 300.0, 600.0)),
            ("car", {"wing": 4.0}, (80.0, 380.0, 640.0)),
            ("car", {"wing": 8.0}, reading),
        ]
        assert forces(expected(day_of(make_session, rows), 2)) == pytest.approx([60.0, 460.0, 680.0])


def test_a_turned_sign_is_told_against_the_line_though_the_nearest_run_reads_far_less(make_session):
    rows = [
        ("car", {"wing": a}, (100.0 - 5.0 * a, 100.0 + 40.0 * a, 600.0 + 10.0 * a)) for a in (0.0, 4.0, 12.0)
    ]
    rows[2] = ("car", {"wing": 12.0}, (40.0, -580.0, 720.0))  # the line says 580 N, run 2 reads 260 N
    session = day_of(make_session, rows).session
    assert [(d.kind, d.axle, d.other) for d in entry_doubts(session, "3") if d.kind == "sign"] == [
        ("sign", "rear", "2")
    ]


def test_the_run_after_a_turned_one_is_not_doubted_for_its_turning_back(make_session):
    angles = (0.0, 2.0, 4.0, 6.0)
    rows = [("car", {"splitter": a}, (200.0 + 5.0 * a, 300.0 - 2.0 * a, 600.0 + 10.0 * a)) for a in angles]
    rows[2] = ("car", {"splitter": 4.0}, (220.0, -292.0, 640.0))
    found = [(d.kind, d.run, d.axle) for d in doubts(day_of(make_session, rows)) if d.kind == "turned"]
    assert found == [("turned", "3", "rear")]


def test_settings_that_one_run_lacks_count_as_changed(make_session):
    day = day_of(
        make_session,
        [
            ("a", {"wing": 4.0, "flap": "up"}, (1.0, 2.0, 900.0)),
            ("a", {"wing": 4.0, "lip": "on"}, (1.0, 2.0, 900.0)),
        ],
    )
    one, other = day.readings.runs
    assert changed_settings(one, other) == changed_settings(other, one) == {"flap", "lip"}
    assert changed_settings(one, one) == set()


def test_a_family_is_of_one_block_and_one_label_and_of_good_runs(make_session):
    reading = (100.0, 300.0, 600.0)
    day = day_of(
        make_session,
        [
            ("car", {"wing": 2.0}, reading),
            ("car", {"wing": 4.0}, reading),
            ("car", {"wing": 4.0}, reading),
            ("other", {"wing": 6.0}, reading),
            ("car", {"wing": 8.0}, reading, {"block": "pm"}),
            ("car", {"wing": 10.0}, reading, {"status": "suspect", "reason": "tape"}),
            ("car", {"wing": 12.0, "lip": "on"}, reading),
            ("car", {"wing": 2.0}, reading),
        ],
    )
    assert family_of(day, 0, "wing") == {4.0: [1, 2]}


@pytest.mark.parametrize(
    ("deviation", "newtons"),
    [
        ((7.0, 9.0, 4.0), 9.0),  # the largest that the facility states
        ((7.0, 9.0, None), 6.5),  # not all channels are stated: 1 % of the usual drag, 650 N
        ((None, None, None), 6.5),
    ],
)
def test_what_a_right_reading_scatters_by(make_session, deviation, newtons):
    """Common practice, no source; one wrong reading cannot blow it up."""
    readings = [(-80.0, -280.0, 600.0), (-80.0, -280.0, 650.0), (400.0, 900.0, 6500.0)]
    day = reduce_day(make_session(readings, deviation=deviation), draws=100)
    assert expected(day, 0).std * PRESSURE == pytest.approx([newtons] * 3)
