"""How the plan of the day is looked at, as one frozen value: replaced whole, never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from balance.decide.day.day import Day
    from balance.decide.plan.planned_day import PlannedDay
    from balance.files.day.durable import Stamp
    from balance.files.formats.plan_edit import PlanOnDisk
    from balance.model.records import Session
    from balance.tell.plan.order_words import Which
    from balance.tell.plan.plan_names import Names


@dataclass(frozen=True, eq=False)
class PlanWanted:
    """What figures of a plan hang on: the session and its runs, plan.toml and library as they stand, the time of day [s].

    ``stamp`` and ``library`` are glances at their files, nothing where there is none; ``now`` is nothing where the time is
    not known.
    """

    session: Session
    day: Day | None
    stamp: Stamp | None
    library: tuple[Stamp | None, ...]
    now: float | None

    def same(self, other: PlanWanted | None) -> bool:
        """Return whether another one asks for the same."""
        return (
            other is not None
            and self.session is other.session
            and self.day is other.day
            and self.stamp == other.stamp
            and self.library == other.library
            and self.now == other.now
        )


class PlanFigures(NamedTuple):
    """A plan that was worked out, with what it hangs on, and the file as it was read."""

    wanted: PlanWanted
    disk: PlanOnDisk
    planned: PlannedDay
    names: Names


@dataclass(frozen=True, eq=False)
class PlanView:
    """The figures as they were worked out last, and which order is shown."""

    figures: PlanFigures | None = None
    order: Which = "cheapest"

    def with_figures(self, figures: PlanFigures) -> PlanView:
        """Take in figures."""
        return replace(self, figures=figures)

    def with_next_order(self) -> PlanView:
        """Show the other order."""
        return replace(self, order="protected" if self.order == "cheapest" else "cheapest")


def work_out_plan(wanted: PlanWanted) -> PlanFigures:
    """Read plan.toml and work it out, in a thread; one with faults counts as a plan that states nothing."""
    from balance.decide.plan.planned_day import plan_day  # noqa: PLC0415 - after the first paint
    from balance.files.formats.plan_edit import look_at_plan  # noqa: PLC0415 - as above
    from balance.files.formats.track import track_of_plan  # noqa: PLC0415 - as above
    from balance.model.plans import DayPlan  # noqa: PLC0415 - as above
    from balance.tell.library.other_cars import plan_with_library  # noqa: PLC0415 - as above
    from balance.tell.plan.plan_names import Names  # noqa: PLC0415 - as above

    disk = look_at_plan(wanted.session, Path(wanted.session.folder))
    plan = plan_with_library(wanted.session, disk.plan or DayPlan())
    track = track_of_plan(wanted.session, plan)
    planned = plan_day(wanted.session, wanted.day, plan, now=wanted.now, track=track)
    return PlanFigures(wanted, disk, planned, Names.of(planned))


def glance_at_plan(session: Session) -> Stamp | None:
    """Glance at plan.toml of a session, to notice a change of it."""
    from balance.files.day.durable import glance  # noqa: PLC0415 - after the first paint
    from balance.files.formats.plan import PLAN_FILE  # noqa: PLC0415 - as above

    return glance(Path(session.folder) / PLAN_FILE)


def glance_at_library() -> tuple[Stamp | None, ...]:
    """Glance at the files of the library, to notice what was added or confirmed since."""
    from balance.files.day.durable import glance  # noqa: PLC0415 - after the first paint
    from balance.files.library.library_file import DAYS, LIBRARY_FILE, PARTS_FILE, library_folder  # noqa: PLC0415 - as above

    folder = library_folder(None)
    return tuple(glance(folder / name) for name in (LIBRARY_FILE, PARTS_FILE, DAYS))
