"""A part of a library that the car has on already: it is refused, for it would count twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.library.kept import said_setting
from balance.model.errors import InputError, quoted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from balance.decide.car.prepared_day import PreparedDay
    from balance.decide.parts.put_parts import PutParts
    from balance.model.libraries import FromLibrary


def refuse_twice(
    prepared: PreparedDay,
    put: PutParts,
    row: int,
    library: Sequence[FromLibrary],
    *,
    on: Sequence[str],
    off: Sequence[str],
) -> None:
    """Refuse parts of a library that the car has on already.

    By the words in which days say the part: a setting that it puts on must not be fitted, one that it moves
    must not be where it moves it to. A day that has labels alone knows a part by the runs that measured it.
    """
    labels, fitted = prepared.day.readings.labels, prepared.increments.fitted
    car = {
        name: said_setting(fitted.values[column][int(code)])
        for column, (name, code) in enumerate(zip(fitted.names, put.codes, strict=True))
    }
    start = labels[row]
    names = [one.part for one in library]
    mend = "start from another run, or take it off first"
    for part in library:
        called = f"part {quoted(part.part)} from the library: found"
        if names.count(part.part) > 1:
            raise InputError(f"{called} it {names.count(part.part)} times, expected it once")
        both = [run for run in on if run in part.measured]
        if both:
            raise InputError(
                f"{called} it on the car already, as on = {quoted(both[0])}, which this day measured, expected one of the two; "
                f"leave out library = {quoted(part.part)}"
            )
        for change in (change for said in part.said for change in said if change.value):
            has = car.get(change.setting, "")
            if has == change.value:
                raise InputError(
                    f"{called} it on the car already, as {quoted(change.setting)} {has}, expected a car without it; {mend}"
                )
            if has and not change.before:
                raise InputError(
                    f"{called} {quoted(change.setting)} {has} in its place, expected a car with nothing there; {mend}"
                )
        if start in part.measured and not set(off) & set(part.measured):
            raise InputError(
                f"{called} it on the car already, in run {start}, expected a car without it; {mend}"
            )


def moved_by_library(library: Sequence[FromLibrary]) -> dict[str, str]:
    """Name the settings that parts of a library put elsewhere, each with its part."""
    return {change.setting: part.part for part in library for said in part.said for change in said}
