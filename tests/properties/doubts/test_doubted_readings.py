"""A reading in doubt is marked wherever it is used, and said before all else that stands beside it."""

import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.day_scatter import scatter_of_day
from balance.decide.doubts.plausibility import doubted
from balance.decide.parts.parts import assess_parts
from balance.model.records import Setting
from balance.tell.figures import Show
from balance.tell.parts.part_head import parts_banner
from balance.tell.parts.part_table import PartTable
from balance.tell.repeatability.scatter_words import scatter_summary
from balance.tell.runs.card import run_card
from balance.tell.runs.doubt_words import reading_doubts
from balance.tell.runs.run_table import RunTable
from tui.printing.run_table import print_table

SHOW = Show()
LIFTING = (300.0, -400.0, 900.0)
"""Far on the dangerous side, so that each row has a warning."""


@pytest.fixture
def day(make_session):
    """Ten configurations in danger; run 11 is run 1 again, and its own total says that its front has its sign turned."""
    lips = [{"settings": {"lip": Setting(value=float(k), unit="mm", resolution=0.0)}} for k in range(10)]
    forces = [(300.0 + 5.0 * k, -400.0 - 5.0 * k, 900.0) for k in range(10)]
    again = {**lips[0], "total": -100.0}
    return reduce_day(
        make_session([*forces, (-299.0, *LIFTING[1:])], configurations=["car"] * 11, runs=[*lips, again])
    )


def test_the_row_the_part_and_the_card_bear_the_mark(day):
    assert list(doubted(day)) == ["11"]
    table = assess(day, rows=day.rows.configurations)
    cells = [RunTable(table, SHOW).cell(row, "run") for row in range(len(table.rows))]
    marked = [cell for cell in cells if cell.text.endswith("!")]
    assert [cell.role for cell in marked] == ["warn"] * len(marked)
    assert marked
    row = cells.index(marked[0])
    assert any("run 11: front" in one for one in run_card(table, row, SHOW).doubted)
    assert run_card(table, next(k for k, cell in enumerate(cells) if cell not in marked), SHOW).doubted == ()
    parts = assess_parts(day)
    whose = [{*pair.runs, *pair.baseline_runs} for pair in parts.increments.pairs]
    drawn = [PartTable(parts, SHOW).cell(row, "run").text for row in range(len(parts))]
    assert [text.endswith("!") for text in drawn] == [10 in rows for rows in whose]
    assert any("run 11, IN DOUBT" in one for one in parts_banner(parts))


def test_it_is_said_first_and_never_folded_away(day):
    text, _ = print_table(assess(day, rows=day.rows.configurations), SHOW, 400, None, full=False)
    notes = text.split("Notes\n")[1].splitlines()
    wrong = reading_doubts(day, SHOW)
    assert wrong
    assert notes[: len(wrong)] == [f"- {one}" for one in wrong]
    assert "more notes" in text
    assert (
        scatter_summary(scatter_of_day(day), SHOW)[0]
        == "! The repeatability rests on run 11, which is in doubt"
    )
