"""What the page says of other cars: counts and kinds of bodies, never a name, and nothing unless it was asked for."""

import re
from dataclasses import replace
from html import unescape
from io import BytesIO

import openpyxl
import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.files.formats.report import read_brief
from balance.files.loader import load_session
from balance.model.errors import FileFaults, InputError
from balance.tell.export.export_xlsx import workbook
from balance.tell.figures import Show
from balance.tell.report.page import brief_page, page_html
from balance.tell.report.report_data import ReportData
from tests.files.library.conftest import Days

GAINS = {"Zebulon": 60.0, "Quagmire": 75.0, "Xerophyte": 40.0, "Wolverine": 66.0, "Yggdrasil": 52.0}
"""Customers, as nothing else on a page is called."""
BODIES = ("hatchback", "Hatchback", "saloon", "", "hatchback")
ROWS = (
    "run,configuration,front_lift [N],rear_lift [N],drag [N],rear_spoiler [mm]\n"
    "1,base,84,260,1150,\n2,spoiler,90,186,1158,25\n3,base,82,262,1151,\n4,spoiler,91,188,1159,25\n"
)


@pytest.fixture
def days(tmp_path):
    return Days(tmp_path)


@pytest.fixture
def own(days):
    """The customer's day, with a line that asks for other cars."""
    folder = days.day("own", runs=ROWS, name="The customer's own")
    (folder / "report.toml").write_text("library = true\n", encoding="utf-8")
    return folder


def add(days, count=5):
    for k, (name, gain) in enumerate(list(GAINS.items())[:count]):
        folder = days.day(f"{name} garage", f"{name} secret day", gain=gain, name=f"{name} racer")
        if BODIES[k]:
            vehicle = folder.parent / "vehicle.toml"
            text = vehicle.read_text(encoding="utf-8")
            vehicle.write_text(f'{text}[body]\nkind = "{BODIES[k]}"\n', encoding="utf-8")
        joined, _ = days.add(folder, car="new", n1="same") if k else days.add(folder)
        assert not joined.questions


def page(days, folder, depth="short"):
    session = load_session(folder)
    choices = read_brief(session, folder)
    report = ReportData(reduce_day(session, draws=400), choices, Show(), str(days.library))
    if depth == "full":
        report = replace(report, choices=replace(choices, depth="full"))
    return page_html(brief_page(report))


def words(html):
    return " ".join(unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL)).split())


@pytest.mark.parametrize("depth", ["short", "full"])
def test_no_name_of_another_customer_stands_anywhere(days, own, depth):
    add(days)
    (own / "report.toml").write_text('library = true\nwhat_ifs = ["more"]\n', encoding="utf-8")
    (own / "what_if.toml").write_text(
        '[[what_if]]\nname = "more"\nfrom = "1"\nlibrary = ["rear spoiler 25 mm"]\n', encoding="utf-8"
    )
    html = page(days, own, depth)
    assert "On 5 cars before" in words(html)
    assert "expected, from 5 cars" in words(html)
    for name in GAINS:
        assert name.casefold() not in html.casefold()
    for secret in ("secret", "garage", "racer", str(days.library), str(days.place)):
        assert secret not in html


def test_counts_bodies_figures_and_the_state_are_told(days, own):
    add(days)
    said = words(page(days, own))
    assert (
        "On 5 cars before (3 × hatchback, 1 × saloon, 1 × kind of body not stated), mean of them: rear +59 N ("
        in said
    )
    # by hand: of equal weights the plain mean of 60, 75, 40, 66 and 52 N; on this car 261 less 187 N
    _before, mean, low, high = re.search(
        r"On (5) cars before .*?rear \+(\d+) N \((\d+) to (\d+)\)", said
    ).groups()
    assert int(mean) == round(sum(GAINS.values()) / 5)
    assert int(low) < int(mean) < int(high)
    assert re.search(
        r"a next car was expected from [−\d]+ to \d+ N \(95 %\) at the rear\. On yours: rear \+74 N \(", said
    )
    small = said.partition("What was assumed")[2]
    assert re.search(
        r"none of it on this one: the engineer's records of 5 test days, mark [0-9a-f]{8}\.", small
    )
    assert "library" not in said  # a customer knows of none


def test_what_it_costs_at_the_other_axle_is_told_where_it_is_not_within_noise(days, own):
    """By hand: three cars whose front each lost 40 N with the spoiler; in the other tests 6 N, which is noise."""
    for k, name in enumerate(list(GAINS)[:3]):
        rows = ROWS.splitlines()[0] + f"\n1,base,84,260,1150,\n2,spoiler,124,{200 - k},1158,25\n"
        days.add(days.day(name, runs=rows), **({"car": "new", "n1": "same"} if k else {}))
    said = words(page(days, own))
    assert re.search(r"mean of them: rear \+61 N \([^)]*\), front −40 N \([^)]*\), drag ", said)
    assert re.search(r"On yours: rear \+74 N \([^)]*\), front −[78] N", said)


def test_bodies_are_those_of_the_cars_that_are_counted(days, own):
    """A car whose repeatability nobody knows enters no mean, and so no count of bodies."""
    add(days)
    folder = days.day("sixth", name="sixth", repeatability="", kind="estate")
    assert not days.add(folder, car="new", n1="same")[0].questions
    said = words(page(days, own))
    assert (
        "On 5 cars before (3 × hatchback, 1 × saloon, 1 × kind of body not stated), mean of them: rear +59 N ("
        in said
    )


@pytest.mark.parametrize("depth", ["short", "full"])
@pytest.mark.parametrize("broken", [False, True])
def test_a_day_that_could_not_be_shared_is_not_named_to_another_customer(days, own, depth, broken):
    (own / "report.toml").unlink()
    other = days.day("Zebulon", "secret day", name="Zebulon racer", facility="North tunnel")
    session = own / "session.toml"
    text = session.read_text(encoding="utf-8").replace("[facility]\n", '[facility]\nname = "North tunnel"\n')
    shares = 'date = 2026-05-14\nshares = ["../../Zebulon/secret day"]\n'
    session.write_text(shares + text, encoding="utf-8")
    if broken:
        (other / "session.toml").write_text("title = 3\n", encoding="utf-8")
    (said,) = load_session(own).left_out  # it has no date, or cannot be read: the engineer is told
    assert "secret" in said
    html = page(days, own, depth).casefold()
    assert "zebulon" not in html
    assert "secret" not in html


@pytest.mark.parametrize(
    ("count", "mean", "following"), [(2, False, False), (3, True, False), (4, True, False)]
)
def test_fewer_cars_say_less(days, own, count, mean, following):
    add(days, count)
    said = words(page(days, own))
    assert (f"On {count} cars before" in said) == mean
    assert ("a next car" in said) == following
    assert ("engineer's records" in said) == mean


def test_days_of_the_car_itself_are_not_before(days, own):
    add(days)
    days.add(days.day("own", "winter", gain=400.0, name="The customer's own"), car="new", n1="same")
    days.add(own, n1="same")
    said = words(page(days, own))
    assert "On 5 cars before" in said
    assert "rear +59 N (" in said


def test_nothing_is_said_unless_it_is_asked_for(days, own):
    (own / "report.toml").unlink()
    without = page(days, own)
    add(days)
    assert page(days, own) == without
    assert "cars before" not in words(without)
    (own / "report.toml").write_text("library = false\n", encoding="utf-8")
    assert page(days, own) == without


def test_the_page_is_the_same_until_the_library_says_otherwise(days, own):
    add(days, 4)
    before = page(days, own)
    assert page(days, own) == before
    add(days, 5)
    after = page(days, own)
    states = [re.search(r"mark ([0-9a-f]{8})", words(one)).group(1) for one in (before, after)]
    assert states[0] != states[1]
    assert "On 5 cars before" in words(after)


def test_a_part_that_was_taken_off_or_is_not_known_has_no_sentence(days, own):
    add(days)
    rows = ROWS.replace(",25", ",30")
    (own / "runs.csv").write_text(rows, encoding="utf-8")
    assert "cars before" not in words(page(days, own))
    head = ROWS.splitlines()[0]
    (own / "runs.csv").write_text(
        f"{head},baseline\n1,spoiler,90,186,1158,25,\n2,base,84,260,1150,,1\n", encoding="utf-8"
    )
    assert "cars before" not in words(page(days, own))


def test_a_part_compared_twice_is_told_of_once(days, own):
    add(days)
    head = ROWS.splitlines()[0]
    rows = [
        "1,base,84,260,1150,,",
        "2,spoiler,90,186,1158,25,",
        "3,vents,70,262,1150,,on",
        "4,both,76,186,1158,25,on",
    ]
    (own / "runs.csv").write_text("\n".join([f"{head},vents", *rows]) + "\n", encoding="utf-8")
    said = words(page(days, own))
    assert said.count("On 5 cars before") == 1
    assert "rear spoiler 25 mm, against base. On 5 cars before" in said


def test_a_library_that_is_not_there_is_refused(days, own):
    with pytest.raises(InputError, match=r"report\.toml: library = true: .*found no library"):
        page(days, own)


def test_a_line_that_says_neither_yes_nor_no_is_a_fault(days, own):
    (own / "report.toml").write_text('\nlibrary = "yes"\n', encoding="utf-8")
    with pytest.raises(FileFaults) as caught:
        page(days, own)
    assert (
        str(caught.value)
        == "report.toml:2: library: found 'yes', expected true or false; write library = true"
    )


def test_cars_whose_repeatability_is_unknown_do_not_count(days, own):
    add(days)
    for name in list(GAINS)[:3]:
        session = days.place / f"{name} garage" / f"{name} secret day" / "session.toml"
        text = session.read_text(encoding="utf-8")
        session.write_text(text[: text.index("[repeatability]")], encoding="utf-8")
    assert "cars before" not in words(page(days, own))


def test_a_day_that_could_not_be_shared_is_not_named_in_a_workbook_that_goes_out(days, own):
    days.day("Zebulon", "secret day", name="Zebulon racer", facility="North tunnel")
    session = own / "session.toml"
    text = session.read_text(encoding="utf-8").replace("[facility]\n", '[facility]\nname = "North tunnel"\n')
    shares = 'date = 2026-05-14\nshares = ["../../Zebulon/secret day"]\n'
    session.write_text(shares + text, encoding="utf-8")
    assert load_session(own).left_out
    written = workbook(assess(reduce_day(load_session(own))))
    cells = [
        str(cell.value).casefold()
        for sheet in openpyxl.load_workbook(BytesIO(written))
        for row in sheet.iter_rows()
        for cell in row
    ]
    assert len(cells) > 100
    assert not [one for one in cells if "zebulon" in one or "secret" in one]
