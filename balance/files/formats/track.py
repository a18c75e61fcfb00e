"""track.toml and its line.csv: a track in a folder of its own, read, written and edited."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from balance.files.day.durable import write_folder
from balance.files.formats.new_track import is_made_up
from balance.files.formats.track_line import read_line
from balance.files.formats.versions import FORMAT_FIELD, format_of
from balance.files.text_file import text_at_hand
from balance.files.toml.document import read_toml
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import Field, described, read_fields
from balance.files.toml.tree import written_toml
from balance.files.track_path import LINE_FILE, TRACK_FILE, track_of_session
from balance.model.arrays import read_only
from balance.model.columns import FORMAT
from balance.model.errors import FileFaults, InputError, UnitError, quoted
from balance.model.plans import Choose
from balance.model.tracks import Track, TrackPlace

if TYPE_CHECKING:
    import os
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from balance.files.toml.document import Document
    from balance.files.toml.fields import Typed
    from balance.model.errors import Fault
    from balance.model.plans import DayPlan
    from balance.model.records import Session

_WHAT = "a track's track.toml"
_WAYS = ("clockwise", "anticlockwise")


def _read_yes_or_no(one: Field, value: Any) -> bool:
    """Read true or false, in quotation marks too, as a form writes it."""
    if isinstance(value, bool):
        return value
    if value not in one.choices:
        raise UnitError(found=described(value), expected="true or false", mend=f"write {one.key} = true")
    return bool(value == "true")


TRACK = (
    FORMAT_FIELD,
    Field(key="name", kind="text", example="Upper field loop", required=True),
    Field(key="note", kind="text", example="free text"),
    Field(key="closed", kind="choice", example="true", choices=("true", "false"), read=_read_yes_or_no),
    Field(key="direction", kind="choice", example="clockwise", choices=_WAYS),
    Field(key="air_density", kind="density", example="1.2 kg/m^3", low="0.5 kg/m^3", high="2 kg/m^3"),
    Field(
        key="places",
        kind="tables",
        example="[[places]]",
        fields=(
            Field(key="name", kind="text", example="far left", required=True),
            Field(key="distance", kind="length", example="1240 m", required=True, low="0 m", high="100000 m", chosen=True),
        ),
    ),
)  # fmt: skip


def read_track(path: str | os.PathLike[str]) -> Track:
    """Read a track from its folder or its track.toml, every fault of both files told together.

    Parameters
    ----------
    path : path
        The track's folder, or its track.toml.

    Returns
    -------
    Track
        Everything in SI, curvature left positive.

    Raises
    ------
    FileFaults
        With every fault of track.toml and of the line.
    """
    folder = Path(path)
    if folder.name in (TRACK_FILE, LINE_FILE):
        folder = folder.parent
    faults: list[Fault] = []
    values: dict[str, Any] = {}
    document: Document | None = None
    try:
        document = read_toml(folder / TRACK_FILE, shown_as=TRACK_FILE, what=_WHAT)
    except FileFaults as found:
        faults.extend(found.faults)
    if document is not None:
        format_of(document)  # nothing of a newer one is read
        values = read_fields(document, TRACK)
    line, track = None, None
    try:
        line = read_line(folder / LINE_FILE)
    except FileFaults as found:
        faults.extend(found.faults)
    if document is not None:
        if line is not None and not document.faults:
            track = Track(
                name=values["name"],
                note=values["note"] or "",
                closed=True if values["closed"] is None else values["closed"],
                direction=values["direction"] or "",
                air_density=values["air_density"],
                places=tuple(TrackPlace(**place) for place in values["places"] or ()),
                edges=read_only(line.edges),
                curvature=read_only(line.curvature),
                bank=read_only(line.bank),
                gradient=read_only(line.gradient),
                width=None if line.width is None else read_only(line.width),
                curvature_std=None if line.curvature_std is None else read_only(line.curvature_std),
                source=str(folder / TRACK_FILE),
                made_up=is_made_up(folder / LINE_FILE),
            )
            _hold_together(document, track)
        faults = [*document.in_order, *faults]
    if faults or track is None:
        raise FileFaults(faults)
    return track


def track_of_plan(session: Session, plan: DayPlan) -> Track | str | None:
    """Read the track whose lap a plan aims at, or state why it cannot be had; nothing where it aims at no lap."""
    name = plan.aim.track if isinstance(plan.aim, Choose) else None
    if name is None:
        return None
    try:
        return read_track(track_of_session(session, name))
    except InputError as fault:
        return f"plan: aim: {fault}"


def _hold_together(document: Document, track: Track) -> None:
    """Hold places and direction against the line."""
    names = [place.name for place in track.places]
    for k, place in enumerate(track.places):
        if place.distance > track.length:
            document.fault(
                ("places", k, "distance"), f"{place.distance:g} m", f"a place on the line, which is {track.length:,.0f} m long",
                "count from the start of the lap",
            )  # fmt: skip
        if place.name in names[:k]:
            document.fault(
                ("places", k, "name"), quoted(place.name), "a name of its own", "rename one of the two"
            )
    turned = track.turned
    if track.direction and abs(turned) > math.pi:
        way = _WAYS[int(turned > 0)]
        if track.direction != way:
            document.fault(
                ("direction",), track.direction, f"{way}, as the line turns",
                "a curve to the left is positive: change the signs of the line, or the direction",
            )  # fmt: skip


def written_track(track: Track) -> tuple[str, str]:
    """Write a track as the texts of track.toml and line.csv."""
    tree: dict[str, Any] = {"format": FORMAT, "name": track.name}
    if track.note:
        tree["note"] = track.note
    tree["closed"] = track.closed
    if track.direction:
        tree["direction"] = track.direction
    if track.air_density is not None:
        tree["air_density"] = f"{track.air_density!r} kg/m^3"
    if track.places:
        tree["places"] = [{"name": one.name, "distance": f"{one.distance!r} m"} for one in track.places]
    return written_toml(tree), _written_line(track)


def save_track(track: Track, folder: Path) -> None:
    """Write a new track into a folder of its own, whole or not at all; nothing is overwritten."""
    toml, line = written_track(track)
    write_folder(folder, {TRACK_FILE: toml.encode(), LINE_FILE: line.encode()})


def edited_track(text: str, changes: Mapping[str, Typed | None]) -> str:
    r"""Change, add or take out keys of a track.toml, no other byte touched.

    Examples
    --------
    >>> print(edited_track('name = "loop"  # ours\n', {"direction": "clockwise"}))
    name = "loop"  # ours
    direction = "clockwise"
    <BLANKLINE>
    """
    edited = edited_toml(TRACK, text, changes)
    document = read_toml(text_at_hand(edited, TRACK_FILE), shown_as=TRACK_FILE, what=_WHAT)
    read_fields(document, TRACK)
    faults = [fault for fault in document.in_order if fault.column in changes]
    if faults:
        raise FileFaults(faults)
    return edited


def _written_line(track: Track) -> str:
    """Write the line by segments where each has one curvature, else by rows, two of them at a jump."""
    columns = [track.curvature, track.bank, track.gradient] + ([] if track.width is None else [track.width])
    even = all(bool(np.all(_same(one[:, 0], one[:, 1]))) for one in columns)
    if even and track.curvature_std is None:
        return _table(track, np.diff(track.edges), "length", columns=[one[:, 0] for one in columns], std=None)
    count = len(track.curvature)
    piece = np.repeat(np.arange(count), 2)
    side = np.tile([0, 1], count)
    keep = np.ones(2 * count, bool)
    joined = np.all([_same(one[1:, 0], one[:-1, 1]) for one in columns], axis=0)
    keep[2:-1:2] = ~joined  # what begins here is what ended here
    piece, side = piece[keep], side[keep]
    std = None if track.curvature_std is None else track.curvature_std[piece + side]
    return _table(
        track, track.edges[piece + side], "distance", columns=[one[piece, side] for one in columns], std=std
    )


def _table(
    track: Track,
    along: NDArray[np.float64],
    name: str,
    *,
    columns: list[NDArray[np.float64]],
    std: NDArray[np.float64] | None,
) -> str:
    curvature = columns[0]
    radii = [f"{1.0 / one:.10g}" if one else "" for one in curvature]
    by_radius = std is None and all(
        not text or 1.0 / float(text) == one for text, one in zip(radii, curvature, strict=True)
    )
    heads = [f"{name} [m]", "radius [m]" if by_radius else "curvature [1/m]"]
    cells = [
        [repr(float(one)) for one in along],
        radii if by_radius else [repr(float(one)) for one in curvature],
    ]
    wanted = (
        ("bank [rad]", columns[1], bool(np.any(track.bank))),
        ("gradient [%]", columns[2], bool(np.any(track.gradient))),
    )
    for head, values, there in wanted:
        if there:
            factor = 100.0 if "%" in head else 1.0
            heads.append(head)
            cells.append([repr(float(factor * one)) for one in values])
    if track.width is not None:
        heads.append("width [m]")
        cells.append(["" if np.isnan(one) else repr(float(one)) for one in columns[3]])
    if std is not None:
        heads.append("curvature_std [1/m]")
        cells.append([repr(float(one)) for one in std])
    rows = [",".join(heads), *(",".join(row) for row in zip(*cells, strict=True))]
    return "\n".join(rows) + "\n"


def _same(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell where two columns are alike, both unknown included."""
    return np.asarray((one == other) | (np.isnan(one) & np.isnan(other)))
