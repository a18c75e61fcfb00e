"""`axletrim report`, `axletrim chart` and `axletrim compare -o`: files are written, and nothing else is touched."""

import shutil
from pathlib import Path

import pytest

from tests.files.library.conftest import Days


def test_a_report_is_written_and_its_path_printed(axletrim, demo):
    done = axletrim("report", demo, "-o", "page.html")
    assert (done.returncode, done.stdout, done.stderr) == (0, "page.html\n", "")
    text = (axletrim.folder / "page.html").read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert len(text) < 3_000_000
    assert axletrim("brief", demo, "-o", "again.html").returncode == 0  # its old name
    assert (axletrim.folder / "again.html").read_bytes() == (axletrim.folder / "page.html").read_bytes()


@pytest.fixture
def own_demo(demo, tmp_path):
    """The demo day in a folder of its own, to be changed."""
    shutil.copytree(Path(demo).parent, tmp_path / "car")
    return tmp_path / "car" / Path(demo).name


@pytest.mark.thorough
def test_a_report_is_written_in_full_and_the_old_name_writes_the_same(axletrim, own_demo):
    demo = own_demo
    assert axletrim("report", demo, "-o", "short.html").returncode == 0
    assert axletrim("brief", demo, "-o", "old.html").returncode == 0
    assert axletrim("report", demo, "-o", "full.html", "--depth", "full").returncode == 0
    short, old, full = ((axletrim.folder / f"{name}.html").read_bytes() for name in ("short", "old", "full"))
    assert short == old
    assert b'id="appendix"' in full
    assert b'id="appendix"' not in short
    text = (demo / "report.toml").read_text(encoding="utf-8")
    (demo / "report.toml").write_text(f'depth = "full"\n{text}', encoding="utf-8")
    assert axletrim("report", demo, "-o", "asked.html").returncode == 0
    assert b'id="appendix"' in (axletrim.folder / "asked.html").read_bytes()


@pytest.mark.thorough
def test_the_file_of_the_old_name_with_its_old_keys_makes_the_same_report(axletrim, own_demo):
    demo = own_demo
    assert axletrim("report", demo, "-o", "new.html").returncode == 0
    text = (demo / "report.toml").read_text(encoding="utf-8")
    old = text.replace('\nrecommendation = "15"', '\nanswer = "15"').replace(
        "\nrecommendation =", "\nanswer ="
    )
    assert old.count("\nanswer =") == 3
    (demo / "report.toml").unlink()
    (demo / "brief.toml").write_text(old, encoding="utf-8")
    assert axletrim("report", demo, "-o", "old.html").returncode == 0
    assert (axletrim.folder / "new.html").read_bytes() == (axletrim.folder / "old.html").read_bytes()


def test_check_says_which_own_words_are_out_of_date_or_too_long_or_of_nobody_knows_what(axletrim, own_demo):
    demo = own_demo
    assert axletrim("check", demo, "--strict").returncode == 0
    file = demo / "report.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('\nrecommendation = "15"', '\nrecommendation = "16"'), encoding="utf-8")
    said = axletrim("check", demo, "--strict")
    assert said.returncode == 1
    assert (
        "note: own words under “Recommendation”: written for run 15, in balance; the recommendation is now run 16"
        in said.stdout
    )
    file.write_text(text.partition("[written_for]")[0], encoding="utf-8")
    assert (
        "own words under “Setting by setting”: not known for which recommendation"
        in axletrim("check", demo).stdout
    )
    file.write_text(text.replace("**Fit both, or neither.**", "Fit both. " * 70), encoding="utf-8")
    assert "own words under “Recommendation”: 699 characters" in axletrim("check", demo).stdout


@pytest.mark.parametrize(("name", "begins"), [("a.svg", b"<?xml"), ("a.png", b"\x89PNG"), ("a.pdf", b"%PDF")])
def test_a_chart_is_written_in_the_form_of_its_ending(axletrim, demo, name, begins):
    assert (
        axletrim(
            "chart", demo, "added", "-o", name, "--run", "4", "--speed", "120 mph", "--units", "us"
        ).returncode
        == 0
    )
    assert (axletrim.folder / name).read_bytes().startswith(begins)


def test_two_configurations_are_written_side_by_side(axletrim, demo):
    done = axletrim("compare", demo, "1", "15", "--speed", "148 km/h", "-o", "two.html")
    assert (done.returncode, done.stdout) == (0, "two.html\n")
    text = (axletrim.folder / "two.html").read_text(encoding="utf-8").replace("\xa0", " ")
    assert "as delivered" in text
    assert text.count('class="bar ') == 4
    assert "adds 802 N" in text


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("report", "DEMO", "-o", "session.toml"), "expected a file ending in .html"),
        (("brief", "DEMO", "-o", "none/page.html"), "found no folder 'none'"),
        (("chart", "DEMO", "loads", "-o", "a.jpg"), "expected a file ending in .svg or .png or .pdf"),
        (("chart", "DEMO", "loadz", "-o", "a.svg"), "did you mean 'loads'?"),
        (("chart", "DEMO", "loads", "-o", "a.svg", "--run", "99"), "run: found '99'"),
        (("compare", "DEMO", "1", "4", "-o", "a.txt"), "expected a file ending in .html"),
    ],
)
def test_what_cannot_be_written_is_said_and_nothing_is_written(axletrim, demo, arguments, said):
    before = set(axletrim.folder.iterdir())
    done = axletrim(*[demo if a == "DEMO" else a for a in arguments])
    assert (done.returncode, done.stdout) == (2, "")
    assert said in " ".join(done.stderr.split())
    assert set(axletrim.folder.iterdir()) == before


def test_help_names_every_kind_of_chart(axletrim):
    from balance.tell.report.pictures.kinds import KINDS

    said = axletrim("chart", "--help").stdout
    listed = [line.split()[0] for line in said.partition("KINDS")[2].splitlines() if line.strip()]
    assert listed == list(KINDS)


def test_other_cars_are_told_of_where_report_toml_asks_and_the_library_is_named(axletrim, tmp_path):
    days = Days(tmp_path)
    days.five()
    folder = days.place / "oak" / "spring"
    page = tmp_path / "page.html"
    library = ("--library", days.library)
    assert axletrim("report", folder, "-o", page, *library).returncode == 0
    assert "cars before" not in page.read_text(encoding="utf-8")
    (folder / "report.toml").write_text("library = true\n", encoding="utf-8")
    assert axletrim("report", folder, "-o", page, *library).returncode == 0
    assert "On 4 cars before" in page.read_text(encoding="utf-8")  # its own day is none of them
    refused = axletrim("report", folder, "-o", page)
    assert refused.returncode == 2
    assert "report.toml: library = true: " in refused.stderr
    assert "found no library" in refused.stderr
