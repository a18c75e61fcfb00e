"""A new track on the disk, its line made up, to be typed over from a map or a walk; never in place of anything."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.files.day.durable import write_folder
from balance.files.formats.vehicle import read_vehicle
from balance.files.text_file import clean_cell
from balance.files.toml.tree import literal_of
from balance.files.track_path import LINE_FILE, TRACK_FILE, track_of
from balance.model.columns import FORMAT

if TYPE_CHECKING:
    from pathlib import Path

_TRACK = """\
# A track of the customer. How its line runs stands in line.csv beside this file, a row a segment.

format = {format}                              # how this file is read
name = {name}
# note = "walked on 12 May"             # free text
closed = true                           # false: a hill climb, or one way along a road
# direction = "clockwise"               # or anticlockwise; held against the line
# air_density = "1.2 kg/m^3"            # usual there, if known

# Places where a speed matters, counted from the start of the lap; axletrim track show says where the corners are.
# [[places]]
# name = "far left"
# distance = "480 m"
"""
_LINE = """\
# The line of a lap, a row a segment, in the order in which it is driven. What stands here is made up: type over it.
# A straight has a length. A corner has two of length, radius and angle, read off a map or paced out.
# Left is positive and right is negative, in radius and in angle alike.
# More columns, if known: bank [deg] (positive leans into the corner), gradient [%] (positive uphill), width [m].
length [m],radius [m],angle [deg]
149,,
,-60,-100
130,,
55,45,
90,,
,-80,-150
300,,
86.4,-55,
275,,
,-110,-90
"""


def is_made_up(line: Path) -> bool:
    """Return whether a line is still the one that a new track begins with, whatever its remarks."""
    return _rows(line.read_text(encoding="utf-8-sig", errors="replace")) == _rows(_LINE)


def _rows(text: str) -> list[str]:
    return [row.strip() for row in text.splitlines() if row.strip() and not row.lstrip().startswith("#")]


def create_track(car: Path, name: str) -> Path:
    """Write a track of a car, to be typed over, and give its folder."""
    read_vehicle(car)
    name = clean_cell("name of a track", name)
    folder = track_of(car.parent, name)
    text = _TRACK.format(format=FORMAT, name=literal_of(name))
    write_folder(folder, {TRACK_FILE: text.encode(), LINE_FILE: _LINE.encode()})
    return folder
