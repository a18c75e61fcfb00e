"""Whatever a log holds: it is read, it asks, or it is refused in words; never anything else."""

from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.laps.logged_laps import trace_log
from balance.files.tables.importing.plan import ImportOptions
from balance.files.tables.logs.log_reading import read_log
from balance.files.tables.logs.log_words import COLUMNS
from balance.model.errors import AxletrimError
from tests.files.tables.driven import Driven, written

SHORT = Driven(laps=2, rate=5.0)
HEADS = st.one_of(
    st.sampled_from(["Time [s]", "Time", "Lap", "Speed [km/h]", "Speed", "v", "Lat Acc [g]", "Lat Acc", "Yaw rate [deg/s]", "Yaw",
                     "Roll", "x", "y [m]", "Latitude", "Longitude", "Distance [km]", "Distance", "Beacon", "Throttle [%]", "", "Speed [kg]"]),
    st.text(max_size=12),
)  # fmt: skip
FIGURES = st.one_of(
    st.sampled_from(["", "0", "-", "nan", "inf", "-1e308", "1e308", "12:30:00.5", "1,5", "1.234,5", "x", "lap", "99999999999999999999"]),
    st.floats(allow_nan=False, width=32).map(str),
    st.integers(-5, 200).map(str),
)  # fmt: skip


def goes(path, laps=None, **options):
    """Read and trace; an error of ours is an answer, anything else is none."""
    said = ""
    try:
        read = read_log(path, ImportOptions(**options), laps=laps)
        if read.log is not None:
            trace_log(read.log, "any")
    except AxletrimError as fault:
        said = str(fault)
    else:
        said = "read" if read.log is not None else "; ".join(map(str, read.questions))
    assert said.strip()
    assert len(said) < 20_000


@given(st.data())
def test_any_table(tmp_path_factory, data):
    heads = data.draw(st.lists(HEADS, min_size=1, max_size=7))
    rows = data.draw(st.integers(0, 60))
    steady = data.draw(st.booleans())
    lines = [",".join(f'"{head}"' for head in heads)]
    for k in range(rows):
        cells = [str(k / 10.0)] * len(heads) if steady else [data.draw(FIGURES) for _ in heads]
        lines.append(",".join(f'"{cell}"' for cell in cells))
    path = tmp_path_factory.mktemp("any") / "log.csv"
    path.write_bytes("\n".join(lines).encode(errors="replace"))
    laps = data.draw(st.sampled_from([None, "whole", "0 s, 1 s", "1:00, 2:00", "x", ""]))
    columns = data.draw(
        st.dictionaries(
            st.sampled_from(sorted(COLUMNS)), st.sampled_from([*heads, "none", "column 2"]), max_size=2
        )
    )
    units = data.draw(
        st.dictionaries(
            st.sampled_from(sorted(COLUMNS)), st.sampled_from(["g", "m/s", "s", "deg", "1", "?"]), max_size=2
        )
    )
    goes(path, laps, columns=columns, units=units)


@given(st.data())
def test_a_good_log_with_some_cells_changed(tmp_path_factory, data):
    columns = {head: list(cells) for head, cells in SHORT.columns().items()}
    for _ in range(data.draw(st.integers(1, 12))):
        cells = columns[data.draw(st.sampled_from(sorted(columns)))]
        first = data.draw(st.integers(0, len(cells) - 1))
        for k in range(first, min(first + data.draw(st.integers(1, 150)), len(cells))):
            cells[k] = data.draw(FIGURES) if k == first else cells[first]
    goes(written(tmp_path_factory.mktemp("any") / "log.csv", columns))


@settings(max_examples=40)
@given(st.binary(max_size=400), st.integers(0, 4000))
def test_a_good_log_with_some_bytes_in_it(tmp_path_factory, more, place):
    path = written(tmp_path_factory.mktemp("any") / "log.csv", SHORT.columns())
    raw = path.read_bytes()
    path.write_bytes(raw[:place] + more + raw[place:])
    goes(path)
