"""What mounts and tyres carry at top speed, in sentences that stand beside every suggestion."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.tell.figures import number

if TYPE_CHECKING:
    from collections.abc import Iterable

    from balance.decide.parts.part_place import MountLoad, TyreLoad
    from balance.tell.figures import Show


def mount_words(run: str, load: MountLoad, show: Show) -> str:
    """State what the mounts of a part carry at top speed."""
    return (
        f"part {run} at top speed ({show.speed(load.speed)}): {show.quantity('force', load.together)} of downforce and "
        f"drag together, {number(load.ratio, 2)} times what was tested; bumps and gusts come on top"
    )


def tyre_words(tyres: Iterable[TyreLoad], top_speed: float, show: Show) -> list[str]:
    """State what each tyre carries at top speed, beside what it may carry."""
    lines = []
    for one in tyres:
        rating = f"{one.load_index}{one.speed_symbol}"
        load = f"{one.axle} tyre at top speed ({show.speed(top_speed)}), straight on: {show.quantity('force', one.load)}"
        if one.capacity is None:
            lines.append(f"{load}; FASTER than its {rating} allows")
        else:
            word = "MORE than" if one.exceeded else "of"
            lines.append(
                f"{load} {word} the {show.quantity('force', one.capacity)} that {rating} allows there"
            )
    return lines


def hardware_brief(mounts: Iterable[MountLoad], tyres: Iterable[TyreLoad], show: Show) -> str:
    """State in one line what the hardware has to stand: for the place right under a suggestion."""
    loads, stated = list(mounts), list(tyres)
    worn = [one for one in stated if one.exceeded]
    said = [f"{one.axle} TYRE OVER ITS {one.load_index}{one.speed_symbol}" for one in worn]
    said += [
        f"mounts carry {show.quantity('force', one.together)} at {show.speed(one.speed)}, "
        f"{number(one.ratio, 2)} × tested"
        for one in sorted(loads, key=lambda load: -load.together)[:1]
    ]
    if not loads:
        said.append("what mounts carry at top speed is not known")
    if not stated:
        said.append("tyre ratings or top speed not stated")
    elif not worn:
        said.append("tyres inside ratings")
    return " · ".join(said)
