"""From nothing to the first verdict on a car of one's own, by hand: what it takes, key by key."""

import pytest

ALLOWED = 200
"""Keys; our own aim, no source."""


@pytest.fixture
def counted():
    """Press and count."""

    class Hand:
        keys = 0

        async def press(self, ui, *keys):
            self.keys += len(keys)
            await ui.press(*keys)

        async def type(self, ui, words, *after):
            await self.press(ui, *(" " if key == " " else key for key in words), *after)

    return Hand()


async def test_the_first_verdict_on_an_own_car_takes_few_keys(running, counted):
    async with running() as ui:
        await counted.press(ui, "f3")
        for text in ("Grey coupe", "", "1290 kg", "60 %", "2575 mm"):
            await counted.type(ui, text, "enter")
        await counted.press(ui, "f10")
        assert ui.screen == "NewFile", ui.text
        for text in ("n", "l", "", "Spring day", "", "", "w", "f", "160 km/h", "1.2 kg/m^3", "a"):
            await counted.type(ui, text, "enter")
        await counted.press(ui, "f10")
        assert ui.screen == "Home", ui.text
        await counted.press(ui, "a")
        await counted.type(ui, "84 260 1150 con base", "enter")
        await counted.type(ui, "80 262 1152 repeat", "enter")
        assert (
            "MORE OVERSTEER than in slow corners" in ui.text
        )  # 262 N of LIFT at the rear, 80 N at the front
        await counted.press(ui, "escape")
        assert ui.state.day.readings.labels == ("1", "2")
        assert "▼ OVERSTEER" in ui.text
    assert counted.keys < ALLOWED, f"{counted.keys} keys"


async def test_corner_weights_are_asked_unless_the_mass_and_its_share_say_them(running):
    async with running() as ui:
        await ui.press("f3")
        assert "front left" in ui.text
        await ui.fill(mass__total="1290 kg", mass__front_share="60 %")
        assert "front left" not in ui.text
        await ui.press("enter")
        assert ui.app.screen.focused is ui.field("size.wheelbase")
        await ui.fill(mass__front_share="")
        assert "front left" in ui.text


async def test_the_beginning_of_a_word_that_a_field_may_be_is_that_word(running):
    async with running() as ui:
        await ui.press("f3")
        await ui.fill(drive__driven="r")
        assert "✔ rear" in ui.text
        await ui.press("enter")
        assert ui.field("drive.driven").value == "rear"
