"""The customer's page put together by keys: what stands in report.toml after each, and the page as a file."""

import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import pytest
from textual.events import Key
from textual.widgets import Input, OptionList, TextArea

from balance.files.formats.report_edit import edited_brief
from tui.printing.page import page_text
from tui.widgets.asked_form import AskedForm

SIZES = [(80, 24), (120, 40)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
ROOT = Path(__file__).resolve().parents[3]
NOBODY = 65534
WHAT_IF = '[[what_if]]\nname = "less wing, more flap"\nfrom = "16"\nsettings = { wing_angle = "4 deg" }\n'


def brief(folder):
    return tomllib.loads((folder / "report.toml").read_text(encoding="utf-8"))


def comments(folder):
    lines = (folder / "report.toml").read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line.startswith("#")]


def keys(text):
    return tuple({" ": "space"}.get(one, one) for one in text)


def faults(ui):
    return [str(one.content) for one in ui.app.screen.query(".fault") if one.display]


def rows(ui):
    holds = ui.find(OptionList)
    return [str(holds.get_option_at_index(k).prompt) for k in range(holds.option_count)]


def said(ui, selector):
    return str(ui.find(selector).content)


def page_by_command(folder, tmp_path):
    out = tmp_path / "by_command.html"
    subprocess.run([sys.executable, "-m", "tui", "report", str(folder), "-o", str(out)], check=True, cwd=ROOT)
    return out.read_bytes()


async def field(ui, key, text):
    """Go to a field, type in place of what stands there, and press Enter."""
    down = ["down"] * list(ui.find(AskedForm).keys).index(key)
    await ui.press("escape") if isinstance(ui.app.focused, Input | TextArea) else None
    await ui.press("f2", *down, *keys(text), "enter")


async def test_it_opens_with_what_the_page_will_hold(running, demo):
    async with running(demo) as ui:
        await ui.press("7")
        assert ui.screen == "Brief"
        values = ui.find(AskedForm).values
        assert values["title"] == brief(demo)["title"]
        assert values["runs"] == ", ".join(brief(demo)["runs"])
        assert rows(ui)[:2] == ["write the report, report.html", "in  Recommendation, own words"]
        assert "in  Limits and cautions, always" in rows(ui)
        assert ui.find(TextArea).text.strip() == brief(demo)["words"]["recommendation"].strip()
        assert "148 km/h · long left" in ui.text
        assert str(demo / "report.html") in said(ui, "#page")
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_without_a_file_it_says_what_the_page_chooses_itself(running, demo):
    (demo / "report.toml").unlink()
    async with running(demo) as ui:
        await ui.press("7")
        assert ui.hint("title") == "blank: Aerodynamic balance of the Brindlow hatch (invented)"
        assert "blank: Aerodynamic balance of the Brindlow…" in ui.text
        assert "1 · the first run" in ui.text
        assert "chosen by rule" in ui.text
        assert not (demo / "report.toml").exists()
        await field(ui, "title", "Our day")
        assert brief(demo) == {"title": "Our day"}


async def test_a_title_is_saved_and_all_comments_stay(running, demo):
    before, old = comments(demo), brief(demo)
    async with running(demo) as ui:
        await ui.press("7")
        await field(ui, "title", "A new title")
        assert brief(demo) == {**old, "title": "A new title"}
        assert comments(demo) == before
        assert "all of it is in report.toml" in said(ui, "#said")


async def test_a_section_is_left_out_put_in_and_moved(running, demo):
    before = comments(demo)
    async with running(demo) as ui:
        await ui.press("7", *["down"] * 3, "space")
        assert brief(demo)["leave_out"] == ["wing"]
        assert "out Setting by setting, own words" in rows(ui)
        await ui.press("left_square_bracket")
        assert brief(demo)["order"] == ["recommendation", "parts", "wing"]
        assert rows(ui)[3].startswith("out Setting by setting")
        await ui.press("right_square_bracket", "space")
        assert "order" not in brief(demo)
        assert "leave_out" not in brief(demo)
        assert set(before) <= set(comments(demo))  # what is taken out stands as a comment too


async def test_limits_and_cautions_stay(running, demo):
    async with running(demo) as ui:
        await ui.press("7")
        below = next(k for k, row in enumerate(rows(ui)) if "cautions" in row)
        await ui.press("home", *["down"] * below)
        old = (demo / "report.toml").read_bytes()
        await ui.press("space")
        assert (demo / "report.toml").read_bytes() == old
        assert "limits and cautions always stay" in ui.text


async def test_a_what_if_is_put_in_by_its_whole_name(running, demo):
    with (demo / "what_if.toml").open("a", encoding="utf-8") as saved:
        saved.write(WHAT_IF)
    others = brief(demo)["what_ifs"]
    async with running(demo) as ui:
        await ui.press("7", "end")
        assert rows(ui)[-1] == "out what if: less wing, more flap"
        await ui.press("enter")
        assert brief(demo)["what_ifs"] == [*others, "less wing, more flap"]
        await ui.press("space")
        assert brief(demo)["what_ifs"] == others
        for _ in others:
            await ui.press("up", "space")
        assert "what_ifs" not in brief(demo)


async def test_own_words_are_kept_line_by_line(running, demo):
    async with running(demo) as ui:
        await ui.press("7", "down", "enter")
        assert isinstance(ui.app.focused, TextArea)
        await ui.press(*keys("Two days"), "enter", "enter", *keys('and a "half"'), "escape")
        assert brief(demo)["words"]["parts"] == 'Two days\n\nand a "half"\n'
        assert brief(demo)["written_for"]["parts"] == {"recommendation": "15", "verdict": "in balance"}
        assert "in  What each part did, own words" in rows(ui)
        await ui.press("up", "down")
        assert ui.find(TextArea).text.strip() == 'Two days\n\nand a "half"'
        await ui.press("enter", "f7", "delete", "escape")
        assert "parts" not in brief(demo)["words"]
        assert "parts" not in brief(demo)["written_for"]


async def test_own_words_that_no_longer_fit_are_said_until_they_are_typed_again(running, demo):
    text = (
        (demo / "report.toml")
        .read_text(encoding="utf-8")
        .replace('\nrecommendation = "15"', '\nrecommendation = "16"')
    )
    (demo / "report.toml").write_text(text, encoding="utf-8")
    stale = "own words under “Recommendation”: written for run 15, in balance; the recommendation is now run 16, understeer"
    async with running(demo) as ui:
        await ui.press("7")
        await ui.until(lambda: stale in said(ui, "#said").replace("\n", " "))
        await ui.press("enter", *keys(" Mind."), "escape")
        assert brief(demo)["written_for"]["recommendation"] == {
            "recommendation": "16",
            "verdict": "understeer",
        }
        await ui.until(lambda: "under “Recommendation”" not in said(ui, "#said"))


async def test_more_own_words_than_the_screen_takes_are_refused(running, demo):
    old = (demo / "report.toml").read_bytes()
    async with running(demo) as ui:
        await ui.press("7", "enter")
        ui.find(TextArea).load_text("many words " * 60)
        await ui.press("escape")
        assert "found 659 characters, expected at most 600 from the screen" in said(ui, "#said").replace(
            "\n", " "
        )
        assert (demo / "report.toml").read_bytes() == old


async def test_a_fault_stands_beside_its_field_and_what_was_typed_stays(running, demo):
    old = (demo / "report.toml").read_bytes()
    async with running(demo) as ui:
        await ui.press("7")
        await field(ui, "speed", "148")
        assert faults(ui) == [
            (
                "× found '148' without a unit, expected a speed with its unit; "
                "write '148 km/h' or '148 mph', whichever it is"
            )
        ]
        await field(ui, "answer", "99")
        assert len(faults(ui)) == 2
        assert (demo / "report.toml").read_bytes() == old
        assert "not saved yet, kept here: stated at speed, recommended: run" in said(ui, "#said")
        await ui.press("escape", "f10")
        assert "The report is not written" in said(ui, "#page")
        assert not (demo / "report.html").exists()
        await ui.press("1", "B")
        assert ui.find(AskedForm).values["speed"] == "148"
        assert len(faults(ui)) == 2
        await ui.press("q")
        assert "kept in the journal: stated at speed, recommended: run" in said(ui, ".told")
        await ui.press("s")
        await field(ui, "speed", "148 km/h")
        await field(ui, "answer", "15")
        assert faults(ui) == []
        assert brief(demo)["speed"] == "148 km/h"
        assert ui.state.brief_typed == {}


async def test_what_is_typed_is_saved_when_the_page_is_written(running, demo):
    async with running(demo) as ui:
        await ui.press("7", "f2", *keys("Typed last"), "escape", "f10")
        assert brief(demo)["title"] == "Typed last"
        assert "<title>Typed last" in (demo / "report.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("place", ["f2", "f6"])
async def test_keys_after_the_page_is_written_do_not_go_into_the_text(running, demo, place):
    async with running(demo) as ui:
        await ui.press("7", place)
        assert isinstance(ui.app.focused, Input | TextArea)
        await ui.press(*keys("Mine"), "f10")
        kept = brief(demo)
        assert "Mine" in kept["title"] + kept["words"]["recommendation"]
        assert said(ui, "#page").startswith("✔ The report is written")
        assert ui.app.focused is ui.find(OptionList)
        await ui.press(*keys("hm"))
        assert ui.screen == "Brief"
        await ui.press("escape")
        assert brief(demo) == kept


async def test_the_page_is_the_one_that_the_command_writes(running, demo, tmp_path):
    async with running(demo) as ui:
        await ui.press("7", "home", "enter")
        assert said(ui, "#page").startswith("✔ The report is written")
        assert str(demo / "report.html") in said(ui, "#page")
    assert (demo / "report.html").read_bytes() == page_by_command(demo, tmp_path)


async def test_leaving_while_the_page_is_written_loses_nothing(running, demo):
    async with running(demo) as ui:
        await ui.press("7")
        await ui.press("f2", *keys("Left at once"), "escape")
        for key in ("f10", "1"):  # in the same breath: the page cannot be ready
            ui.app.post_message(Key(key, key))
        await ui.settle()
        assert ui.screen == "Home"
        assert "<title>Left at once" in (demo / "report.html").read_text(encoding="utf-8")
        assert "The report is written" in ui.text


async def test_a_faulty_file_is_shown_and_can_be_mended_here(running, demo):
    text = (demo / "report.toml").read_text(encoding="utf-8")
    text = text.replace('\nrecommendation = "15"', '\nrecommendation = "99"\ncolour = "red"')
    (demo / "report.toml").write_text(text, encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("7")
        assert "report.toml:13: colour: found an unknown key" in said(ui, "#said")
        assert len(faults(ui)) == 1
        await field(ui, "answer", "15")
        assert faults(ui) == []
        assert brief(demo)["recommendation"] == "15"
        await ui.press("escape", "f10")
        assert "The report is not written" in said(ui, "#page")


async def test_a_file_that_is_no_toml_is_said_and_left_alone(running, demo):
    (demo / "report.toml").write_text('title = "half\n', encoding="utf-8")
    async with running(demo) as ui:
        await ui.press("7")
        assert "report.toml:1:" in said(ui, "#said")
        await field(ui, "title", "Mine")
        assert (demo / "report.toml").read_text(encoding="utf-8") == 'title = "half\n'
        assert ui.find(AskedForm).values["title"] == "Mine"
        assert ui.state.brief_typed == {"title": "Mine"}


async def test_a_change_outside_is_shown_and_never_written_over_unseen(running, demo):
    file = demo / "report.toml"
    async with running(demo) as ui:
        await ui.press("7", "f2", *keys("Mine"))
        text = file.read_text(encoding="utf-8")
        file.write_text(
            edited_brief(text, {"title": "Theirs", "prepared_by": "somebody else"}), encoding="utf-8"
        )
        await ui.press("enter")
        assert brief(demo)["title"] == "Theirs"
        assert "found 'Theirs' put into report.toml by another program" in faults(ui)[0]
        assert ui.find(AskedForm).values["prepared_by"] == "somebody else"
        await ui.press("end", "2", "enter")
        assert brief(demo)["title"] == "Mine2"
        assert brief(demo)["prepared_by"] == "somebody else"


@pytest.fixture
def open_demo(demo):
    """A session that anybody may read."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    shutil.copytree(demo.parent, folder / "car")
    yield folder / "car" / "tunnel_day"
    shutil.rmtree(folder)


async def test_a_folder_for_reading_only_is_said_plainly(running, open_demo):
    async with running(open_demo) as ui:
        await ui.press("7")
        page_text(open_demo, "si")  # another user may not be able to read the library any more
        open_demo.chmod(0o555)
        root = os.geteuid() == 0
        if root:
            os.seteuid(NOBODY)
        try:
            await ui.press("f10")
            told = said(ui, "#page")
            await field(ui, "title", "Mine")
            beside = faults(ui)
        finally:
            if root:
                os.seteuid(0)
            open_demo.chmod(0o755)
        assert told.startswith("× The report is not written")
        assert f"{open_demo / 'report.html'}: found no permission to write" in told
        assert "found no permission to write" in beside[0]
        assert ui.find(AskedForm).values["title"] == "Mine"
        assert not (open_demo / "report.html").exists()
        await ui.press("end", "2", "enter")
        assert brief(open_demo)["title"] == "Mine2"


async def test_help_explains_the_screen(running, demo):
    async with running(demo, size=(160, 120)) as ui:
        await ui.press("7", "question_mark")
        assert "write report.html into the day's folder" in ui.text


@pytest.fixture
def still(request):
    """A session that stands in the same place each time: the picture shows where."""
    name = request.node.name.replace("[", "_").rstrip("]")
    folder = Path("/tmp") / f"axletrim_{name}"  # noqa: S108 - one for each test, and gone after it
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(ROOT / "vehicles" / "brindlow_hatch", folder)
    yield folder / "tunnel_day"
    shutil.rmtree(folder)


@named
def test_picture(opened, still, size):
    assert opened(still, size, "7")


@named
def test_picture_of_a_fault(opened, still, size):
    assert opened(still, size, "7", "down", "space", "f2", *["down"] * 3, *"148", "enter")


@named
def test_picture_in_the_sun_once_written(opened, still, size):
    assert opened(still, size, "7", "f10", theme="axletrim-sunlight")
