"""The what-if that is being made, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple

from balance.tell.runs.curves import CHARTS

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.model.what_ifs import History, WhatIf
    from tui.host.prepared_days import Chosen

MOST_COMPARED = 4


class WhatIfWanted(NamedTuple):
    """What figures hang on."""

    day: Day
    baselines: Chosen
    speed: float
    what_if: WhatIf


@dataclass(frozen=True, eq=False)
class WhatIfView:
    """What was tried, in order; what is wrong with what was typed last; what is typed and not taken yet.

    ``fault`` is the key of an input and the words. ``drafts`` are pairs of key and text. ``compared`` are names of saved
    what-ifs that stand side by side with the present one.
    """

    history: History | None = None
    fault: tuple[str, str] | None = None
    drafts: tuple[tuple[str, str], ...] = ()
    compared: tuple[str, ...] = ()
    chart: str = next(iter(CHARTS))

    @property
    def present(self) -> WhatIf | None:
        """The what-if as it stands."""
        return None if self.history is None else self.history.present

    def draft(self, key: str) -> str | None:
        """Return what was typed for something and not taken."""
        return dict(self.drafts).get(key)

    def with_draft(self, key: str, text: str | None) -> WhatIfView:
        """Keep what is typed, or drop it."""
        others = tuple(pair for pair in self.drafts if pair[0] != key)
        return replace(self, drafts=others if text is None else (*others, (key, text)))

    def with_step(self, what_if: WhatIf) -> WhatIfView:
        """Take a step that can be taken back."""
        from balance.model.what_ifs import History  # noqa: PLC0415 - after the first paint

        history = History(present=what_if) if self.history is None else self.history.do(what_if)
        return replace(self, history=history, fault=None)

    def with_next_chart(self) -> WhatIfView:
        """Draw the next quantity."""
        kinds = list(CHARTS)
        return replace(self, chart=kinds[(kinds.index(self.chart) + 1) % len(kinds)])

    def with_compared(self, name: str) -> WhatIfView:
        """Put a saved what-if beside the others, or take it away; beyond the most there is room for, the oldest goes."""
        if name in self.compared:
            return replace(self, compared=tuple(one for one in self.compared if one != name))
        return replace(self, compared=(*self.compared, name)[-(MOST_COMPARED - 1) :])
