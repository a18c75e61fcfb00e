"""One file by two ways: imported whole, and watched by a day that was begun with the import's header."""

import csv
import io
import tomllib

import pytest

from balance.files.day.run_entry import next_entry
from balance.files.day.run_sheet import sheet_from
from balance.files.tables.header.mapping import column_of, columns_found
from balance.files.tables.importing.plan import Question
from balance.files.tables.importing.writing import runs_text
from balance.files.tables.reading.file_grid import ZIP
from balance.files.tables.rows.sheet_rows import read_rows, run_from
from balance.files.tables.watch.file_watch import watch_file
from balance.model.errors import FileFaults
from tui.host.import_answers import answered


def begun(plan, text=""):
    """The sheet of a day that has the header of an import, and no run yet; or a text for its runs."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(plan.header)
    recorded = tomllib.loads(plan.session_text).get("columns", {}).get("recorded", [])
    return sheet_from(text or out.getvalue(), recorded=recorded, file_format=plan.file_format)


def said(plan, sheet, table):
    """What somebody says of the columns who knows what the import made of them."""
    headers = [name for name, column in zip(table.names, table.head.columns, strict=True) if column.header]
    theirs = {
        becomes.partition(" [")[0]: header
        for header, becomes in zip(headers, (one.becomes for one in plan.columns), strict=True)
        if becomes
    }
    theirs |= {name: header for name, header in plan.options.columns.items() if header in table.names}
    theirs = {name: header for name, header in theirs.items() if name in {one.name for one in sheet.plans}}
    called = {}
    for name in set(theirs) - set(columns_found(sheet, table.names).values()):
        options, column = plan.options, None
        while column is None:
            found = column_of(sheet.plan(name), theirs[name], table, (), options)
            if not isinstance(found, Question):
                column = found
            elif found.field == "lift_sign":
                options = answered(options, found, "down" if "downforce" in name else "up")
            elif found.field == "units":
                options = answered(options, found, sheet.plan(name).unit)
            elif found.field == "drag_sign":
                options = answered(options, found, "rearward")
            else:
                raise AssertionError(found)
        called[name] = column
    return called


def watched(plan):
    """The runs.csv that a day gets which watches the file of a plan; and the questions about rows that wait."""
    sheet = begun(plan)
    watch = watch_file(plan.source, options=plan.options)
    watch.poll()
    watch.take_waiting()
    assert watch.trouble == ""
    read = read_rows(sheet, watch.table, said(plan, sheet, watch.table), plan.options)
    assert read.questions == ()
    for row in watch.rows:
        if row.line in read.runs and row.line not in read.asked:
            entry = run_from(sheet, next_entry(sheet), read.runs[row.line])
            sheet = sheet.appended(entry.cells)
    return sheet.text, read


def same_either_way(plan):
    """Hold a plan against what a day makes of the same file that watches it; tell whether both can read it."""
    if not plan.ready or plan.raw.startswith(ZIP) or _moment(plan):
        return False
    text = runs_text(plan)
    try:
        begun(plan, text)
    except FileFaults:  # beyond what a day may hold, so neither takes it
        with pytest.raises(FileFaults):
            watched(plan)
        return True
    there, read = watched(plan)
    assert there == text
    assert dict(read.asked) == {}
    return True


def _moment(plan):
    """Whether axle lift is made of lift and a moment, of which a watched file has no columns."""
    return any(one.becomes == "front and rear lift" for one in plan.columns)
