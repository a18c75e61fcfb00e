"""An invented tunnel day of 26 runs whose truth is known: what each part does to each axle, and which run shows it.

Nothing here is measured. Loads are the bare car's, plus those of every part fitted, plus noise from a fixed seed. The day
has what days have: a baseline that comes back, once under a label that names what was taken off; a part tried in two
sizes, one straight after the other; a run that is void; the car taken down and set up again over lunch.
"""

import csv
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

import numpy as np

UNITS = MappingProxyType(
    {
        "splitter_length": "mm",
        "spoiler_height": "mm",
        "wing_angle": "deg",
        "gurney_height": "mm",
        "vents": "",
        "canards": "",
    }
)
"""The settings, in the order of their columns, and their units; those without one are text."""
NOISE_N = (3.0, 3.0, 2.0)
"""Standard deviation of one reading: front, rear, drag."""
SEED = 26
BARE_LIFT = (92.0, 271.0, 1168.0)
"""The bare car: front lift, rear lift, drag. [N]"""

VEHICLE = """\
name = "Marlow saloon (invented)"
[mass]
total = "1340 kg"
front_share = "53 %"
[size]
wheelbase = "2640 mm"
"""
SESSION = """\
title = "Day of known truth (invented)"
vehicle = "../vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.2 kg/m^3"
forces = "as read"
"""

_TRUTH = {
    "splitter 60 mm": (280.0, -20.0, 20.0),
    "splitter 80 mm": (400.0, -30.0, 30.0),
    "canards": (45.0, -5.0, 9.0),
    "spoiler 25 mm": (-14.0, 106.0, 15.0),
    "spoiler 55 mm": (-30.0, 205.0, 42.0),
    "vents open": (-20.0, 0.0, -12.0),
    "vents louvred": (18.0, 2.0, 12.0),
    "wing 4 deg": (-70.0, 390.0, 34.0),
    "wing 8 deg": (-105.0, 600.0, 62.0),
    "wing 12 deg": (-140.0, 760.0, 98.0),
    "gurney 10 mm": (-15.0, 79.0, 14.0),
    "gurney 20 mm": (-24.0, 144.0, 30.0),
}
_PART_OF = {
    ("splitter_length", 60.0): "splitter 60 mm",
    ("splitter_length", 80.0): "splitter 80 mm",
    ("canards", "pair"): "canards",
    ("spoiler_height", 25.0): "spoiler 25 mm",
    ("spoiler_height", 55.0): "spoiler 55 mm",
    ("vents", "open"): "vents open",
    ("vents", "louvred"): "vents louvred",
    ("wing_angle", 4.0): "wing 4 deg",
    ("wing_angle", 8.0): "wing 8 deg",
    ("wing_angle", 12.0): "wing 12 deg",
    ("gurney_height", 10.0): "gurney 10 mm",
    ("gurney_height", 20.0): "gurney 20 mm",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownRun:
    """One run as it stands on the sheet; settings that are not fitted are left out."""

    label: str
    configuration: str
    settings: MappingProxyType = field(default_factory=lambda: MappingProxyType({}))
    front_lift_N: float = 0.0  # noqa: N815 - N is the newton
    rear_lift_N: float = 0.0  # noqa: N815 - N is the newton
    drag_N: float = 0.0  # noqa: N815 - N is the newton
    baseline: str | None = None
    status: str = ""
    note: str = ""
    block: str = "morning"


def _sheet():
    """The day as it was run: label of the configuration, what was fitted, and what else stands in the row."""
    long, at_8 = {"splitter_length": 80.0}, {"splitter_length": 80.0, "wing_angle": 8.0}
    short = {"splitter_length": 60.0}
    package = {**at_8, "gurney_height": 10.0, "vents": "louvred", "canards": "pair"}
    morning = [
        ("baseline", {}, {}),
        ("baseline", {}, {"note": "car not touched since run 1"}),
        ("splitter on", short, {}),
        ("canards on", {**short, "canards": "pair"}, {}),
        ("splitter off", {}, {"note": "splitter and canards off, car as at run 1"}),
        ("spoiler on", {"spoiler_height": 55.0}, {"status": "void", "note": "tape let go during the run"}),
        ("spoiler on", {"spoiler_height": 55.0}, {}),
        ("spoiler low", {"spoiler_height": 25.0}, {}),
        ("vents open", {"vents": "open"}, {"note": "spoiler off"}),
        ("baseline", {}, {}),
    ]
    afternoon = [
        ("baseline", {}, {"note": "taken down over lunch and set up again"}),
        ("long splitter", long, {}),
        ("wing 4", {**long, "wing_angle": 4.0}, {}),
        ("wing 8", at_8, {}),
        ("wing 12", {**long, "wing_angle": 12.0}, {}),
        ("wing 8", at_8, {"note": "back from 12"}),
        ("baseline", {}, {"note": "all off"}),
        ("louvres", {**at_8, "vents": "louvred"}, {}),
        (
            "louvres, gurney",
            {**at_8, "vents": "louvred", "gurney_height": 10.0},
            {"status": "void", "note": "gurney came off"},
        ),
        ("wing 12", {**long, "wing_angle": 12.0}, {"note": "up again"}),
        ("gurney 10", {**at_8, "gurney_height": 10.0}, {}),
        ("gurney 20", {**at_8, "gurney_height": 20.0}, {}),
        ("wing 4", {**long, "wing_angle": 4.0}, {"note": "gurney off"}),
        ("package", package, {"baseline": "11"}),
        ("baseline", {}, {"note": "all off, car as at run 11"}),
        ("baseline", {}, {"note": "last run"}),
    ]
    return [(*row, "morning") for row in morning] + [(*row, "afternoon") for row in afternoon]


def truth():
    """What each part does, in N at the day's speed: downforce gained at the front, at the rear, and drag."""
    return dict(_TRUTH)


def fitted(settings):
    """The parts that settings stand for, by their names in `truth`."""
    return tuple(_PART_OF[name, value] for name, value in settings.items())


def measured():
    """Which run shows which part, and the runs it is fairly compared with: label -> (parts, baseline labels).

    By hand from the sheet: what the baseline has besides is what the run has besides; repeats are averaged. Run 18 is on
    the wing at 8 degrees, as are 21 and 22; run 4 is on the splitter of run 3. Run 24 is stated to be against run 11.
    """
    afternoon = ("11", "17", "25", "26")
    morning = ("1", "2", "10")
    return {
        "3": (("splitter 60 mm",), morning),
        "4": (("canards",), ("3",)),
        "7": (("spoiler 55 mm",), morning),
        "8": (("spoiler 25 mm",), morning),
        "9": (("vents open",), morning),
        "12": (("splitter 80 mm",), afternoon),
        "13": (("wing 4 deg",), ("12",)),
        "14": (("wing 8 deg",), ("12",)),
        "15": (("wing 12 deg",), ("12",)),
        "18": (("vents louvred",), ("14", "16")),
        "21": (("gurney 10 mm",), ("14", "16")),
        "22": (("gurney 20 mm",), ("14", "16")),
        "24": (("splitter 80 mm", "wing 8 deg", "gurney 10 mm", "vents louvred", "canards"), afternoon),
    }


def true_change(parts):
    """What parts do together, (front, rear, drag) in N: this day's parts simply add up."""
    return tuple(sum(_TRUTH[part][channel] for part in parts) for channel in range(3))


def in_true_order():
    """The runs that show parts, by the downforce that these truly gain, the most first."""
    return sorted(measured(), key=lambda run: -sum(true_change(measured()[run][0])[:2]))


def runs():
    """The day's runs in running order, loads rounded to the newton as a facility's sheet has them."""
    rng = np.random.default_rng(SEED)
    made = []
    for number, (configuration, settings, more, block) in enumerate(_sheet(), start=1):
        front, rear, drag = true_change(fitted(settings))
        noise = rng.normal(0.0, NOISE_N)
        loads = np.round(np.array([BARE_LIFT[0] - front, BARE_LIFT[1] - rear, BARE_LIFT[2] + drag]) + noise)
        made.append(
            KnownRun(
                label=str(number),
                configuration=configuration,
                settings=MappingProxyType(dict(settings)),
                front_lift_N=float(loads[0]),
                rear_lift_N=float(loads[1]),
                drag_N=float(loads[2]),
                block=block,
                **more,
            )
        )
    return made


def header():
    """The heads of the table's columns."""
    settings = [f"{name} [{unit}]" if unit else name for name, unit in UNITS.items()]
    return [
        "run",
        "block",
        "configuration",
        *settings,
        "front_lift [N]",
        "rear_lift [N]",
        "drag [N]",
        "baseline",
        "status",
        "reason",
        "note",
    ]


def row_of(run):
    """The cells of one run, as text; the reason of a void run is its note."""
    settings = [run.settings.get(name, "") for name in UNITS]
    loads = [run.front_lift_N, run.rear_lift_N, run.drag_N]
    figures = [cell if isinstance(cell, str) else f"{cell:g}" for cell in (*settings, *loads)]
    reason, note = (run.note, "") if run.status == "void" else ("", run.note)
    return [run.label, run.block, run.configuration, *figures, run.baseline or "", run.status, reason, note]


def write_day(folder):
    """Write car and day into a folder; give the session's own folder."""
    car = Path(folder) / "known_car"
    session = car / "known_day"
    session.mkdir(parents=True)
    (car / "vehicle.toml").write_text(VEHICLE, encoding="utf-8")
    (session / "session.toml").write_text(SESSION, encoding="utf-8")
    with (session / "runs.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerows([header(), *map(row_of, runs())])
    return session
