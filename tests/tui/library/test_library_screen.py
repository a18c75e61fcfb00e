"""Page 0 driven by keys: parts over their cars, days that join, are opened and forgotten, and what is missing said."""

import re
import threading

import pytest

from balance.files.library.library import Library
from balance.tell.figures import Show
from balance.tell.library.library_text import together_table
from balance.tell.library.part_picture import part_picture, picture_table
from balance.tell.library.part_rows import part_rows
from balance.units.shown import US
from tests.files.library.conftest import HEAD, STATED, Days
from tui.host.demo import demo_session

PART = "rear spoiler 25 mm"
CARS = {
    # gain in N, body, rear-glass angle; invented, no source
    "Ash": (60.0, "hatchback", "40 deg"),
    "Birch": (75.0, "saloon", "30 deg"),
    "Cedar": (40.0, "hatchback", "25 deg"),
    "Oak": (66.0, "estate", "60 deg"),
    "Yew": (52.0, "hatchback", "33 deg"),
    "Elm": (110.0, "saloon", "28 deg"),
}
DATES = {"spring": 11, "autumn": 12}
SIZES = [(80, 24), (100, 30), (120, 40)]
THEMES = ["axletrim-dark", "axletrim-sunlight"]
sized = pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
themed = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.removeprefix("axletrim-"))


@pytest.fixture
def days(tmp_path, monkeypatch):
    """A library that the interface finds, and days beside it."""
    found = Days(tmp_path)
    monkeypatch.setenv("AXLETRIM_LIBRARY", str(found.library))
    return found


def add(days, count=6):
    """Add a day of each of so many cars, and a second one of the first; give the folders."""
    folders = {}
    for car, (gain, body, angle) in list(CARS.items())[:count]:
        folders[car] = day_of(
            days, car, gain, kind=body, rear_glass_angle=angle, floor="moving" if car == "Oak" else "fixed"
        )
        days.add(folders[car], n1="same" if car != "Ash" else "new", car="new")
    if count > 1:
        second = day_of(days, "Ash", 80.0, "autumn", kind="hatchback", rear_glass_angle="40 deg")
        days.add(second, n1="same")
    return folders


def day_of(days, car, gain, day="spring", **facts):
    folder = days.day(car, day, gain=gain, name=f"{car} {facts.get('kind', 'coupe')} (invented)", **facts)
    session = folder / "session.toml"
    stated = f'date = "2025-0{len(car)}-{DATES[day]}"\n'
    session.write_text(stated + session.read_text(encoding="utf-8"), encoding="utf-8")
    return folder


def cars_shown(ui):
    """Name the cars in the order in which they stand."""
    return [
        line.split()[0].lstrip("►") or line.split()[1]
        for line in (one.replace("►", " ") for one in ui.lines)
        if "┼" in line
    ]


async def test_it_opens_on_a_part_with_its_cars_the_mean_and_the_range_for_the_next(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert ui.screen == "LibraryPage"
        with days.open() as library:
            part = part_rows(library, PART, speed=ui.state.speed)
        table = picture_table(part_picture(part, by_effect=True), Show())
        for row in table.rows:
            assert row["figure"].text in ui.text
        assert cars_shown(ui) == ["Elm", "Birch", "Ash", "Oak", "Yew", "Cedar"]
        for words in (
            "7 days, 6 cars, 1 part", "this day is in it", "mean of 6", "next car", "drag: mean", "ΔDF/ΔD:",
            "rear downforce between cars: sd", "expected inside the range, not at the mean", "Floors differ",
        ):  # fmt: skip
            assert words in ui.text
        await ui.press("escape")
        assert ui.screen == "Home"


@pytest.mark.parametrize("count", range(1, 6))
async def test_no_more_is_said_than_so_many_cars_allow(running, days, count):
    folders = add(days, count)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert ui.text.count("too few cars") == (count < 3) + (
            count < 5
        )  # the design: mean from three, range from five
        assert (f"mean of {count}" in ui.text) == (count >= 3)
        assert ("between cars" in ui.text) == (count >= 3)
        assert ("nothing of another car" in ui.text) == (count == 1)


async def test_speed_units_and_channel_move_every_figure(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        with days.open() as library:
            for keys, show, channel in (
                (("u",), Show(US), "rear"),
                (("c",), Show(US), "drag"),
                (("c",), Show(US), "total"),
            ):
                await ui.press(*keys)
                part = part_rows(library, PART, speed=ui.state.speed)
                together = together_table(part, show).rows
                assert f"{together[0][channel].text} ({together[1][channel].text})" in ui.text
                assert together[3][channel].text in ui.text
        before = ui.state.speed
        await ui.press("plus")
        assert ui.state.speed > before
        assert "at 100 mph" in ui.text  # by hand: the next 5 mph above 160 km/h, which are 99.4


async def test_cars_are_put_in_order_by_what_is_stated_of_them(running, days):
    folders = add(days)
    async with running(folders["Ash"], size=(140, 40)) as ui:
        await ui.press("0", "f2")
        while ui.state.library.by != "rear_glass_angle":
            await ui.press("s")
            assert ui.state.library.by != "front_ride_height"  # which no car states
        assert cars_shown(ui) == ["Cedar", "Elm", "Birch", "Yew", "Ash", "Oak"]
        assert "rear glass" in ui.text
        while ui.state.library.by:
            await ui.press("s")
        assert cars_shown(ui)[0] == "Elm"


async def test_the_filter_keeps_some_cars_and_says_of_how_many(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0", "f", "2")
        assert "3 cars, 4 days, only hatchback, of 6 cars in all" in ui.text
        assert "mean of 3" in ui.text
        assert ui.text.count("too few cars") == 1
        await ui.press("f", "6")
        assert "no part was measured so" in ui.text
        await ui.press("f", "1")
        assert "mean of 6" in ui.text


async def test_at_eighty_columns_the_picked_car_is_told_in_full(running, days):
    folders = add(days)
    async with running(folders["Ash"], size=(80, 24)) as ui:
        await ui.press("0", "enter", "down", "down")
        assert "Ash hatchback (invented) · hatchback · as delivered · fixed floor · 2 days" in ui.text
        await ui.press("escape")
        assert ui.screen == "LibraryPage"
        assert ui.state.library.listed == "parts"


async def test_many_parts_leave_room_for_what_the_picked_one_allows(running, days):
    rows = "".join(f"{k + 2},kind {k},90,{200 + k},1158,{10 + k}\n" for k in range(24))
    folder = days.day("Ash", runs=f"{HEAD}1,base,84,260,1150,\n{rows}")
    days.add(folder)
    async with running(folder, size=(80, 24)) as ui:
        await ui.press("0")
        assert len(ui.state.library.parts) == 24
        assert "One car: it says what the part did there" in ui.text
        assert "too few cars" in ui.text
        await ui.press("end")
        assert ui.state.library.cursor == 23
        assert "rear spoiler 33 mm · spoiler · 1 car" in ui.text
        await ui.press("f2")
        assert "Ash" in ui.text


async def test_a_day_of_the_picked_car_is_opened(running, days):
    folders = add(days)
    async with running(folders["Yew"]) as ui:
        await ui.press("0", "f2", "down", "down", "enter")
        assert "spring of Ash" in ui.text
        assert "autumn of Ash" in ui.text
        await ui.press("2")
        await ui.until(lambda: ui.state.path == str(days.place / "Ash" / "autumn"), ui.pilot.pause)
        await ui.settle()
        assert ui.screen == "Home"


async def test_a_day_that_is_gone_says_so(running, days):
    folders = add(days)
    (days.place / "Elm").rename(days.place / "away")
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "gone: Elm saloon" in ui.text
        assert "gone from its folder" in ui.text
        await ui.press("f2", "j", "1")
        assert "shown as it was read last" in ui.text
        assert ui.state.path == str(folders["Ash"])


async def test_a_day_is_forgotten_after_it_was_confirmed_and_keeps_its_files(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0", "x")
        assert "pick a car first" in ui.text
        await ui.press("f2", "x", "escape")
        assert "6 cars" in ui.text
        await ui.press("x", "1")
        assert "forgotten: " in ui.find("#banner").render().plain  # above the page, over no figure
        assert "6 days, 5 cars, 1 part" in ui.text
        assert (folders["Elm"] / "runs.csv").exists()


async def test_without_a_library_it_says_what_one_is_and_a_key_begins_it(running, days):
    folder = days.day("Ash")
    async with running(folder) as ui:
        await ui.press("0")
        for words in ("No library yet.", "a adds this day and begins a library", "axletrim library add"):
            assert words in ui.text
        await ui.press("f2", "c", "f", "s", "d", "j", "x", "y", "enter")  # nothing there to be looked at
        assert ui.screen == "LibraryPage"
        await ui.press("a")
        assert "added: " in ui.text
        assert "new: rear spoiler 25 mm" in ui.text
        assert "1 day, 1 car, 1 part" in ui.text
        await ui.press("a")
        assert "there already: " in ui.text


async def test_without_a_library_it_says_where_that_of_the_invented_cars_is(running, days, monkeypatch):
    monkeypatch.delenv("AXLETRIM_LIBRARY", raising=False)
    folder = days.day("Ash")
    async with running(folder) as ui:
        await ui.press("0")
        assert "invented cars" not in ui.text
    place = demo_session().parents[1] / "library"
    async with running(folder) as ui:
        await ui.press("0")
        said = "".join(ui.text.split())
        assert f"AXLETRIM_LIBRARY={place}axletrimdemo" in said
    assert (place / "library.toml").exists()


async def test_where_parts_leave_the_cars_no_room_the_key_to_them_stands_in_their_place(
    running, days, monkeypatch
):
    monkeypatch.setenv("AXLETRIM_LIBRARY", str(demo_session().parents[1] / "library"))
    async with running(days.day("Ash"), size=(80, 24)) as ui:
        await ui.press("0")
        assert "f2 lists its 5 cars" in ui.text
        assert "saloon" not in ui.text
        await ui.press("f2")
        assert "f2 lists its" not in ui.text
        assert "saloon" in ui.text


async def test_what_is_like_a_known_car_or_part_is_asked_one_key_each(running, days):
    days.add(days.day("Ash", name="Ash (invented)"))
    folder = days.day("ash again", gain=70.0, name="ASH (invented)")
    async with running(folder) as ui:
        await ui.press("0")
        assert "this day is not in it: a adds it" in ui.text
        await ui.press("a")
        assert "car 'ASH (invented)': the same car as 'Ash (invented)' of the library?" in ui.text
        assert "this day's: ASH (invented) · 1290 kg · wheelbase 2575 mm" in ui.text
        assert "the library's: Ash (invented) · 1290 kg · wheelbase 2575 mm" in ui.text
        await ui.press("enter", "down", "enter")  # what may merge two cars wants its own key
        assert "car 'ASH (invented)': the same car as 'Ash (invented)' of the library?" in ui.text
        await ui.press("escape")
        assert "not added: a question is open" in ui.text
        assert "1 day, 1 car, 1 part" in ui.text
        await ui.press("a", "n")
        assert "Add 'spring of ash again' (ash again/spring): part" in ui.text
        await ui.press("y")
        assert "2 days, 2 cars, 1 part" in ui.text
        assert "this day is in it" in ui.text


async def test_one_key_answers_every_part_of_equal_words(running, days):
    runs = (
        HEAD.replace("\n", ",splitter [mm]\n")
        + "1,base,84,260,1150,,\n2,a,90,200,1158,25,\n3,b,60,260,1158,,50\n"
    )
    days.add(days.day("Ash", runs=runs))
    folder = days.day("Oak", runs=runs)
    async with running(folder) as ui:
        await ui.press("0", "a", "e")
        assert "2 days, 2 cars, 2 parts" in ui.text


async def test_another_part_of_the_library_can_be_named(running, days):
    days.add(days.day("Ash"))
    days.add(
        days.day("Birch", runs=HEAD.replace("rear_spoiler", "wing") + "1,a,84,260,1150,\n2,b,90,60,1190,25\n")
    )
    folder = days.day("Oak", gain=70.0)
    async with running(folder) as ui:
        await ui.press("0", "a", "o")
        assert "Which part is it?" in ui.text
        await ui.press("escape", "o")
        known = [part.name for part in ui.state.library.figures.read.parts]
        await ui.press(str(known.index("wing 25 mm") + 1))
        assert "3 days, 3 cars, 2 parts" in ui.text
        with days.open() as library:
            assert len(library.effects("wing 25 mm")) == 2


async def test_a_broken_library_is_told_and_read_again_once_it_is_mended(running, days):
    folders = add(days, 2)
    file = days.library / "library.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text("days = 3\n", encoding="utf-8")
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "cannot be read" in ui.text
        assert "×" in ui.text
        assert "library.toml" in ui.text
        await ui.press("a")
        assert "library.toml" in ui.text
        file.write_text(text, encoding="utf-8")
        await ui.until(lambda: bool(ui.state.library.parts), ui.pilot.pause)
        await ui.settle()
        assert "3 days, 2 cars, 1 part" in ui.text


async def test_a_broken_day_is_named_and_the_rest_stands(running, days):
    folders = add(days)
    (folders["Elm"] / "runs.csv").write_text("nothing\n")
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "! left out:" in ui.text
        assert "mean of 5" in ui.text
        await ui.press("d")
        assert ui.screen == "PartSheet"
        assert "All channels" in ui.text
        await ui.press("escape")
        assert ui.screen == "LibraryPage"


async def test_a_library_that_cannot_be_written_is_shown_and_says_so(running, days, monkeypatch):
    folders = add(days, 3)
    real = Library.__init__

    def refused(self, *arguments):  # as where the folder's rights forbid it, which root's never are
        real(self, *arguments)
        self.writes = False

    monkeypatch.setattr(Library, "__init__", refused)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "the library cannot be written: it is shown as it can be read" in ui.text
        assert "mean of 3" in ui.text


async def test_what_another_program_adds_appears(running, days):
    folders = add(days, 2)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "mean of 3" not in ui.text
        days.add(day_of(days, "Yew", 50.0), n1="same", car="new")
        await ui.until(lambda: "mean of 3" in ui.text, ui.pilot.pause)


async def test_a_day_that_changed_is_read_again_when_the_page_is_turned_to(running, days):
    folders = add(days, 1)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert "60 ± 21" in ui.text
        runs = folders["Ash"] / "runs.csv"
        runs.write_text(runs.read_text(encoding="utf-8").replace("90,200.0,", "90,190,"), encoding="utf-8")
        await ui.press("1")
        await ui.look_for_changes()
        await ui.press("0")
        assert "70 ± 21" in ui.text


async def test_looking_only_writes_nothing(running, days):
    add(days, 2)
    folder = days.day("Yew")
    async with running(folder, looking=True) as ui:
        await ui.press("0", "a")
        assert "looking only: nothing is written" in ui.text
        await ui.press("f2", "x", "1")
        assert "3 days, 2 cars" in ui.text


async def test_nothing_of_the_library_is_read_in_the_thread_of_the_interface(running, days, monkeypatch):
    folders = add(days, 3)
    threads, real = [], Library.__init__

    def seen(self, *arguments):
        threads.append(threading.current_thread())
        real(self, *arguments)

    monkeypatch.setattr(Library, "__init__", seen)
    async with running(folders["Ash"]) as ui:
        await ui.press("0", "a", "f", "2", "f2", "x", "1")
        assert "forgotten" in ui.text
    assert len(threads) >= 4
    assert threading.main_thread() not in threads


async def test_a_day_without_runs_can_look_at_the_library(running, days):
    add(days)
    folder = days.day("Fir", runs=HEAD)
    async with running(folder) as ui:
        await ui.press("0")
        assert ui.screen == "LibraryPage"
        assert "mean of 6" in ui.text


async def test_the_page_is_copied_and_explained(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0", "y")
        assert "part copied as text" in ui.text
        assert "mean of 6" in ui.app.clipboard
        await ui.press("question_mark")
        assert (
            "range for the next car" in " ".join(line for line in ui.lines) or "add the open day" in ui.text
        )


async def test_a_click_on_a_head_puts_the_cars_in_order(running, days):
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        cars = ui.find("#cars")
        cars.post_message(cars.HeaderClicked(cars, "car"))
        await ui.settle()
        assert cars_shown(ui) == sorted(CARS)
        cars.post_message(cars.HeaderClicked(cars, "figure"))
        await ui.settle()
        assert cars_shown(ui)[0] == "Elm"


@pytest.mark.parametrize("name", ["מכונית (invented)", "車 🏎 (invented)", "a [b]bold[/b] (invented)"])
async def test_hostile_names_keep_the_width_of_every_line(running, days, name):
    folder = days.day("Ash", name=name)
    days.add(folder)
    async with running(folder, size=(80, 24)) as ui:
        for keys in (("0",), ("f2",), ("d",)):
            await ui.press(*keys)
            assert "\u202e" not in ui.text
            assert all(re.sub(r"\s+$", "", line) for line in ui.lines[:1])


@themed
@sized
def test_picture(opened, days, size, theme):
    assert opened(add(days)["Ash"], size, "0", theme=theme)


@sized
def test_picture_of_the_cars(opened, days, size):
    assert opened(add(days)["Ash"], size, "0", "f2", "down", "down", "s", "s", "s")


@pytest.mark.parametrize("count", [1, 4])
def test_picture_of_few_cars(opened, days, count):
    assert opened(add(days, count)["Ash"], (80, 24), "0")


async def test_two_days_of_a_car_are_told_apart_at_eighty_columns(running, days):
    folders = add(days)
    async with running(folders["Ash"], size=(80, 24)) as ui:
        await ui.press("0", "d")
        assert len({line for line in ui.lines if "Ash hatch" in line and "2025-03-1" in line}) == 2


def test_picture_of_a_part_told_whole(opened, days):
    assert opened(add(days)["Ash"], (80, 24), "0", "d")


def test_picture_of_a_question(opened, days):
    add(days)
    assert opened(day_of(days, "Pine", 44.0), (80, 24), "0", "a")


async def test_where_not_all_words_have_room_the_cars_stay_and_it_is_said(running, days):
    names = [f"radiator_pressure_drop_{k}" for k in range(6)]
    listed = ", ".join(f'"{name}"' for name in names)
    head = HEAD.rstrip("\n") + "".join(f",{name} [Pa]" for name in names) + "\n"
    folders = {}
    for k, (car, (gain, body, _)) in enumerate(CARS.items()):
        cells = [
            ",".join(f"{412 + (run == 2) * 20 + run + column}" for column in range(6)) for run in range(3)
        ]
        runs = f"1,base,84,260,1150,,{cells[0]}\n2,base,88,258,1153,,{cells[1]}\n3,spoiler,90,{260 - gain},1158,25,{cells[2]}\n"
        folders[car] = days.day(
            car, gain=gain, name=f"{car} (invented)", kind=body, floor=("fixed", "moving")[k % 2], runs=head + runs,
            repeatability=f"{STATED}[columns]\nrecorded = [{listed}]\ncompared = [{listed}]\n",
        )  # fmt: skip
        days.add(folders[car], n1="same" if k else "new", car="new")
    async with running(folders["Ash"], size=(80, 24)) as ui:
        await ui.press("0")
        for keys in ((), ("f2",)):
            await ui.press(*keys)
            assert "d tells the rest" in ui.text
            assert "mean of 6" in ui.text
            assert "expected inside the range, not at the mean" in ui.text
            assert "? help" in ui.lines[-1]
        assert len(cars_shown(ui)) >= 3
        await ui.press("d")
        assert "Compared columns" in ui.app.screen.query_one("Sheet Static").content.plain
        assert (
            names[-1].replace("_", " ").capitalize() in ui.app.screen.query_one("Sheet Static").content.plain
        )


async def test_it_opens_on_the_part_that_most_cars_measured(running, days):
    rows = f"{HEAD}1,base,84,260,1150,\n2,a low one,88,250,1152,10\n3,spoiler,90,200,1158,25\n"
    add(days, 3)
    folder = days.day("Oak", name="Oak (invented)", runs=rows)
    days.add(folder, n1="new", n2="same", car="new")
    async with running(folder) as ui:
        await ui.press("0")
        assert ui.state.library.parts[0].over.cars == 1
        assert ui.state.library_part.name == PART


@pytest.mark.parametrize("size", [(40, 14), (59, 20), (60, 24), (200, 60)], ids=str)
async def test_every_size_shows_the_figures(running, days, size):
    folders = add(days)
    async with running(folders["Ash"], size=size) as ui:
        await ui.press("0", "f2")
        assert "69 (44 to 94)" in next(line for line in ui.lines if "mean of 6" in line)
        assert "? help" in ui.lines[-1]
        await ui.press("s", "c", "d")
        assert ui.screen == "PartSheet"


async def test_a_plain_terminal_has_bars_of_plain_characters(running, days, monkeypatch):
    monkeypatch.setenv("TERM", "linux")
    folders = add(days)
    async with running(folders["Ash"]) as ui:
        await ui.press("0")
        assert not set("├┼┤◆═◀▶┊►") & set(ui.text)
        assert re.search(r"\|-+\+-+\|", ui.text)
        assert re.search(r"\|-+O-+\|", ui.text)


async def test_a_second_press_asks_nothing_twice(running, days):
    days.add(days.day("Ash", name="Ash (invented)"))
    folder = days.day("Oak", gain=70.0)
    async with running(folder) as ui:
        await ui.press("0")
        ui.app.screen._adding.begin()
        ui.app.screen._adding.begin()
        await ui.settle()
        assert ui.screen == "Pick"
        await ui.press("y")
        assert ui.screen == "LibraryPage"
        assert "2 days, 2 cars, 1 part" in ui.text


async def test_a_page_that_is_left_while_a_day_is_added_does_no_harm(running, days):
    folder = days.day("Oak")
    async with running(folder) as ui:
        await ui.press("0")
        await ui.pilot.press("a", "1")
        await ui.settle()
        assert ui.screen == "Home"
        with days.open() as library:
            assert [day.head.folder for day in library.days] == [str(folder)]
        await ui.press("0")
        assert "1 day, 1 car, 1 part" in ui.text
