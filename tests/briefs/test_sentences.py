"""Every number in the page's sentences is one that the results give, rounded by tell/: figure, unit and interval."""

import re
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from balance.decide.day.day import reduce_day
from balance.files.formats.report import BriefChoices, read_brief
from balance.files.loader import load_session
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.report_data import ReportData
from balance.units.shown import SI, US
from tests.briefs.page_text import HTML, figures, sentences
from tests.briefs.sentence_figures import SECTIONS, expected


def held_in_sentences(report):
    tree = html5lib.parse(page_html(brief_page(report)), namespaceHTMLElements=True)
    count = 0
    inside = {section.get("id") for section in tree.iter(f"{HTML}section")}
    assert (set(SECTIONS) <= inside) is report.full
    for key in (key for key in SECTIONS if key in inside):
        allowed = expected(report, key)
        for sentence in sentences(tree, key):
            found = figures(re.sub(r"; rows [0-9]+ to [0-9]+ of [0-9]+$", "", sentence))
            count += len(found)
            assert not found - allowed, (key, found - allowed, sentence)
    return count


@pytest.mark.parametrize("depth", ["short", "full"])
@pytest.mark.parametrize("system", [SI, pytest.param(US, marks=pytest.mark.thorough)], ids=["si", "us"])
@pytest.mark.parametrize(
    "name",
    ["demo", "two seater, downforce at both", "lift at both axles", "a single run", "nothing in balance"],
)
def test_sentences_say_what_the_results_say(shared, tmp_path, name, system, depth):
    session = load_session(shared["DAYS"][name](tmp_path))
    chosen = replace(read_brief(session, Path(session.folder)), depth=depth)
    assert held_in_sentences(ReportData(reduce_day(session, draws=400), chosen, Show(system))) > 20


@settings(
    max_examples=4,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # a page takes a second: no time to shrink
)
@given(
    forces=st.lists(
        st.tuples(st.floats(-400, 900), st.floats(-400, 1200), st.floats(500, 1600)), min_size=1, max_size=5
    ),
    kmh=st.floats(60, 260),
)
def test_sentences_of_any_day_say_what_the_results_say(tmp_path_factory, shared, forces, kmh):
    rows = [
        f"r{k},wing,{2 * k + 2},,{-f:.1f},{-r:.1f},{d:.1f},{'' if k == 0 else 'r0'}"
        for k, (f, r, d) in enumerate(forces)
    ]
    folder = tmp_path_factory.mktemp("any")
    more = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"'
    folder = shared["write_day"](folder, rows, more=more)
    (folder / "what_if.toml").write_text(
        '[[what_if]]\nname = "lip"\nfrom = "r0"\nstated = [{ front = "37 N at 160 km/h", front_std = "9 N" }]\n',
        encoding="utf-8",
    )
    day = reduce_day(load_session(folder), draws=200)
    held_in_sentences(ReportData(day, BriefChoices(speed=kmh / 3.6, what_ifs=("lip",), depth="full"), Show()))
