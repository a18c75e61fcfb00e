"""How a suggested setting is asked for and looked at, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.settings.suggestion import Suggestion
    from balance.decide.settings.trim_question import TrimQuestion
    from tui.host.prepared_days import Chosen


class WingWanted(NamedTuple):
    """What an answer hangs on."""

    day: Day
    baselines: Chosen
    speed: float
    question: TrimQuestion


@dataclass(frozen=True, eq=False)
class WingView:
    """What is typed, the last answer with what it hangs on, and why a question had none.

    ``texts`` are pairs of field and text, as typed. ``fault`` is the field and the words that came instead of an answer
    to what ``refused`` holds.
    """

    texts: tuple[tuple[str, str], ...] = ()
    figures: Suggestion | None = None
    answered: WingWanted | None = None
    fault: tuple[str, str] | None = None
    refused: WingWanted | None = None
    chart: str = "aim"

    def text(self, field: str) -> str:
        """Return what is typed in a field."""
        return dict(self.texts).get(field, "").strip()

    def with_text(self, field: str, text: str) -> WingView:
        """Type into a field."""
        kept = tuple(pair for pair in self.texts if pair[0] != field)
        return replace(self, texts=(*kept, (field, text)) if text.strip() else kept)

    def with_next_chart(self) -> WingView:
        """Draw the next quantity."""
        from balance.tell.settings.setting_charts import SETTING_CHARTS  # noqa: PLC0415 - after the first paint

        here = SETTING_CHARTS.index(self.chart)
        return replace(self, chart=SETTING_CHARTS[(here + 1) % len(SETTING_CHARTS)])
