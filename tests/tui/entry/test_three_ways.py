"""The day of known truth typed run by run, imported whole, and watched as it grows: one day, however it comes in."""

import csv
import io
import json
from dataclasses import fields

import pytest
from click.testing import CliRunner

from balance.files.loader import load_session
from tests.known_day import SESSION, UNITS, VEHICLE, header, in_true_order, row_of, runs, write_day
from tui.command_line.cli import axletrim

STATED = ("--speed", "160 km/h", "--air-density", "1.2 kg/m^3")


def begun(folder, columns):
    """A day of which nothing is entered yet."""
    session = folder / "known_car" / "known_day"
    session.mkdir(parents=True)
    (session.parent / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    (session / "session.toml").write_text(SESSION, encoding="utf-8")
    (session / "runs.csv").write_text(",".join(columns) + "\n", encoding="utf-8")
    return session


def line_of(run, before):
    """What the engineer types: the figures, then what is otherwise than in the run before."""
    words = [f"{run.front_lift_N:g}", f"{run.rear_lift_N:g}", f"{run.drag_N:g}"]
    changes = {
        name: run.settings.get(name, "off")
        for name in UNITS
        if run.settings.get(name) != (before.settings.get(name) if before else None)
    }
    if before is None or run.configuration != before.configuration:
        changes["configuration"] = run.configuration
    if before is None or run.block != before.block:
        changes["block"] = run.block
    for name, value in changes.items():
        text = value if isinstance(value, str) else f"{value:g}"
        words += [name, f'"{text}"']
    if not changes or set(changes) == {"block"}:
        words.append("repeat")
    for name in ("status", "baseline"):
        if value := getattr(run, name):
            words += [name, value]
    if run.note:
        words += ["reason" if run.status else "note", f'"{run.note}"']
    return " ".join(words)


async def typed(running, folder):
    """Every run in one line, from the run before that counts."""
    session = begun(folder, header())
    async with running(session) as ui:
        await ui.press("a")
        before = None
        for run in runs():
            await ui.type_line(line_of(run, before))
            await ui.press("enter")
            assert ui.state.work.undo == f"run {run.label} added", ui.text
            before = run if not run.status else before
    return session


async def imported(_, folder):
    """The facility's whole table, as another program's computer wrote it."""
    session = begun(folder, header())
    table = io.StringIO(newline="")
    csv.writer(table, delimiter=";").writerows([header(), *map(row_of, runs())])
    (folder / "theirs.csv").write_bytes(table.getvalue().encode("cp1252"))
    made, car = session.with_name("imported"), session.parent / "vehicle.toml"
    done = CliRunner().invoke(
        axletrim,
        ["import", str(folder / "theirs.csv"), "--to", str(made), "--vehicle", str(car), *STATED],
    )
    assert done.exit_code == 0, done.output
    return made


async def watched(running, folder):
    """The same table row by row, some rows seen half written."""
    session = begun(folder, header())
    file = folder / "theirs.csv"
    with file.open("w", encoding="utf-8", newline="") as table:
        csv.writer(table).writerow(header())
    async with running(session) as ui:
        await ui.press("l")
        ui.find("#text").value = str(file)
        await ui.press("enter")
        await ui.look_for_changes()
        for run in runs():
            row = io.StringIO(newline="")
            csv.writer(row).writerow(row_of(run))
            whole = row.getvalue()
            for part in (whole[:9], whole[9:]):
                with file.open("a", encoding="utf-8", newline="") as table:
                    table.write(part)
                await ui.look_for_changes()
            await ui.until(lambda run=run: f"\n{run.label}," in text(session), ui.look_for_changes)
    return session


def text(session):
    return (session / "runs.csv").read_text(encoding="utf-8")


def records(session):
    """Everything that is known of each run, but for where it stands in its file."""
    found = load_session(session).runs
    return [{one.name: getattr(run, one.name) for one in fields(run) if one.name != "line"} for run in found]


@pytest.mark.parametrize("way", [imported, typed, watched])
async def test_the_records_are_equal_and_the_parts_in_their_true_order(running, tmp_path, way):
    session = await way(running, tmp_path)
    (tmp_path / "by_hand").mkdir()
    assert records(session) == records(write_day(tmp_path / "by_hand"))
    told = CliRunner().invoke(axletrim, ["parts", str(session), "--rank", "downforce", "--json"])
    assert [part["run"] for part in json.loads(told.stdout)["parts"]] == in_true_order()
