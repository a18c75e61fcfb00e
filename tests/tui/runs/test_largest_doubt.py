"""The largest doubt on the card of the picked run: under the headline, the nearest alone where there is little room."""

from balance.decide.day.overturned import overturned
from balance.tell.runs.overturn_words import doubt_sentences


async def test_it_stands_on_the_card_and_whole_on_the_detail(running, demo):
    async with running(demo) as ui:
        await ui.press(*["down"] * 9)
        assert "splitter and wing (mean of runs 15, 17)" in ui.text
        row, figures = ui.state.judged_row, ui.state.assessment
        said = doubt_sentences(figures, row, ui.state.show)
        assert said[0].startswith("Holds unless ")
        assert said[1].startswith("Repeats do not show: what the fixed floor does under the splitter")
        assert all(sentence in ui.text for sentence in said)
        headline = next(
            k
            for k, line in enumerate(ui.lines)
            if "In balance as far as tested" in line and "Recommended" not in line
        )
        assert said[0] in ui.lines[headline + 1]
        await ui.press("d")
        assert "What would change this" in ui.text
        assert len(overturned(figures, [row])[0]) > 2
        assert ui.text.count(": then ") == len(overturned(figures, [row])[0])


async def test_it_follows_the_run_and_a_low_screen_names_the_nearest_alone(running, demo):
    async with running(demo, size=(80, 24)) as ui:
        for _ in range(17):
            await ui.press("down")
            row, figures = ui.state.judged_row, ui.state.assessment
            said = doubt_sentences(figures, row, ui.state.show, brief=True)
            assert ("Holds unless" in ui.text or "unless" in ui.text) == bool(said)
            assert all(sentence in ui.text for sentence in said)
            assert "Repeats do not show" not in ui.text
