"""report.toml: what may stand in it, and every fault of it at once."""

from pathlib import Path

import pytest

from balance.files.formats.report import SECTIONS, BriefChoices, WrittenFor, read_brief
from balance.files.loader import load_session
from balance.model.errors import FileFaults

DEMO = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"


def choices(desk, text):
    session = desk.load()
    Path(session.folder, "report.toml").write_text(text, encoding="utf-8")
    return read_brief(session, Path(session.folder))


def faults(desk, text):
    with pytest.raises(FileFaults) as caught:
        choices(desk, text)
    return str(caught.value).splitlines()


def test_without_the_file_nothing_is_chosen(desk):
    session = desk.load()
    assert read_brief(session, Path(session.folder)) == BriefChoices()


def test_an_empty_table_of_contents_is_all_sections_in_their_order(desk):
    assert choices(desk, "# nothing but a comment\n").sections == tuple(SECTIONS)


def test_what_is_chosen_is_read(desk):
    read = choices(
        desk,
        'title = "T"\nspeed = "100 mph"\nunits = "us"\nbaseline = "1"\nanswer = "2"\nruns = ["2", "1"]\n'
        'order = ["cost"]\nleave_out = ["wing"]\n[words]\ncost = """\nTwo\n\nparagraphs"""\n',
    )
    assert (read.title, read.units, read.baseline, read.answer, read.runs) == (
        "T",
        "us",
        "1",
        "2",
        ("2", "1"),
    )
    assert read.speed == pytest.approx(44.704)
    assert read.sections[0] == "cost"
    assert "wing" not in read.sections
    assert read.words == {"cost": "Two\n\nparagraphs"}


def test_limits_and_cautions_cannot_be_left_out(desk):
    (said,) = faults(desk, 'leave_out = ["limits"]\n')
    assert said == (
        "report.toml:1: leave_out: found 'limits', expected sections that may be left out; take it out: no report goes "
        "to a customer without its limits and cautions"
    )


def test_all_faults_are_reported_together(desk):
    found = faults(
        desk,
        'titel = "T"\nspeed = 148\nunits = "metric"\nbaseline = "7"\nruns = ["1", "1"]\norder = ["answr"]\n'
        'what_ifs = ["none such"]\n[words]\nlimits = ""\n',
    )
    assert [line.partition(" found")[0] for line in found] == [
        "report.toml:1: titel:",
        "report.toml:2: speed:",
        "report.toml:3: units:",
        "report.toml:4: baseline:",
        "report.toml:5: runs:",
        "report.toml:6: order:",
        "report.toml:7: what_ifs:",
        "report.toml:9: words.limits:",
    ]
    assert "did you mean 'title'?" in found[0]
    assert "expected a run of this day" in found[3]
    assert "did you mean 'answer'?" in found[5]


def test_a_void_run_is_no_baseline(desk):
    session = desk.load(
        runs="run,configuration,front_lift [N],rear_lift [N],drag [N],status\n"
        "1,base,84,260,1150,\n2,lip,40,255,1160,void\n"
    )
    Path(session.folder, "report.toml").write_text('baseline = "2"\n', encoding="utf-8")
    with pytest.raises(FileFaults) as caught:
        read_brief(session, Path(session.folder))
    assert str(caught.value) == (
        "report.toml:1: baseline: found run '2', which is void, expected runs that count; take it out"
    )


def test_control_characters_in_words_are_refused(desk):
    assert "control characters" in faults(desk, '[words]\nanswer = "a\\u001bb"\n')[0]


def test_the_demo_has_one_that_explains_itself():
    text = (DEMO / "report.toml").read_text(encoding="utf-8")
    session = load_session(DEMO)
    assert read_brief(session, DEMO).answer == "15"
    for key in (
        "speed",
        "units",
        "baseline",
        "recommendation",
        "runs",
        "parts",
        "order",
        "leave_out",
        "what_ifs",
        "words",
    ):
        assert key in text
    for key in SECTIONS:
        assert ("recommendation" if key == "answer" else key) in text


@pytest.mark.parametrize("image", ["![a car](car.png)", "![a car][1]", "<img src=car.png>"])
def test_images_in_own_words_are_refused(desk, image):
    (said,) = faults(desk, f'[words]\nanswer = "See {image} here."\n')
    assert said == (
        "report.toml:2: words.answer: found an image, expected words alone: images are not taken into a report; take it out"
    )


def test_what_own_words_were_written_for_is_read(desk):
    read = choices(
        desk,
        '[words]\nrecommendation = "Mine."\n[written_for]\nrecommendation = { recommendation = "2", verdict = "in balance" }\n',
    )
    assert read.words == {"answer": "Mine."}
    assert read.written_for == {"answer": WrittenFor(recommendation="2", verdict="in balance")}
    (said,) = faults(desk, '[written_for]\nwing = { recommendation = "2" }\n')
    assert said.startswith("report.toml:2: written_for.wing.verdict: found nothing")


def test_two_names_of_one_thing_are_refused(desk):
    assert "found recommendation as well" in faults(desk, 'answer = "1"\nrecommendation = "2"\n')[0]
    assert "found recommendation as well" in faults(desk, '[words]\nanswer = "a"\nrecommendation = "b"\n')[0]


def test_depth_is_short_unless_it_says_full(desk):
    assert choices(desk, "# nothing\n").depth == "short"
    assert choices(desk, 'depth = "full"\n').depth == "full"
    assert "report.toml:1: depth:" in faults(desk, 'depth = "deep"\n')[0]
