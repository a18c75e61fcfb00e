"""What stands in an empty field of a form cannot be taken for a value in force."""

import pytest

from tui.features.car_and_day.new_car import car_fields
from tui.features.car_and_day.new_session import session_fields
from tui.widgets.typed_form import FormRow


@pytest.mark.parametrize("keys", [("4",), ("B",), ("C",), ("D",), ("a",), ("down", "E")])
async def test_examples_begin_with_eg_and_blanks_say_that_they_are(running, demo, keys):
    async with running(demo) as ui:
        await ui.press(*keys)
        hints = [row.hint for row in ui.app.screen.query(FormRow)]
        assert hints
        assert [hint for hint in hints if hint and not hint.startswith(("e.g. ", "blank: "))] == []


async def test_the_change_of_a_wing_says_what_blank_means_and_gives_an_example(running, demo):
    async with running(demo) as ui:
        await ui.press("4")
        field = ui.field("front")
        assert ui.hint("front") == "blank: none · e.g. 120 N at 160 km/h ± 20 N"
        assert "italic" in str(field.get_component_rich_style("input--placeholder"))
        await ui.settle()
        assert ui.state.wing.text("front") == ""


def test_fields_of_new_cars_and_days_do_the_same():
    for one in (*car_fields({}), *session_fields({})):
        hint = one.as_field().hint
        assert not hint or hint.startswith("e.g. ")
