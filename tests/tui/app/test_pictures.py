"""Pictures of the screens, in the sizes they have to fit."""

import pytest

SIZES = [(80, 24), (100, 30), (120, 40), (160, 50)]
THEMES = ["axletrim-dark", "axletrim-sunlight"]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_home(opened, demo, size, theme):
    assert opened(demo, size, theme=theme)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("key", ["d", "n", "question_mark", "v"])
def test_over_home(opened, demo, size, key):
    assert opened(demo, size, "down", key)


def test_home_in_us_customary_units(opened, demo):
    assert opened(demo, (120, 40), "u", "end")


def test_home_filtered_sorted_and_unfolded(opened, demo):
    assert opened(demo, (120, 40), "f", "s", "slash", *"wing", "enter")


@pytest.mark.parametrize("times", range(1, 5))
def test_charts(opened, demo, times):
    assert opened(demo, (120, 40), "end", *["c"] * times)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_chooser(opened, demo, desk, remember, size):
    remember(
        (demo, "Winter tunnel day (invented)", "Brindlow hatch (invented)", 3),
        (desk.session, "Spring tunnel day (invented)", "Larkspur coupe (invented)", 1),
    )
    assert opened(None, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_faults(opened, desk, size):
    desk.write(
        vehicle=desk.vehicle.replace("1290 kg", "1290"),
        session=desk.bare.replace("as read", "raw"),
        runs=desk.runs.replace("1162", "11 62").replace("480", "[/]"),
    )
    assert opened(desk.session, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_lift_at_both_axles(opened, desk, size):
    desk.write(runs=f"{desk.head}1,base,84,260,1150\n2,no spoiler,140,330,1140\n3,base,86,258,1149\n")
    assert opened(desk.session, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_one_run_only(opened, desk, size):
    desk.write(runs=f"{desk.head}1,base,-84,-260,1150\n")
    assert opened(desk.session, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (160, 50)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_neither_repeats_nor_a_stated_scatter(opened, desk, size):
    desk.write(session=desk.bare, runs=f"{desk.head}1,base,-84,-260,1150\n2,wing,20,-600,1250\n")
    assert opened(desk.session, size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_hostile_names(opened, desk, size):
    names = (
        "[/]",
        "[bold]wing[/bold]",
        "<script>alert(1)</script>",
        "wing " * 60,
        "wing \N{RACING CAR}",
        "翼 4",
    )
    rows = "".join(f"{k},{name},{20 * k},{-100 * k},1200\n" for k, name in enumerate(names, 1))
    desk.write(runs=desk.head + rows, vehicle=desk.vehicle.replace("Larkspur coupe", "[/] coupe"))
    assert opened(desk.session, size, "down", "down", "down")
