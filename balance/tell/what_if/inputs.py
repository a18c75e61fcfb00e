"""Everything that a what-if can turn, a line each: what it is, what it stands at, and what the start has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from balance.model.channels import CHANNELS
from balance.model.errors import one_line
from balance.model.kinds import with_unit
from balance.model.records import Stated
from balance.tell.library.source_words import cars_words, own_words
from balance.tell.parts.part_names import differing
from balance.tell.parts.part_names import setting_words as fitted_words
from balance.tell.what_if.input_edits import says_of, says_something
from balance.tell.what_if.input_figures import (
    SCALARS,
    SHOWN,
    exact_scalar,
    exact_words,
    said_words,
    scalar_value,
    scalar_words,
    speed_and_pressure,
)
from balance.units.stated import uncertainty_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.decide.car.prepared_day import PreparedDay
    from balance.model.records import PlacedMass
    from balance.model.what_ifs import PlacedForce, StatedChange, WhatIf
    from balance.tell.figures import Show
    from balance.tell.what_if.input_figures import Scalar


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfInput:
    """One thing that can be different.

    ``key`` names it; ``value`` is what it stands at and ``start`` what the start has, in words; ``changed`` tells
    whether the two differ. ``text`` is what stands in the field when it is typed, ``example`` what would be understood.
    ``steps`` tells whether it can be moved by steps.
    """

    key: str
    name: str
    value: str
    text: str
    example: str
    start: str = ""
    changed: bool = True
    steps: bool = True


def inputs_of(prepared: PreparedDay, what_if: WhatIf, speed: float, show: Show) -> tuple[WhatIfInput, ...]:
    """List all that can be different, in groups: start, settings, parts, loads, masses, then the rest."""
    run = prepared.day.readings.runs[prepared.row(what_if.start)]
    fitted = ", ".join(fitted_words(name, held) for name, held in run.settings.items())
    found = [
        WhatIfInput(
            key="start",
            name="from run",
            value=f"{run.label} {run.configuration}",
            start=fitted,
            changed=False,
            text=run.label,
            example="label of a run",
        )
    ]
    found += _settings(prepared, what_if)
    found += _parts(prepared, what_if)
    for k, change in enumerate(what_if.stated):
        found += _stated(prepared, k, change, show)
    found += [
        WhatIfInput(
            key=f"library:{one.part}",
            name="expected part",
            value=one_line(one.part),
            start=own_words(one.own_dates) if one.own_dates else cars_words(one.cars),
            text=one.part,
            example="name of a part of the library",
            steps=False,
        )
        for one in what_if.library
    ]
    for k, force in enumerate(what_if.forces):
        found += _force(prepared, k, force, show)
    for k, mass in enumerate(what_if.masses):
        found += _mass(k, mass, show)
    if prepared.day.session.vehicle.loadings:
        found.append(_loading(prepared, what_if))
    return (*found, *(_scalar(one, prepared, what_if, speed, show) for one in SCALARS))


def movable(prepared: PreparedDay, what_if: WhatIf) -> tuple[str, ...]:
    """Name the settings that can be moved along a curve from the start."""
    own = [sweep.setting for sweep in prepared.sweeps if what_if.start in sweep.order]
    return tuple(dict.fromkeys([*own, *(name for name, _ in what_if.settings)]))


def _scalar(one: Scalar, prepared: PreparedDay, what_if: WhatIf, speed: float, show: Show) -> WhatIfInput:
    now, start = scalar_value(one, prepared, what_if, speed, show)
    changed = getattr(what_if, one.field) is not None
    words = scalar_words(one, now, show)
    said = what_if.uncertainties.get(one.file_key)
    assumed = ""
    if one.kind == "number":
        exponent = getattr(prepared.day.session.vehicle, one.field)
        assumed = " (assumed)" if exponent.assumed else ""
    return WhatIfInput(
        key=one.field,
        name=one.name,
        value=words + said_words(one.kind, said, show, digits=SHOWN) if changed else f"{words}{assumed}",
        start=f"{scalar_words(one, start, show)}{assumed}",
        changed=changed,
        text=exact_scalar(one, now, show) + said_words(one.kind, said, show),
        example=one.example,
    )


def _settings(prepared: PreparedDay, what_if: WhatIf) -> Iterator[WhatIfInput]:
    moved = dict(what_if.settings)
    run = prepared.day.readings.runs[prepared.row(what_if.start)]
    units = {
        name: held.unit
        for other in prepared.day.readings.runs
        for name, held in other.settings.items()
        if held.numeric
    }
    for name in movable(prepared, what_if):
        held = run.settings.get(name)
        start = "" if held is None else held.text
        unit = units.get(name, "")
        said = uncertainty_text(what_if.uncertainties.get(f"settings.{name}"), 1.0, unit)
        now = f"{moved[name]:.6g}" if name in moved else ""
        value = f"{with_unit(now, unit)}{said}" if now else start
        yield WhatIfInput(
            key=f"setting:{name}",
            name=name.replace("_", " "),
            value=value,
            start=start,
            changed=name in moved,
            text=value,
            example=with_unit("9", unit),
        )


def _parts(prepared: PreparedDay, what_if: WhatIf) -> Iterator[WhatIfInput]:
    labels = prepared.day.readings.labels
    rows = {labels[pair.run]: k for k, pair in enumerate(prepared.increments.pairs)}
    for word, chosen in (("on", what_if.on), ("off", what_if.off)):
        for label in dict.fromkeys(chosen):
            said = ", ".join(differing(prepared.increments, rows[label])) if label in rows else ""
            times = chosen.count(label)
            yield WhatIfInput(
                key=f"{word}:{label}",
                name=f"part {label} {word}" + (f" ×{times}" if times > 1 else ""),
                value=said,
                text=label,
                example="label of a run",
                steps=False,
            )


def _stated(prepared: PreparedDay, k: int, change: StatedChange, show: Show) -> Iterator[WhatIfInput]:
    at = speed_and_pressure(prepared, change)
    for axle in CHANNELS:
        area, std = getattr(change, axle), getattr(change, f"{axle}_std")
        says = says_of(change, axle)
        if not says and (axle != "front" or says_something(change)):
            continue
        known = says and axle not in change.assumed
        said = Stated(value=area, std=std or None, exact=not std) if known else None
        example = "120 N at 160 km/h ± 20 N"
        yield _load(f"stated:{k}:{axle}", f"{axle} change", area, said, at, show, example)


def _force(prepared: PreparedDay, k: int, force: PlacedForce, show: Show) -> Iterator[WhatIfInput]:
    at, said = speed_and_pressure(prepared, force), force.uncertainties
    for name, words in (("downforce", "placed force"), ("drag", "  its drag")):
        area = getattr(force, name)
        yield _load(f"force:{k}:{name}", words, area, said.get(name), at, show, "300 N at 160 km/h")
    for name, words in (("behind_rear_axle", "  behind rear"), ("height", "  height")):
        value = getattr(force, name)
        yield _quantity(f"force:{k}:{name}", words, "length", value, said.get(name), show, "600 mm")


def _mass(k: int, mass: PlacedMass, show: Show) -> Iterator[WhatIfInput]:
    said = mass.uncertainties
    yield _quantity(f"mass:{k}:mass", mass.name, "mass", mass.mass, said.get("mass"), show, "20 kg")
    name, place = "behind_front_axle", mass.behind_front_axle
    yield _quantity(f"mass:{k}:{name}", "  behind front", "length", place, said.get(name), show, "1350 mm")


def _load(
    key: str,
    name: str,
    area: float,
    said: Stated | None,
    at: tuple[float, float],
    show: Show,
    example: str,
) -> WhatIfInput:
    """Lay out a load with the speed that it holds at."""
    speed, pressure = at
    shown = f"{show.quantity('force', area * pressure)} at {show.speed(speed)}"
    text = f"{exact_words('force', area * pressure, show)} at {exact_words('speed', speed, show)}"
    return WhatIfInput(
        key=key,
        name=name,
        value=shown + said_words("force", said, show, pressure, SHOWN),
        text=text + said_words("force", said, show, pressure),
        example=example,
    )


def _quantity(
    key: str, name: str, kind: str, value: float, said: Stated | None, show: Show, example: str
) -> WhatIfInput:
    """Lay out a mass or a length."""
    return WhatIfInput(
        key=key,
        name=name,
        value=show.quantity(kind, value) + said_words(kind, said, show, digits=SHOWN),
        text=exact_words(kind, value, show) + said_words(kind, said, show),
        example=example,
    )


def _loading(prepared: PreparedDay, what_if: WhatIf) -> WhatIfInput:
    names = ", ".join(one.name for one in prepared.day.session.vehicle.loadings)
    return WhatIfInput(
        key="loading",
        name="loading",
        value=what_if.loading or "as weighed",
        start="as weighed",
        changed=bool(what_if.loading),
        text=what_if.loading,
        example=names,
    )
