"""A chart as a widget."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.reactive import reactive

from balance.tell.chart_parts import Chart
from tui.widgets.braille_chart import draw
from tui.widgets.drawn import Drawn, component_classes

if TYPE_CHECKING:
    from tui.widgets.canvas import Lines


class ChartView(Drawn):
    """Shows one chart in the space there is; replace ``chart`` to show another."""

    COMPONENT_CLASSES: ClassVar[set[str]] = component_classes(
        "chart-view", "title", "axis", "muted", "band", "mark", "series1", "series2", "series3", "series4"
    )
    DEFAULT_CSS = """
    ChartView {
        width: 1fr;
        height: 1fr;
        color: $foreground;
        & > .chart-view--title { text-style: bold; }
        & > .chart-view--axis { color: $foreground; }
        & > .chart-view--muted { color: $text-muted; }
        & > .chart-view--band { color: $text-muted; }
        & > .chart-view--mark { color: $text-accent; text-style: bold; }
        & > .chart-view--series1 { color: $text-primary; text-style: bold; }
        & > .chart-view--series2 { color: $text-warning; text-style: bold; }
        & > .chart-view--series3 { color: $text-success; text-style: bold; }
        & > .chart-view--series4 { color: $text-error; text-style: bold; }
    }
    """

    chart: reactive[Chart] = reactive(Chart)
    """What is shown."""

    def __init__(
        self,
        chart: Chart | None = None,
        *,
        ascii_only: bool | None = None,
        id: str | None = None,  # noqa: A002 - Textual's own word
    ) -> None:
        super().__init__(ascii_only=ascii_only, id=id)
        if chart is not None:
            self.set_reactive(ChartView.chart, chart)

    def watch_chart(self) -> None:
        """Draw the new chart."""
        self.redraw()

    def drawing(self, width: int, height: int) -> Lines:
        """Draw for a size in cells."""
        return draw(self.chart, width, height, ascii_only=self.ascii_only)
