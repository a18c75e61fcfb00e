"""A watched file in any encoding, growing byte by byte: each row is told once, whole, and never as another one."""

import pytest

from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.watch.file_watch import NewRow, watch_file

TABLE = (
    "run;front_lift [N];rear_lift [N];drag [N];oil [°C];note\n"
    "7;-96;-214;1180;95;aile à 4°\n"
    "8;-97;-215;1181;96;größer – 1\xa0181\n"
)
ROWS = [
    ("7", "-96", "-214", "1180", "95", "aile à 4°"),
    ("8", "-97", "-215", "1181", "96", "größer – 1 181"),
]


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_rows_come_whole_and_once(tmp_path, encoding, ends):
    file = tmp_path / "facility.csv"
    watch, told = watch_file(file), []
    whole = TABLE.replace("\n", ends).encode(encoding)
    for count in range(1, len(whole) + 1):
        file.write_bytes(whole[:count])
        told += watch.poll()
    assert [type(event) for event in told] == [NewRow, NewRow]
    assert [tuple(event.row.cells.values()) for event in told] == ROWS
    assert watch.header[4] == "oil [°C]"
    assert watch.waiting == ""


@pytest.mark.parametrize("encoding", ["nonsense", "hex"])
def test_an_encoding_that_is_none_of_texts_is_told(tmp_path, encoding):
    (tmp_path / "log.csv").write_text(TABLE, encoding="utf-8")
    watch = watch_file(tmp_path / "log.csv", options=ImportOptions(encoding=encoding))
    (trouble,) = watch.poll()
    assert trouble.message == f"found the encoding '{encoding}', expected one of texts, such as cp1252"


def test_a_separator_that_is_none_is_told(tmp_path):
    (tmp_path / "log.csv").write_text(TABLE, encoding="utf-8")
    (trouble,) = watch_file(tmp_path / "log.csv", options=ImportOptions(separator="and")).poll()
    assert "--separator" in trouble.message
