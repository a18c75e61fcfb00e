"""What is asked about a run that is being entered: one guard, of what runs before it expect and of what is unlikely by itself."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.decide.doubts.entry_doubts import entry_doubts
from balance.decide.plan.judged_reading import JudgedReading, judge_run

if TYPE_CHECKING:
    from balance.decide.doubts.plausibility import Doubt
    from balance.model.plans import DayPlan
    from balance.model.records import Session

_JUDGED = frozenset({"scaled alike", "apart", "total"})
"""Doubts that what is expected covers."""
_SAID = frozenset({"sign", "turned", "wing", "slope"})
"""Doubts of a sign, a column or a step, which are told once."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Guarded:
    """A run against what runs before it expect, nothing for a void one; and what else is unlikely in it."""

    judged: JudgedReading | None
    doubts: tuple[Doubt, ...]

    @property
    def asked(self) -> bool:
        """Whether anything is asked."""
        return bool(self.doubts) or (self.judged is not None and self.judged.asked)


MOST_JUDGED = 30
"""Runs of a day that are looked at again, the last ones: each costs what entering it costs."""
_LONGEST = 300
"""Runs beyond which nothing is expected of a run: no hired day has as many, and the belief grows with their cube."""


def far_readings(session: Session, plan: DayPlan) -> tuple[JudgedReading, ...]:
    """Find the good readings of a day that lie outside the 99.7 % range of what the runs before them expect.

    What is asked while a run is entered can be passed over in a hurry: the day goes on asking until the run is
    corrected or marked.
    """
    if len(session.used) > _LONGEST:
        return ()
    good = [run.label for run in session.used if run.status == "good"]
    judged = (judge_run(session, plan, label) for label in good[-MOST_JUDGED:])
    return tuple(one for one in judged if one.expected is not None and one.inside == "outside" and one.asked)


def guard_run(session: Session, label: str, plan: DayPlan) -> Guarded:
    """Look at a run that is being entered.

    A reading is held against its expected range, on a day of up to 300 runs. Doubts of a sign, a column or a step stand
    where that asks about nothing yet: they know which axle a part is for, and how steep a family is. Doubts of repeats,
    of one factor and of a total are left to it.
    """
    doubts = entry_doubts(session, label)
    void = next(run for run in session.runs if run.label == label).status == "void"
    if void or len(session.used) > _LONGEST:
        return Guarded(judged=None, doubts=doubts)
    judged = judge_run(session, plan, label)
    covered = _JUDGED if judged.expected is not None else frozenset()
    covered |= _SAID if judged.asked else frozenset()
    return Guarded(judged=judged, doubts=tuple(one for one in doubts if one.kind not in covered))
