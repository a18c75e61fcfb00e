"""The plan of the day driven by keys: what could be run next, the order, what is changed of plan.toml, and its picture."""

import pytest

from balance.files.loader import load_session
from tests.files.library.conftest import Days
from tui.host.expected_lines import plan_of
from tui.widgets.line_table import LineTable

SIZES = [(80, 24), (120, 40)]
named = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")


def planned(ui):
    return ui.state.plan.figures.planned


def wanted(ui):
    return [dict(one.settings) for one in planned(ui).plan.wanted]


def plan_text(day):
    return (day / "plan.toml").read_text(encoding="utf-8")


async def replanned(ui, met):
    """Wait until the plan was worked out anew; the clock of the screen looks at the file."""
    await ui.until(lambda: met() and not ui.busy, ui.pilot.pause)
    await ui.settle()


async def test_it_opens_on_the_run_that_is_worth_most_for_its_minutes(running, demo):
    async with running(demo) as ui:
        await ui.press("8")
        assert ui.screen == "Plan"
        rates = [round(one.worth_rate, 9) for one in planned(ui).found.runs]
        assert rates == sorted(rates, reverse=True)
        for words in (
            "run 24 done", "left until 19:00", "Most merit so far:", "about", "must: track package", "no time left",
            "oversteer is the dangerous side", "Expected at 160 km/h",
        ):  # fmt: skip
            assert words in ui.text
        first = ui.text
        await ui.press("down")
        assert ui.text != first
        await ui.press("escape")
        assert ui.screen == "Home"


async def test_enter_takes_a_run_into_the_entry_and_the_day_is_planned_anew_after_it(running, demo):
    async with running(demo) as ui:
        await ui.press("8", "tab", "down")
        left = len(planned(ui).order.cheapest.slots) + len(planned(ui).order.dropped)
        time_left = planned(ui).found.time_left
        await ui.press("enter")
        assert ui.screen == "Entry"
        cells = ui.app.screen.typing.entry.cells
        assert (cells["splitter_length"], cells["wing_angle"], cells["configuration"]) == (
            "40",
            "5",
            "splitter and wing",
        )
        await ui.type_line("-190 -270 1215")
        await ui.fill(time="17:20", speed="160")
        await ui.press("f10")
        await ui.press("escape", "8")
        await replanned(ui, lambda: planned(ui).session.used[-1].label == "25")
        assert planned(ui).found.time_left < time_left
        assert len(planned(ui).order.cheapest.slots) + len(planned(ui).order.dropped) < left
        assert planned(ui).made == (False, True, False, False)
        assert "✓" in ui.text


async def test_a_wanted_run_is_added_and_dropped_with_all_comments_kept_and_undone(running, demo):
    before = plan_text(demo)
    async with running(demo) as ui:
        await ui.press("8", "f2")
        assert "Which run is wanted?" in ui.text
        field = ui.find("#text")
        field.value = "wing=5 deg, splitter=40 mm"
        await ui.press("enter")
        assert "wanted already" in ui.text
        field.value = "wing_angle=8 deg, splitter=40 mm, flap=10 mm"
        await ui.press("enter")
        await replanned(ui, lambda: len(wanted(ui)) == 5)
        assert wanted(ui)[-1] == {"wing_angle": 8.0, "splitter_length": 40.0, "flap_height": 10.0}
        comments = [line.partition("#")[2] for line in before.splitlines() if "#" in line]
        assert all(comment in plan_text(demo) for comment in comments)
        await ui.press("U")
        await replanned(ui, lambda: len(wanted(ui)) == 4)
        assert plan_text(demo) == before
        await ui.press("R")
        await replanned(ui, lambda: len(wanted(ui)) == 5)
        await ui.press("U", "tab", "home")
        await replanned(ui, lambda: len(wanted(ui)) == 4)
        await ui.press("delete")
        await replanned(ui, lambda: len(wanted(ui)) == 3)
        assert "bonnet louvres" not in plan_text(demo)
        await ui.press("U")
        await replanned(ui, lambda: len(wanted(ui)) == 4)
        assert plan_text(demo) == before


async def test_undo_goes_over_restarts(running, demo):
    before = plan_text(demo)
    async with running(demo) as ui:
        await ui.press("8", "tab", "home", "delete")
        await replanned(ui, lambda: len(wanted(ui)) == 3)
    async with running(demo) as ui:
        await ui.press("U")
        await ui.until(lambda: plan_text(demo) == before, ui.pilot.pause)


async def test_hours_and_minutes_are_stated_on_the_screen(running, demo):
    async with running(demo) as ui:
        await ui.press("8", "f4", "1")
        assert "Hired hours" in ui.text
        ui.find("#text").value = "08:30"
        await ui.press("enter")
        assert "two times of day" in ui.text
        ui.find("#text").value = "08:30 to 07:00"
        await ui.press("enter")
        assert "expected an end after 08:30" in ui.text
        ui.find("#text").value = "08:30 to 20:00"
        await ui.press("enter")
        await replanned(ui, lambda: planned(ui).plan.hours.end == 20 * 3600.0)
        assert 'end = "20:00"                           # the tunnel is hired until then' in plan_text(demo)
        assert planned(ui).order.dropped == ()
        await ui.press("f4", "3")
        ui.find("#text").value = "12"
        await ui.press("enter")
        await replanned(ui, lambda: planned(ui).plan.reading == 720.0)


async def test_a_plan_is_begun_on_the_screen_and_its_undo_leaves_none_behind(running, demo):
    (demo / "plan.toml").unlink()
    async with running(demo) as ui:
        await ui.press("8")
        assert "no hours stated" in ui.text
        await ui.press("f4", "1")
        ui.find("#text").value = "09:00 to 19:00"
        await ui.press("enter")
        await replanned(ui, lambda: planned(ui).plan.hours is not None)
        assert (demo / "plan.toml").exists()
        await ui.press("f2")
        ui.find("#text").value = "wing=8 deg"
        await ui.press("enter")
        await replanned(ui, lambda: len(wanted(ui)) == 1)
        await ui.press("U", "U")
        await replanned(ui, lambda: planned(ui).plan.hours is None)
        assert not (demo / "plan.toml").exists()


async def test_a_change_outside_is_seen_and_its_faults_are_named(running, demo):
    text = plan_text(demo)
    async with running(demo) as ui:
        await ui.press("8")
        (demo / "plan.toml").write_text(text.replace('end = "19:00"', 'end = "07:00"'), encoding="utf-8")
        await replanned(ui, lambda: bool(ui.state.plan.figures.disk.faults))
        assert "hours.end" in ui.text
        await ui.press("f2")
        assert "mend it in an editor" in ui.text
        (demo / "plan.toml").write_text(text.replace('end = "19:00"', 'end = "21:00"'), encoding="utf-8")
        await replanned(ui, lambda: not ui.state.plan.figures.disk.faults)
        assert "until 21:00" in ui.text


async def test_before_the_day_it_says_what_the_hours_can_resolve(running, demo):
    runs = demo / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")
    text = plan_text(demo).partition("[[wanted]]")[0]
    single = "".join(
        f"[[wanted]]\n{one}\n"
        for one in ('splitter_length = "60 mm"', 'wing_angle = "5 deg"', 'spoiler_height = "25 mm"')
    )
    (demo / "plan.toml").write_text(
        text.replace("baseline_every = 8", "baseline_every = 1") + single, encoding="utf-8"
    )
    async with running(demo) as ui:
        await ui.press("8")
        assert ui.screen == "Plan"
        assert "before the first run" in ui.text
        assert "of total downforce detectable for each part" in ui.text
        assert "3 more baselines:" in ui.text
        await ui.press("tab", "enter")
        assert ui.screen == "Entry"


async def test_a_day_with_labels_alone_and_no_plan_has_an_answer(running, desk):
    async with running(desk.session) as ui:
        await ui.press("8")
        assert ui.screen == "Plan"
        assert "Most merit so far" in ui.text
        for key in ("f3", "p", "delete", "m", "u"):
            await ui.press(key)
        assert (desk.session / "run_sheet.html").exists()


@named
def test_picture(opened, demo, size):
    assert opened(demo, size, "8")


@named
def test_picture_of_the_order(opened, demo, size):
    assert opened(demo, size, "8", "tab", "down", "down", "down")


async def test_the_focus_is_on_a_table(running, demo):
    async with running(demo) as ui:
        await ui.press("8")
        assert isinstance(ui.app.focused, LineTable)
        await ui.press("tab")
        assert ui.app.focused.id == "order_rows"


@pytest.fixture
def fresh(tmp_path, monkeypatch):
    """A day before its spoiler, and a library of five other cars that had one."""
    days = Days(tmp_path)
    days.five()
    days.add(days.day("ash", "autumn", gain=58.0, runs=LOUVRES), n1="new")
    monkeypatch.setenv("AXLETRIM_LIBRARY", str(days.library))
    head, first, _ = LOUVRES.splitlines()
    folder = days.day("fresh", runs=f"{head}\n{first}\n")
    (folder / "plan.toml").write_text(
        '[hours]\nstart = "09:00"\nend = "12:00"\n\n[[wanted]]   # the part of the customer\nrear_spoiler = "25 mm"\n',
        encoding="utf-8",
    )
    return folder


LOUVRES = """\
run,configuration,front_lift [N],rear_lift [N],drag [N],rear_spoiler [mm],louvres
1,base,84,260,1150,,
2,louvres,60,262,1155,,bonnet
"""


async def test_a_part_of_the_library_is_taken_as_what_is_expected(running, fresh):
    before = plan_text(fresh)
    async with running(fresh) as ui:
        await ui.press("8", "l")
        await ui.until(lambda: ui.screen == "Pick", ui.pilot.pause)
        assert "rear spoiler 25 mm as rear spoiler 25 mm" in ui.text
        assert "expected, from 5 cars" in ui.text
        assert "louvres bonnet" in ui.text
        assert "1 car: too few" in ui.text
        await ui.press("1")
        await replanned(ui, lambda: bool(planned(ui).plan.believed))
        text = plan_text(fresh)
        assert text.startswith(before)
        assert '[expected.rear_spoiler]\n"25 mm" = { from_library = "rear spoiler 25 mm" }' in text
        assert "rear spoiler expected, from 5 cars" in ui.text
        await ui.press("l")
        await ui.until(lambda: ui.screen == "Pick", ui.pilot.pause)
        assert "no longer expect anything" in ui.text
        await ui.press("2")  # the louvres, of which one car says too little
        await replanned(ui, lambda: not planned(ui).plan.believed)
        assert (
            "! rear spoiler 25 mm (louvres bonnet): assumed, for the library does not say (1 car: too few"
            in ui.text
        )
        await ui.press("U", "U")
        await replanned(ui, lambda: not planned(ui).plan.expected)
        assert plan_text(fresh) == before


async def test_before_the_baseline_it_says_what_is_missing(running, fresh):
    runs = fresh / "runs.csv"
    runs.write_text(runs.read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")
    vehicle = fresh.parent / "vehicle.toml"
    vehicle.write_text(
        "".join(
            line
            for line in vehicle.read_text(encoding="utf-8").splitlines(keepends=True)
            if "frontal_area" not in line
        ),
        encoding="utf-8",
    )
    async with running(fresh) as ui:
        await ui.press("8")
        await replanned(ui, lambda: ui.state.plan.figures is not None)
        assert "Plan: found no run yet and no frontal area" in ui.text
        assert "working out" not in ui.text
        assert "1 wanted run: no order before a reading of the baseline" in ui.text
        assert "runs are wanted yet" not in ui.text


async def test_a_part_of_another_name_is_offered_with_a_warning(running, fresh):
    text = plan_text(fresh).replace("rear_spoiler", "tail_strip")
    (fresh / "plan.toml").write_text(text, encoding="utf-8")
    async with running(fresh) as ui:
        await ui.press("8", "l")
        await ui.until(lambda: ui.screen == "Pick", ui.pilot.pause)
        assert "tail strip 25 mm as rear spoiler 25 mm" in ui.text
        text = " ".join(ui.text.replace("│", " ").split())
        assert "! another part? called" in text
        assert "spoiler there: expected, from 5 cars" in text


async def test_without_a_library_the_key_says_where_one_begins(running, fresh, monkeypatch, tmp_path):
    monkeypatch.setenv("AXLETRIM_LIBRARY", str(tmp_path / "none"))
    async with running(fresh) as ui:
        await ui.press("8", "l")
        said = "axletrim library add DAY begins one"  # a message has a mark before each of its lines
        await ui.until(lambda: said in " ".join(ui.text.replace("▌", " ").split()), ui.pilot.pause)
        assert ui.screen == "Plan"


async def test_what_is_added_to_the_library_meanwhile_is_read_again(running, fresh, tmp_path):
    (fresh / "plan.toml").write_text(
        plan_text(fresh) + '[expected.rear_spoiler]\n"25 mm" = "from library"\n', encoding="utf-8"
    )
    async with running(fresh) as ui:
        await ui.press("8")
        await replanned(ui, lambda: planned(ui).plan.believed[0].library.cars == 5)
        days = Days(tmp_path)
        days.add(days.day("sorb", gain=90.0), car="new", n1="same")
        await replanned(ui, lambda: planned(ui).plan.believed[0].library.cars == 6)
        assert "rear spoiler expected, from 6 cars" in ui.text


def test_what_is_typed_is_held_against_what_the_library_says_now(fresh, tmp_path):
    """It is remembered from key to key, and asked again once the library says otherwise."""
    (fresh / "plan.toml").write_text('[expected.rear_spoiler]\n"25 mm" = "from library"\n', encoding="utf-8")
    session = load_session(fresh)
    first = plan_of(session)
    assert first.believed[0].library.cars == 5
    assert plan_of(session).expected[0] is first.expected[0]
    days = Days(tmp_path)
    days.add(days.day("sorb", gain=90.0), car="new", n1="same")
    assert plan_of(session).believed[0].library.cars == 6


@named
def test_picture_of_what_the_library_offers(opened, fresh, size):
    assert opened(fresh, size, "8", "l")
