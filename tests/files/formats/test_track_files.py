"""A track on the disk: read right, written and read back the same, and every fault named."""

import errno

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from balance.decide.laps.stations import closure
from balance.files.day import durable
from balance.files.formats.new_track import create_track
from balance.files.formats.track import edited_track, read_track, save_track, written_track
from balance.files.track_path import track_folder, tracks_of
from balance.model.errors import FileFaults, InputError, SaveError
from balance.model.tracks import TrackPlace, track_of_rows, track_of_segments

TOML = 'name = "Upper field loop (invented)"\nclosed = true\n'


def made(folder, toml=TOML, line="length [m],radius [m]\n800,\n314.159,100\n800,\n314.159,100\n"):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "track.toml").write_text(toml)
    (folder / "line.csv").write_text(line)
    return folder


def faults_of(folder):
    with pytest.raises(FileFaults) as found:
        read_track(folder)
    return [str(fault) for fault in found.value.faults]


def test_segments_by_hand(tmp_path):
    toml = (
        TOML
        + 'note = "walked"\ndirection = "anticlockwise"\nair_density = "1.19 kg/m^3"\n[[places]]\nname = "far left"\ndistance = "0.9 km"\n'
    )
    track = read_track(made(tmp_path / "loop", toml))
    assert track.length == pytest.approx(2228.318)
    assert track.air_density == 1.19
    assert track.places == (TrackPlace(name="far left", distance=900.0),)
    assert track.sampled("curvature", [10.0, 900.0]).tolist() == [0.0, 0.01]
    assert closure(track).meets


def test_a_segment_is_two_of_three(tmp_path):
    line = (
        "length [m],radius [ft],angle [deg],bank [deg],gradient [%],width [m]\n"
        "200,,,0,2.5,9\n,-328.083990,-90,5,,\n157.079633,,90,,,9\n157.08,328.08399,90,,,9\n"
    )
    track = read_track(made(tmp_path / "loop", line=line))
    assert np.diff(track.edges) == pytest.approx([200.0, 157.0796, 157.0796, 157.08], abs=1e-3)
    assert track.curvature[:, 0] == pytest.approx([0.0, -0.01, 0.01, 0.01], rel=1e-5)
    assert track.bank[1] == pytest.approx(np.radians([5.0, 5.0]))
    assert track.gradient[0] == pytest.approx([0.025, 0.025])
    assert np.isnan(track.width[1]).all()
    save_track(track, tmp_path / "again")
    assert np.array_equal(read_track(tmp_path / "again").width, track.width, equal_nan=True)
    assert closure(track).missing == pytest.approx(np.radians(270.0), abs=1e-5)  # said, not refused


def test_rows_along_the_line(tmp_path):
    line = "distance [m],curvature [1/km]\n0,0\n100,0\n100,10\n200,20\n300,0\n"
    track = read_track(made(tmp_path / "loop", line=line))
    assert track.sampled("curvature", [99.0, 100.0, 150.0, 250.0]) == pytest.approx([0.0, 0.01, 0.015, 0.01])


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("length [m],radius [m]\n100,0\n", "line.csv:2: radius [m]: found '0', expected a radius of 2 m or more"),
        ("length [m],radius [m]\n-100,\n", "line.csv:2: length [m]: found '-100', expected a length above 0"),
        ("length [m],radius [m]\n,50\n", "line.csv:2: length: found a radius alone"),
        ("length [m],radius [m]\n,\n100,20\n", None),
        ("length [m],radius [m],angle [deg]\n100,50,-90\n", "found a turn against its radius"),
        ("length [m],radius [m],angle [deg]\n100,50,90\n", "expected the 78.5 m of its radius and angle"),
        ("length [m],angle [deg]\n,90\n", "found an angle alone"),
        ("length,radius [m]\n100,\n", "length: found no unit"),
        ("length [kg],radius [m]\n100,\n", "length [kg]: found the unit 'kg', which measures a mass"),
        ("distance [m],curvature [m]\n0,0\n10,0\n", "expected one over a length, such as 1/m"),
        ("distance [m],radius [m],curvature [1/m]\n0,,\n10,,\n", "found both curvature and radius"),
        ("distance [m],length [m],radius [m]\n0,1,\n", "found both distance and length"),
        ("radius [m]\n10\n", "found neither distance nor length"),
        ("length [m]\n10\n", "found nothing that says how it turns"),
        ("distance [m],radius [m]\n0,\n100,\n50,\n", "line.csv:4: distance: found 50 m after 100 m"),
        ("distance [m],radius [m]\n5,\n100,\n", "found 5 m on the first row"),
        ("distance [m],radius [m]\n0,\n", "found 1 rows"),
        ("distance [m];radius [m]\n0;\n", "found columns parted by semicolons"),
        ("length [m],radus [m]\n100,20\n", "did you mean 'radius'?"),
        ("length [m],radius [m]\n100,12,5\n", "line.csv:2: found 3 cells, expected 2 as in the header"),
        ("length [m],radius [m]\n100,twelve\n", "radius [m]: found 'twelve', expected a number"),
        ("length [m],radius [m],bank [deg]\n100,,80\n", "expected a bank within 45 deg"),
    ],
)  # fmt: skip
def test_faults_of_a_line(tmp_path, line, told):
    folder = made(tmp_path / "loop", line=line)
    if told is None:
        assert read_track(folder).length == 100.0  # an empty row is no row
        return
    assert any(told in one for one in faults_of(folder)), faults_of(folder)


def test_all_faults_of_both_files_at_once(tmp_path):
    toml = 'title = "x"\nclosed = "yes"\ndirection = "left"\n[[places]]\nname = "a"\n'
    found = faults_of(made(tmp_path / "loop", toml, "length [m],radius [m]\n100,1\n200,x\n"))
    assert len(found) == 7
    assert [one.split(":")[0] for one in found] == ["track.toml"] * 5 + ["line.csv"] * 2


def test_missing_files_are_told(tmp_path):
    found = faults_of(tmp_path)
    assert found == [
        "track.toml: found no such file, expected a track's track.toml; check its name and place",
        "line.csv: found no such file, expected the line of a track as comma-separated text; check its name and place",
    ]


def test_a_million_rows_are_refused_in_words(tmp_path):
    found = faults_of(made(tmp_path / "loop", line="distance [m],radius [m]\n" + "0,\n" * 1_000_000))
    assert found == ["line.csv: found 1,000,002 lines, expected at most 200,000; a row every 2 m is enough"]


def test_a_place_beyond_the_line_and_a_direction_against_it(tmp_path):
    toml = TOML + 'direction = "clockwise"\n[[places]]\nname = "far"\ndistance = "9 km"\n'
    found = faults_of(made(tmp_path / "loop", toml))
    assert any("expected a place on the line, which is 2,228 m long" in one for one in found)
    assert any("expected anticlockwise, as the line turns" in one for one in found)


def test_a_newer_format_is_refused(tmp_path):
    (found,) = faults_of(made(tmp_path / "loop", "format = 99\n" + TOML))
    assert "newer" in found


numbers = st.floats(-0.2, 0.2).map(lambda one: round(one, 4))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_what_is_written_is_read_back(tmp_path_factory, data):
    rows = data.draw(st.integers(2, 8))
    turns = data.draw(st.lists(numbers, min_size=rows, max_size=rows))
    banks = data.draw(st.lists(numbers, min_size=rows, max_size=rows))
    lengths = data.draw(st.lists(st.floats(1.0, 500.0), min_size=rows, max_size=rows))
    common = {
        "note": "a note",
        "closed": data.draw(st.booleans()),
        "places": (TrackPlace(name="here", distance=0.5),),
    }
    common |= {"bank": banks, "gradient": turns if data.draw(st.booleans()) else 0.0, "air_density": 1.1}
    if data.draw(st.booleans()):
        track = track_of_segments("any", lengths, turns, **common)
    else:
        track = track_of_rows(
            "any", np.cumsum([0.0, *lengths[:-1]]), turns, curvature_std=np.abs(turns), **common
        )
    folder = tmp_path_factory.mktemp("any") / "track"
    save_track(track, folder)
    again = read_track(folder)
    for name in ("edges", "curvature", "bank", "gradient"):
        assert getattr(again, name) == pytest.approx(getattr(track, name), rel=1e-14, abs=1e-16)
    assert (again.name, again.note, again.closed, again.places) == (
        track.name,
        track.note,
        track.closed,
        track.places,
    )
    assert written_track(again)[0] == written_track(track)[0]


def test_a_track_is_never_overwritten(tmp_path):
    track = track_of_segments("any", [100.0], [0.0])
    save_track(track, tmp_path / "one")
    with pytest.raises(SaveError, match="nothing was overwritten"):
        save_track(track, tmp_path / "one")
    (tmp_path / "file").write_text("ours")
    with pytest.raises(SaveError, match="found something there already"):
        save_track(track, tmp_path / "file")
    assert (tmp_path / "file").read_text() == "ours"


def test_a_track_is_there_whole_or_not_at_all(tmp_path, monkeypatch):
    """Nothing stays where the second of the two files does not fit on the disk."""
    written = []

    def fill(path, raw, _before):
        written.append(path)
        if len(written) == 2:
            raise OSError(errno.ENOSPC, "full")
        path.write_bytes(raw)

    monkeypatch.setattr(durable, "_fill", fill)
    with pytest.raises(SaveError, match="full disk"):
        save_track(track_of_segments("any", [100.0], [0.0]), tmp_path / "cars" / "one")
    assert list((tmp_path / "cars").iterdir()) == []


def test_remarks_stand_anywhere_in_a_line(tmp_path):
    line = "# made up\nlength [m],radius [m]\n# first, the straight\n800,\n  # 'tight'\n314.159,100\n"
    track = read_track(made(tmp_path / "loop", line=line))
    assert np.diff(track.edges) == pytest.approx([800.0, 314.159])
    found = faults_of(made(tmp_path / "other", line=line + "x,\n"))
    assert found[0].startswith("line.csv:7: length [m]: found 'x'")


def car_of(folder):
    """Write the least car."""
    folder.mkdir()
    text = 'name = "c"\n[mass]\ntotal = "1200 kg"\nfront_share = "54 %"\n[size]\nwheelbase = "2500 mm"\n'
    (folder / "vehicle.toml").write_text(text)
    return folder / "vehicle.toml"


def test_a_new_track_is_read_back_and_closes(tmp_path):
    folder = create_track(car_of(tmp_path / "car"), 'Upper "field" loop')
    assert folder == tmp_path / "car" / "tracks" / "upper_field_loop"
    track = read_track(folder)
    assert track.name == 'Upper "field" loop'
    ends = closure(track)
    assert ends.missing == pytest.approx(0.0, abs=0.02)
    assert ends.gap < 5.0
    with pytest.raises(SaveError, match="nothing was overwritten"):
        create_track(tmp_path / "car" / "vehicle.toml", "upper field loop")
    with pytest.raises(InputError, match="expected letters or digits"):
        create_track(tmp_path / "car" / "vehicle.toml", " ... ")
    assert [one.name for one in tracks_of(tmp_path / "car")] == ["upper_field_loop"]


def test_a_new_track_of_no_car_writes_nothing(tmp_path):
    with pytest.raises(FileFaults, match=r"vehicle\.toml"):
        create_track(tmp_path / "nobody" / "vehicle.toml", "loop")
    assert list(tmp_path.iterdir()) == []


def test_a_track_is_found_by_folder_or_file(tmp_path):
    folder = create_track(car_of(tmp_path / "car"), "loop")
    assert {track_folder(one) for one in (folder, folder / "track.toml", folder / "line.csv")} == {folder}
    for place, told in (
        (tmp_path / "car", f"did you mean '{folder}'?"),
        (folder.parent / "lop", "did you mean 'loop'?"),
        (tmp_path / "car" / "vehicle.toml", "another file"),
        (tmp_path, "a track is a folder that holds track.toml and line.csv"),
    ):
        with pytest.raises(FileFaults) as found:
            track_folder(place)
        assert told in str(found.value)


def test_editing_leaves_the_rest(tmp_path):
    text = 'name = "loop"  # ours\n\n# where it matters\n[[places]]\nname = "left"\ndistance = "100 m"\n'
    edited = edited_track(text, {"note": "resurfaced"})
    assert "# ours" in edited
    assert 'note = "resurfaced"' in edited
    assert edited.endswith(text[text.index("# where") :])
    again = made(tmp_path / "loop", edited_track(TOML, {"closed": "false"}))
    assert not read_track(again).closed
    with pytest.raises(FileFaults, match="direction"):
        edited_track(text, {"direction": "left"})
