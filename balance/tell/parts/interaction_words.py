"""What two parts do together beyond the sum of what each does alone, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.compare.interactions import find_interactions
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.parts.change_text import change_words as force_words
from balance.tell.parts.change_text import signed
from balance.tell.parts.part_names import change_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.compare.increments import Increments
    from balance.tell.figures import Show

_NAMED = (("total downforce", TOTAL), ("front", FRONT), ("rear", REAR), ("drag", DRAG))


def interaction_sentences(
    increments: Increments, show: Show, *, runs: frozenset[str] | None = None
) -> Iterator[str]:
    """State what pairs of parts do together beyond the sum of each alone."""
    found, fitted = find_interactions(increments), increments.fitted
    for row, (base, first, second, _) in enumerate(found.corners):
        one = found[row]
        if runs is not None and not runs & set(one.together_runs):
            continue
        names = (
            change_words(fitted, first, base, one.first),
            change_words(fitted, second, base, one.second),
        )
        sums = float(found.first.change[row, TOTAL] + found.second.change[row, TOTAL])
        together = float(found.together.change[row, TOTAL])
        beyond = []
        for name, column in _NAMED:
            change = found.interaction.of(row, column)
            noise = "" if change.resolved else ", within noise"
            beyond.append(f"{name} {force_words(change, show)}{noise}")
        yield (
            f"{names[0]} and {names[1]}, together in run{'s' if len(one.together_runs) > 1 else ''} "
            f"{', '.join(one.together_runs)}: {signed(show, together)} {show.unit('force')} of downforce, the sum of "
            f"each alone {signed(show, sums)} {show.unit('force')}; beyond the sum: {'; '.join(beyond)}."
        )
