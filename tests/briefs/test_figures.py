"""Every figure of the page, read back from it, is the result's own, rounded by tell/."""

from pathlib import Path

import html5lib
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from balance.decide.car.car_state import state_of
from balance.decide.car.prepared_day import prepare_day
from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.sweeps import sweep
from balance.decide.parts.parts import assess_parts
from balance.decide.settings.families import find_families
from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.report import BriefChoices, read_brief
from balance.files.formats.what_if import pick_what_if, read_what_ifs
from balance.files.loader import load_session
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import NONE, Show, behind_weight, interval, number, percent
from balance.tell.parts.change_text import change_words
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.report_data import ReportData
from balance.units.shown import SI, US

STANDARD_GRAVITY = 9.80665
"""m/s², exact: CGPM 1901."""
HTML = "{http://www.w3.org/1999/xhtml}"


def rows_of(tree, key):
    """Read a table back, of however many parts it is laid out: rows of cells, a cell as the lines that stand in it."""
    tables = [t for t in tree.iter(f"{HTML}table") if t.get("data-table") == key]
    assert tables, key
    return [
        [["".join(s.itertext()).replace("\xa0", " ") for s in cell if s.tag == f"{HTML}span"] for cell in row]
        for table in tables
        for row in next(table.iter(f"{HTML}tbody"))
    ]


def read(text):
    return html5lib.parse(text, namespaceHTMLElements=True)


def load(show, force, std):
    return show.axle_load(force, std).removesuffix(" downforce")


def held_against_its_results(day, report, show):
    tree = read(page_html(brief_page(report)))
    other = Show(US) if show.system is SI else Show(SI)
    speed = report.speed
    table = assess(day, speed=speed, rows=day.rows.every)
    n, stds = table.handling.nominal, table.stds
    shown = rows_of(tree, "runs")
    assert len(shown) == len(report.shown)
    for row, cells in zip(report.shown, shown, strict=True):
        loads = (n.front_downforce, n.rear_downforce, n.downforce)
        for values, std, cell in zip(loads, (stds[0], stds[1], stds[3]), cells[1:4], strict=True):
            force = float(values[row])
            assert cell == [load(s, force, float(std[row])) for s in (show, other)]
        assert cells[4] == [
            s.quantity("force", float(n.drag[row]), std=float(stds[2, row])) for s in (show, other)
        ]
    parts = assess_parts(day, speed=speed)
    if report.told:
        for row, cells in zip(report.told, rows_of(tree, "parts"), strict=True):
            for column, cell in zip((FRONT, REAR, TOTAL, DRAG), cells[1:5], strict=True):
                change = parts.increments.changes.of(row, column)
                assert " ".join(cell[:-1]).removeprefix("~") == change_words(change, show)
                assert cell[-1].removeprefix("~") == change_words(change, other, interval=False)
                assert cell[0].startswith("~") == (not change.resolved and np.isfinite(change.std))
    if report.session.places:
        at = sweep(day, report.answer, np.array([p.speed for p in report.session.places]))
        for k, cells in enumerate(rows_of(tree, "places")):
            state = at.handling.nominal
            assert cells[1][0] == load(show, float(state.front_downforce[k]), float(at.stds[0, k]))
            assert cells[2][0] == load(show, float(state.rear_downforce[k]), float(at.stds[1, k]))
            verdict = at.handling.verdicts[k]
            if verdict.low is not None:
                std = (verdict.high - verdict.low) / 4.0
                assert cells[3][0] == percent(verdict.surplus, std)
            target = report.session.vehicle.target
            nearest = min(target.rear_tolerance - verdict.surplus, verdict.surplus + target.front_tolerance)
            assert cells[5][0].startswith(number(abs(nearest) * 100.0, 1))
    held_in_cost_way_sheet_and_scatter(tree, day, report, show, other)
    held_in_baseline_and_air(tree, day, report, show, other)
    held_in_settings(tree, day, report, show, other)
    held_in_what_ifs(tree, report, show, other)
    return tree


def held_in_baseline_and_air(tree, day, report, show, other):
    table, row = assess(day, speed=report.speed, rows=day.rows.every), report.baseline
    n, stds = table.handling.nominal, table.stds
    vehicle = report.session.vehicle
    weight = vehicle.mass * STANDARD_GRAVITY
    loads, shares = rows_of(tree, "baseline")
    for cell, force, std in zip(
        loads[1:],
        (n.front_downforce[row], n.rear_downforce[row], n.downforce[row]),
        (stds[0, row], stds[1, row], stds[3, row]),
        strict=True,
    ):
        assert cell == [load(s, float(force), float(std)) for s in (show, other)]
    for cell, force, part in zip(
        shares[1:],
        (n.front_downforce[row], n.rear_downforce[row], n.downforce[row]),
        (vehicle.front_share, 1.0 - vehicle.front_share, 1.0),
        strict=True,
    ):
        share = float(force) / (weight * part)
        assert cell == [percent(abs(share)) + (" LIFT" if share < 0.0 else "")]
    runs, readings = day.readings.runs, day.readings
    if any(run.speed or run.temperature or run.pressure for run in runs):
        rows = rows_of(tree, "air")
        assert len(rows) == len(runs)
        for k, (run, cells) in enumerate(zip(runs, rows, strict=True)):
            assert cells[0] == [run.label]
            for cell, kind, value in zip(
                (cells[1], cells[2], cells[3], cells[5], cells[6]),
                ("speed", "temperature", "pressure", "density", "dynamic_pressure"),
                (
                    readings.speed[k],
                    run.temperature,
                    run.pressure,
                    readings.air_density[k],
                    readings.dynamic_pressure[k],
                ),
                strict=True,
            ):
                assert cell == (
                    [NONE] if value is None else [s.quantity(kind, float(value)) for s in (show, other)]
                )
            assert cells[4] == [NONE if run.humidity is None else percent(run.humidity, decimals=0)]


def held_in_state(cells, state, show, other):
    """Hold front, rear, drag and grip surplus of a car against what stands in four cells."""
    forces, stds = state.forces.ravel(), state.stds.ravel()
    for cell, k in zip(cells[:2], (0, 1), strict=True):
        assert cell == [load(s, float(forces[k]), float(stds[k])) for s in (show, other)]
    assert cells[2] == [s.quantity("force", float(forces[2]), std=float(stds[2])) for s in (show, other)]
    verdict = state.handling.verdicts[0]
    if not np.isfinite(verdict.surplus):
        assert cells[3] == [NONE]
    elif verdict.low is None:
        assert cells[3] == [percent(verdict.surplus)]
    else:
        std = (verdict.high - verdict.low) / 4.0
        assert cells[3] == [percent(verdict.surplus, std), f"({interval(verdict.low, verdict.high, std)})"]


def held_in_settings(tree, day, report, show, other):
    prepared = prepare_day(day)
    names = dict.fromkeys(sweep.setting for sweep in prepared.sweeps)
    families = [f for name in names for f in find_families(prepared, name) if f.values.size >= 3]
    answer = report.run(report.answer).label
    families.sort(key=lambda family: answer not in family.labels)
    for position, family in enumerate(families):
        rows = rows_of(tree, f"wing-{position}")
        for setting, weights, cells in zip(family.values.tolist(), family.weights, rows, strict=True):
            assert cells[0][0] == f"{setting:g} {family.unit}".strip().replace(" deg", "°")
            drawn = prepared.drawn(weights[None])
            state = state_of(
                prepared,
                prepared.areas(weights),
                None if drawn is None else drawn[:, :, 0],
                prepared.stds(weights),
                vehicle=report.session.vehicle,
                speed=report.speed,
                air_density=report.table.air_density,
                onsets=False,
            )
            held_in_state([*cells[1:4], cells[5]], state, show, other)
            share = state.handling.aero_balance
            value, std = float(share.value[0]), float(share.std[0])
            if np.isfinite(value):
                offset = value - report.session.vehicle.front_share
                assert cells[4] == [percent(value, std), behind_weight(offset, std)]
            else:
                assert cells[4] == ["none"]


def held_in_what_ifs(tree, report, show, other):
    names = report.choices.what_ifs
    saved = read_what_ifs(report.session, Path(report.session.folder)) if names else ()
    for position, name in enumerate(names):
        result = evaluate_what_if(
            report.prepared,
            pick_what_if(saved, name),
            speed=report.speed,
            air_density=report.table.air_density,
        )
        for cells, state in zip(
            rows_of(tree, f"what-if-{position}"), (result.start, result.result), strict=True
        ):
            assert cells[0][0].endswith(f", at {show.speed(state.speed)}")
            assert cells[0][1] == other.speed(state.speed)
            held_in_state(cells[1:5], state, show, other)


def held_in_cost_way_sheet_and_scatter(tree, day, report, show, other):
    table = assess(day, speed=report.speed, rows=day.rows.every)
    n, stds = table.handling.nominal, table.stds
    fastest = max([float(day.readings.speed.max()), *(p.speed for p in report.session.places)])
    speeds = (report.speed, report.session.vehicle.top_speed or fastest)
    for speed, cells in zip(speeds, rows_of(tree, "cost"), strict=False):
        factor, ends = (speed / report.speed) ** 2, report.ends
        for row, cell in zip(ends, cells[1 : 1 + len(ends)], strict=True):
            drag, std = float(n.drag[row]) * factor, float(stds[2, row]) * factor
            assert cell == [s.quantity("force", drag, std=std) for s in (show, other)]
        for row, cell in zip(ends, cells[1 + len(ends) :], strict=True):
            power = float(n.drag[row]) * factor * speed
            assert cell == [s.quantity("power", power) for s in (show, other)]
    if report.way is not None:
        rows = rows_of(tree, "way")
        assert len(rows) == len(report.way.bars) + 3
        for column, cell in zip((FRONT, REAR, TOTAL, DRAG), rows[-1][1:], strict=True):
            change = report.way.whole.of(0, column)
            assert " ".join(cell[:-1]).removeprefix("~") == change_words(change, show)
    positions = {run.label: k for k, run in enumerate(day.readings.runs)}
    for run, cells in zip(report.session.runs, rows_of(tree, "sheet"), strict=True):
        if run.label in positions:
            k = positions[run.label]
            forces = day.readings.areas[k] * day.readings.force_pressure[k]
            assert cells[2][0] == load(show, float(forces[0]), float("nan"))
            assert cells[3][0] == load(show, float(forces[1]), float("nan"))
            assert cells[4][0] == show.quantity("force", float(forces[2]))
    scatter = report.scatter
    if any(scatter.scatter.source):
        for k, cells in enumerate(rows_of(tree, "scatter")):
            deviation, detectable = float(scatter.scatter.deviation[k]), float(scatter.detectable[k])
            assert cells[1][0] == show.quantity("force", deviation, decimals=1)
            assert cells[2][0] == show.quantity("force", detectable)


@pytest.mark.parametrize("system", [SI, pytest.param(US, marks=pytest.mark.thorough)], ids=["si", "us"])
@pytest.mark.parametrize(
    "name", ["demo", "two seater, downforce at both", "sixty runs", "sixty runs with long remarks"]
)
def test_tables_hold_the_results_own_figures(shared, tmp_path, name, system):
    session = load_session(shared["DAYS"][name](tmp_path))
    day, show = reduce_day(session, draws=400), Show(system)
    choices = BriefChoices(what_ifs=read_brief(session, Path(session.folder)).what_ifs, depth="full")
    assert bool(choices.what_ifs) == (name == "demo")
    held_against_its_results(day, ReportData(day, choices, show), show)


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    forces=st.lists(
        st.tuples(st.floats(-400, 900), st.floats(-400, 1200), st.floats(500, 1600)), min_size=1, max_size=5
    ),
    kmh=st.floats(60, 260),
)
def test_figures_of_any_day_are_read_back(tmp_path_factory, shared, forces, kmh):
    folder = shared["write_day"](
        tmp_path_factory.mktemp("any"),
        [],
        more='forces = "as read"\n[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"',
    )
    (folder / "runs.csv").write_text(
        "run,configuration,wing_angle [deg],speed [km/h],temperature [degC],front_lift [N],rear_lift [N],drag [N],baseline\n"
        + "".join(
            f"{k},wing,{2 * k + 2},{150 + 3 * k},{14.3 + k},{-f:.1f},{-r:.1f},{d:.1f},{'' if k == 0 else '0'}\n"
            for k, (f, r, d) in enumerate(forces)
        ),
        encoding="utf-8",
    )
    (folder / "what_if.toml").write_text(
        '[[what_if]]\nname = "one more lip"\nfrom = "0"\nstated = [{ front = "37 N at 160 km/h", front_std = "9 N" }]\n',
        encoding="utf-8",
    )
    day = reduce_day(load_session(folder), draws=200)
    choices = BriefChoices(speed=kmh / 3.6, what_ifs=("one more lip",), depth="full")
    held_against_its_results(day, ReportData(day, choices, Show()), Show())


def test_a_short_report_has_the_same_figures_in_one_system_of_units(shared):
    short, full = (
        read(page_html(brief_page(shared["report"](shared["DEMO"], depth=depth))))
        for depth in ("short", "full")
    )
    for key in ("parts", "runs"):
        for cells, others in zip(rows_of(short, key), rows_of(full, key), strict=True):
            assert [cell[0] for cell in cells[1:5]] == [cell[0] for cell in others[1:5]]
    said = "".join(
        "".join(e.itertext()) for e in short.iter() if e.tag in (f"{HTML}p", f"{HTML}li", f"{HTML}td")
    )
    assert "lbf" not in said
    assert "mph" not in said
