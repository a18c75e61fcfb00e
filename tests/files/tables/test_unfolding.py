"""What a file unfolds to has a limit: it is refused in words, before it takes the machine's memory."""

import subprocess
import sys
import zipfile

import pytest

MB = 1024  # peak_memory counts KiB
MOST = 500 * MB
HEAD = "Run,Configuration,Lift F [N],Lift R [N],Drag [N]\n"
ROW = "1,base,84,260,1150\n"
VEHICLE = 'name = "car (invented)"\n[mass]\ntotal = "1290 kg"\nfront_share = "54.2 %"\n[size]\nwheelbase = "2575 mm"\n'
PLANNED = """
import sys
from balance.model.errors import FileFaults
from balance.files.tables.importing.planning import plan_import
from tests.peak_memory import peak_memory
try:
    plan_import(sys.argv[1], vehicle=sys.argv[2])
    print("taken")
except FileFaults as faults:
    print(faults)
print(peak_memory())
"""
TABLE = """
import atexit, sys
from tests.peak_memory import peak_memory
from tui.command_line.cli import main
atexit.register(lambda: print(peak_memory()))
main(["table", sys.argv[1]])
"""


def workbook(path, sheet, texts=""):
    """A workbook with a sheet of this XML, made without any library."""
    kind = "http://schemas.openxmlformats.org"
    rels = f"{kind}/officeDocument/2006/relationships"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr(
            "[Content_Types].xml",
            f'<?xml version="1.0"?><Types xmlns="{kind}/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>',
        )
        book.writestr(
            "_rels/.rels",
            f'<?xml version="1.0"?><Relationships xmlns="{kind}/package/2006/relationships"><Relationship Id="r1" Type="{rels}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        )
        book.writestr(
            "xl/workbook.xml",
            f'<?xml version="1.0"?><workbook xmlns="{kind}/spreadsheetml/2006/main" xmlns:r="{rels}"><sheets><sheet name="runs" sheetId="1" r:id="r1"/></sheets></workbook>',
        )
        book.writestr(
            "xl/_rels/workbook.xml.rels",
            f'<?xml version="1.0"?><Relationships xmlns="{kind}/package/2006/relationships"><Relationship Id="r1" Type="{rels}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>',
        )
        with book.open("xl/worksheets/sheet1.xml", "w") as part:
            part.write(
                f'<?xml version="1.0"?><worksheet xmlns="{kind}/spreadsheetml/2006/main"><sheetData>'.encode()
            )
            for piece in sheet:
                part.write(piece.encode())
            part.write(b"</sheetData></worksheet>")
        if texts:
            book.writestr("xl/sharedStrings.xml", texts)


def cells(row, values):
    return "".join(f'<c r="{chr(65 + k)}{row}"><v>{value}</v></c>' for k, value in enumerate(values))


def rows_of_a_sheet(count):
    for number in range(1, count + 1):
        yield f'<row r="{number}">{cells(number, (number, 84, 260, 1150))}</row>'


def padded(megabytes):
    yield f'<row r="1">{cells(1, (1, 84, 260, 1150))}</row>'
    for _ in range(megabytes):
        yield " " * 1_000_000


@pytest.fixture
def planned(tmp_path):
    """Have a file planned in a process of its own; what it says, and the most memory it took."""
    (tmp_path / "vehicle.toml").write_text(VEHICLE)

    def plan(path):
        done = subprocess.run(
            [sys.executable, "-c", PLANNED, str(path), str(tmp_path / "vehicle.toml")],
            capture_output=True, text=True, check=True, timeout=600,
        )  # fmt: skip
        *said, memory = done.stdout.splitlines()
        return " ".join(said), int(memory)

    return plan


TEXTS = {
    "a million rows": (lambda: HEAD + ROW * 1_000_000, "found 1,000,002 lines, expected at most 200,000"),
    "a million columns": (
        lambda: "a," * 1_000_000 + "\n" + "1," * 1_000_000 + "\n",
        "a line of more than 500,000 bytes",
    ),
    "two thousand columns": (
        lambda: "a," * 2_000 + "\n" + "1," * 2_000 + "\n",
        "columns, expected at most 1,000",
    ),
    "fifty million digits": (
        lambda: HEAD + f"1,base,{'8' * 49_000_000},260,1150\n",
        "a line of more than 500,000 bytes",
    ),
    "a long cell": (
        lambda: HEAD + f"1,{'b' * 40_000},84,260,1150\n",
        "a cell of 40,000 characters, expected at most 32,767",
    ),
    "too large": (lambda: HEAD + ROW * 3_000_000, "57 MB, expected at most 50 MB"),
}


@pytest.mark.parametrize("name", TEXTS)
def test_a_text_that_unfolds_beyond_a_days_runs_is_refused(planned, tmp_path, name):
    text, why = TEXTS[name]
    (tmp_path / "table.csv").write_text(text())
    said, memory = planned(tmp_path / "table.csv")
    assert why in said
    assert memory < MOST


SHEETS = {
    "three hundred megabytes": (lambda: padded(300), "", "300 MB once unpacked, expected at most 120 MB"),
    "many texts": (lambda: padded(1), "<sst>" + " " * 30_000_000 + "</sst>", "30 MB of texts once unpacked"),
    "many rows": (lambda: rows_of_a_sheet(250_000), "", "more than 200,000 rows"),
}


@pytest.mark.thorough
@pytest.mark.parametrize("name", SHEETS)
def test_a_workbook_that_unfolds_beyond_a_days_runs_is_refused(planned, tmp_path, name):
    sheet, texts, why = SHEETS[name]
    workbook(tmp_path / "table.xlsx", sheet(), texts)
    assert (tmp_path / "table.xlsx").stat().st_size < 10_000_000
    said, memory = planned(tmp_path / "table.xlsx")
    assert why in said
    assert memory < MOST


def test_a_directory_that_lies_unfolds_to_no_more_than_it_says(planned, tmp_path):
    workbook(tmp_path / "table.xlsx", padded(300))
    raw = bytearray((tmp_path / "table.xlsx").read_bytes())
    with zipfile.ZipFile(tmp_path / "table.xlsx") as book:
        true = book.getinfo("xl/worksheets/sheet1.xml").file_size
    (tmp_path / "table.xlsx").write_bytes(
        raw.replace(true.to_bytes(4, "little"), (1000).to_bytes(4, "little"))
    )
    said, memory = planned(tmp_path / "table.xlsx")
    assert "taken" not in said
    assert memory < MOST


def test_the_runs_of_a_day_have_the_same_limit(planned, tmp_path):
    del planned
    (tmp_path / "session.toml").write_text(
        'title = "day (invented)"\nvehicle = "vehicle.toml"\n[facility]\nspeed = "160 km/h"\nair_density = "1.2 kg/m^3"\n'
    )
    (tmp_path / "runs.csv").write_text(
        "run,configuration,front_lift [N],rear_lift [N],drag [N]\n" + "1,b,84,260,1150\n" * 250_000
    )
    done = subprocess.run(
        [sys.executable, "-c", TABLE, str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert done.returncode == 2
    assert "runs.csv: found 250,002 lines, expected at most 200,000" in done.stderr
    assert int(done.stdout) < MOST
