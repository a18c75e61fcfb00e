"""What a table of runs says oddly: plain sentences for whoever reads its results."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from balance.model.kinds import NUMBER, clean_number

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.model.records import Session

_FEWEST_TO_JUDGE = 4


def session_notes(session: Session, conditions: Sequence[str]) -> Session:
    """Add to a session the sentences about what its table says oddly."""
    lines = [
        *_air(conditions),
        *_settings(session),
        *_compared(session),
        *_links(session),
        *session.left_out,
    ]
    return replace(session, notes=tuple(lines))


def _air(conditions: Sequence[str]) -> Iterator[str]:
    air = {"temperature", "pressure"} & set(conditions)
    if len(air) == 1:
        yield (
            f"runs.csv has {air.pop()} without its partner: a run's own air needs temperature and "
            "pressure, so the facility's density is used"
        )


def _settings(session: Session) -> Iterator[str]:
    for name in session.setting_names:
        values = [run.settings[name] for run in session.used if name in run.settings]
        texts = [value.value for value in values if isinstance(value.value, str)]
        if texts and all(NUMBER.fullmatch(clean_number(text)) for text in texts):
            yield (
                f"setting '{name}': numbers without a unit are kept as text; write '{name} [mm]', or "
                "whatever its unit is, to have a curve over it ('[1]' for a plain number)"
            )
        distinct = {value.value for value in values}
        if len(distinct) == len(session.used) >= _FEWEST_TO_JUDGE:
            yield (
                f"setting '{name}' differs in every run: if it was recorded rather than set, list it "
                "under [columns] recorded in session.toml"
            )


def _compared(session: Session) -> Iterator[str]:
    for column in session.compared:
        if session.used and all(column.name not in run.recorded for run in session.used):
            yield f"column '{column.name}': listed as compared, and no run that counts has a value of it"


def _links(session: Session) -> Iterator[str]:
    void = {run.label for run in session.runs if run.status == "void"}
    for run in session.used:
        for baseline in (run.baseline, run.second_baseline):
            if baseline in void:
                yield f"run '{run.label}': its baseline '{baseline}' is void"
