"""What eyes saw at each tested setting: the recorded texts of its runs, shown beside the curve and part of no decision."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.kinds import with_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from balance.decide.settings.families import Family
    from balance.model.records import Run


def seen(runs: Sequence[Run], family: Family) -> dict[str, tuple[str, ...]]:
    """Return of each recorded text its words at every tested setting, those of several readings joined where they differ.

    A text that no run of the family has is left out.
    """
    by_label = {run.label: run for run in runs}
    names = dict.fromkeys(
        name for label in family.labels for name, held in by_label[label].recorded.items() if not held.numeric
    )
    found = {name: tuple(_joined(name, by_label, labels) for labels in family.runs) for name in names}
    return {name: words for name, words in found.items() if any(words)}


def _joined(name: str, runs: dict[str, Run], labels: Iterable[str]) -> str:
    held = (runs[label].recorded.get(name) for label in labels)
    return "; ".join(dict.fromkeys(str(one.value) for one in held if one is not None and one.value))


def seen_at(runs: Sequence[Run], family: Family, place: int) -> str:
    """Write what was seen at one tested setting, to stand behind its loads; empty where nothing was."""
    said = [
        f"{name.replace('_', ' ')}: {words[place]}"
        for name, words in seen(runs, family).items()
        if words[place]
    ]
    return "".join(f" · {one}" for one in said)


def seen_lines(runs: Sequence[Run], family: Family) -> list[str]:
    """Write what was seen over a setting, a sentence each text: neighbours that agree are told together."""
    return [
        f"{name.replace('_', ' ')}, seen and in no decision: {_over_settings(words, family)}"
        for name, words in seen(runs, family).items()
    ]


def seen_brief(runs: Sequence[Run], family: Family) -> str:
    """Write what was seen over a setting in one line; empty where nothing was."""
    return ", ".join(
        f"{name.replace('_', ' ')} {_over_settings(words, family)}"
        for name, words in seen(runs, family).items()
    )


def _over_settings(words: Sequence[str], family: Family) -> str:
    stretches: list[tuple[str, float, float]] = []
    for value, word in zip(family.values.tolist(), words, strict=True):
        if word and stretches and stretches[-1][0] == word:
            stretches[-1] = (word, stretches[-1][1], value)
        elif word or (stretches and stretches[-1][0]):
            stretches.append((word, value, value))
    return ", ".join(
        f"{word} at {'' if low == high else f'{low:g} to '}{with_unit(f'{high:g}', family.unit)}"
        for word, low, high in stretches
        if word
    )
