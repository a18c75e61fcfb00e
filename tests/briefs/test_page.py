"""The customer's page as text: whole, safe, the same each time, and saying what is missing."""

import re
from xml.etree import ElementTree as ET

import html5lib
import pytest

DAY_NAMES = [
    "demo",
    "two seater, downforce at both",
    "hostile names",
    "lift at both axles",
    "a single run",
    "no repeats, no figure",
    "sixty runs",
    "sixty runs with long remarks",
    "an axle off the ground",
]
HTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
every_day = pytest.mark.parametrize("day", DAY_NAMES)


def tree_of(text):
    """Read a page strictly: whatever the standard calls an error is one here."""
    return html5lib.HTMLParser(strict=True, namespaceHTMLElements=True).parse(text)


def words_of(element):
    return " ".join("".join(element.itertext()).replace("\xa0", " ").split())


def section(tree, key):
    (found,) = (e for e in tree.iter(f"{HTML}section") if e.get("id") == key)
    return found


def test_every_kind_of_day_is_looked_at(shared):
    assert list(shared["DAYS"]) == DAY_NAMES


@every_day
def test_it_is_valid_html_with_one_heading_of_the_page_and_names_of_its_own(page_of, day):
    tree = tree_of(page_of(day))
    assert len(list(tree.iter(f"{HTML}h1"))) == 1
    names = [e.get("id") for e in tree.iter() if isinstance(e.tag, str) and e.get("id")]
    assert len(names) == len(set(names))
    assert set(re.findall(r'(?:url\(#|href="#)([^)"]+)', page_of(day))) <= set(names)


@every_day
def test_it_needs_no_script_and_no_network(page_of, day):
    tree = tree_of(page_of(day))
    tags = {e.tag.rpartition("}")[2] for e in tree.iter() if isinstance(e.tag, str)}
    assert not tags & {"script", "link", "img", "iframe", "object", "embed", "base", "form"}
    for element in tree.iter():
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            if name.rpartition("}")[2] in ("src", "href", "srcset", "action"):
                links = (
                    "http://",
                    "https://",
                    "mailto:",
                )  # of the engineer's own words, for the reader to follow
                assert value.startswith(links if element.tag == f"{HTML}a" else "#"), value
    (style,) = tree.iter(f"{HTML}style")
    assert "@import" not in style.text
    assert "url(" not in style.text


@every_day
def test_every_picture_has_a_title_a_unit_and_a_sentence(page_of, day):
    pictures = list(tree_of(page_of(day)).iter(f"{SVG}svg"))
    assert len(pictures) >= 4
    for picture in pictures:
        (title,) = (e for e in picture if e.tag == f"{SVG}title")
        assert picture.get("role") == "img"
        assert picture.get("aria-labelledby") == title.get("id")
        assert words_of(title).endswith(".")
        drawn = " ".join(words_of(e) for e in picture.iter(f"{SVG}text"))
        assert re.search(r"\[.+\]|%|km/h|N, downforce|lbf, downforce", drawn)


@every_day
def test_limits_and_cautions_are_there(page_of, day):
    from balance.tell.words import CAUTIONS

    said = words_of(section(tree_of(page_of(day)), "limits"))
    for caution in CAUTIONS:
        assert caution in said


@every_day
def test_words_that_promise_too_much_are_not_used(page_of, day):
    said = re.sub(r"(?i)how sure", "", words_of(tree_of(page_of(day))))
    assert not re.search(
        r"\bmargin of safety\b|\bsure\b|\befficien|\bbetter\b|\bworse\b", said, re.IGNORECASE
    )


@every_day
def test_the_same_day_gives_the_same_bytes(shared, page_of, tmp_path, day):
    assert shared["written"](shared["DAYS"][day](tmp_path)) == page_of(day)


def test_text_of_the_session_is_text_and_nothing_else(page_of):
    page = page_of("hostile names")
    tree = tree_of(page)
    assert "<script>alert(1)</script> & “quoted” 😀" in words_of(section(tree, "car"))
    assert "<img src=x onerror=y>" in words_of(section(tree, "appendix"))
    assert "\u200f" not in page
    own = words_of(section(tree, "answer"))
    assert "<script>alert(2)</script>" in own
    assert "javascript:alert(3)" in own  # as text, never as a link
    assert "Heading" in [words_of(h) for h in section(tree, "answer").iter(f"{HTML}h3")]
    drawn = " ".join(words_of(e) for e in tree.iter(f"{SVG}text"))
    assert "_hidden" in drawn
    assert "$x^2$" in drawn  # as typed, not as a formula


@pytest.mark.parametrize(
    ("day", "key", "missing"),
    [
        ("a single run", "parts", "No part by part: no run of this day has another to be compared with."),
        ("a single run", "wing", "No table of settings: no setting was run at 3 values or more"),
        ("a single run", "scatter", "No chart of repeats: no configuration was run twice"),
        ("no repeats, no figure", "scatter", "Noise unknown: no run was repeated"),
        ("no repeats, no figure", "parts", "nothing is significant"),
        ("a single run", "what_if", "No what-ifs: none was chosen for this page"),
    ],
)
def test_what_is_missing_is_said_with_its_reason(page_of, day, key, missing):
    assert missing in words_of(section(tree_of(page_of(day)), key))


def test_a_car_that_lifts_at_both_axles_is_given_no_share(page_of):
    tree = tree_of(page_of("lift at both axles"))
    assert "LIFT" in words_of(section(tree, "answer"))
    assert "front share of downforce moves" not in words_of(section(tree, "parts"))


def test_an_axle_off_the_ground_is_said_and_no_share_is_drawn_beyond(page_of):
    said = words_of(section(tree_of(page_of("an axle off the ground")), "baseline"))
    assert "Rear axle unloaded from" in said
    assert "run 1: an axle leaves the ground" in page_of("an axle off the ground")


def test_a_chosen_what_if_stands_beside_its_start(shared, tmp_path):
    rows = ["1,wing,4,,-120,-275,1162,", "2,wing,8,,-100,-375,1182,1", "3,wing,12,,-90,-455,1212,1"]
    day = shared["write_day"](tmp_path, rows, brief='what_ifs = ["six <degrees>"]\n')
    (day / "what_if.toml").write_text(
        '[[what_if]]\nname = "six <degrees>"\nfrom = "1"\nsettings = { wing_angle = "6 deg" }\n',
        encoding="utf-8",
    )
    tree = tree_of(shared["written"](day))
    (table,) = section(tree, "what_if").iter(f"{HTML}table")
    start, changed = (words_of(row) for row in next(table.iter(f"{HTML}tbody")))
    assert start.startswith("Run 1, wing, at 148 km/h")
    assert changed.startswith("six <degrees>, at 148 km/h")
    assert "not measured, worked out from run 1" in words_of(table)


def test_sections_stand_in_the_order_asked_for(shared, tmp_path):
    brief = 'order = ["limits", "places"]\nleave_out = ["wing", "what_if", "appendix"]\n'
    day = shared["write_day"](tmp_path, ["1,base,,,84,260,1150,", "2,lip,,,10,255,1155,1"], brief=brief)
    tree = tree_of(shared["written"](day))
    keys = [e.get("id") for e in tree.iter(f"{HTML}section")]
    assert keys == ["limits", "places", "answer", "car", "baseline", "parts", "balance", "cost", "scatter"]


def test_both_systems_of_units_are_shown_and_either_can_lead(shared, tmp_path):
    day = shared["write_day"](tmp_path, ["1,base,,,84,260,1150,"], brief='speed = "100 mph"\n')
    from balance.tell.figures import Show
    from balance.tell.report.page import brief_page, page_html
    from balance.units.shown import US

    for show, first in ((Show(), "161 km/h (100 mph)"), (Show(US), "100 mph (161 km/h)")):
        page = page_html(brief_page(shared["report"](day, show=show)))
        assert first in words_of(section(tree_of(page), "answer"))


def test_every_word_of_the_trade_is_explained_where_it_first_stands(page_of):
    tree = tree_of(page_of("demo"))
    explained = [words_of(e) for e in tree.iter(f"{HTML}dt")]
    assert len(explained) == len(set(explained))
    assert {"grip balance", "limits", "change", "95 % interval", "stall", "drift"} <= set(explained)


def test_a_file_of_a_picture_is_xml_with_its_sentence(shared):
    from balance.tell.report.files import picture_bytes
    from balance.tell.report.kinds import draw_kind

    report = shared["report"](shared["DEMO"])
    drawn = picture_bytes(draw_kind(report, "loads"), "svg")
    tree = ET.fromstring(drawn)  # noqa: S314 - our own file
    assert tree.get("role") == "img"
    assert "Load on each axle: runs 15, 17" in "".join(tree.itertext())


@pytest.mark.parametrize("form", ["svg", "png", "pdf"])
def test_a_picture_has_the_same_bytes_each_time(shared, form):
    from balance.tell.report.files import picture_bytes
    from balance.tell.report.kinds import KINDS, draw_kind

    for kind in KINDS if form == "svg" else ("added",):
        one, other = (
            picture_bytes(draw_kind(shared["report"](shared["DEMO"]), kind), form) for _ in range(2)
        )
        assert one == other
        assert len(one) < 200_000


@pytest.mark.parametrize("day", ["demo", "two seater, downforce at both", "lift at both axles"])
def test_curves_are_told_apart_without_colour(shared, tmp_path, day):
    from balance.tell.report.blocks import Missing
    from balance.tell.report.kinds import KINDS, draw_kind

    report = shared["report"](shared["DAYS"][day](tmp_path))
    drawn = [draw_kind(report, kind) for kind in KINDS]
    for picture in (one for one in drawn if not isinstance(one, Missing)):
        looks = {
            line.get_label(): (str(line._unscaled_dash_pattern), line.get_marker(), line.get_linewidth() > 5)
            for axes in picture.figure.axes
            for line in axes.get_lines()
            if not line.get_label().startswith("_")
        }
        assert len(set(looks.values())) == len(looks), (picture.key, looks)
