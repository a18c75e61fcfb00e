"""What the readings of the invented days were made from, as `vehicles/README.md` states it, and the rule that makes them.

python -m tests.invented_days      fills air and readings into the runs.csv of each short day, and names the days anew
                                   in the library's parts.toml, which calls a day after its session.toml
"""

import csv
import hashlib
import io
import re
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from balance.reduce.air import dynamic_pressure, moist_air_density
from balance.units.text import parse_quantity

VEHICLES = Path(__file__).parent.parent / "vehicles"
PARTS = VEHICLES / "library" / "parts.toml"
CHANNELS = ("front", "rear", "drag")

SPOILER_MEAN, SPOILER_SPREAD = (-14.0, 105.0, 9.0), (6.0, 30.0, 3.0)
"""The low spoiler from car to car [N at 160 km/h and 1.2 kg/m³]: mean and standard deviation."""
WING_MEAN, WING_SPREAD = (0.95, 1.0), (0.12, 0.15)
"""The wing's force and drag from car to car, as shares of those below: mean and standard deviation."""
WING = {"2": (355, 35), "5": (455, 50), "8": (545, 69), "11": (615, 94), "14": (555, 165)}
"""Force and drag of the wing by its angle [deg], at the hatchback [N at 160 km/h and 1.2 kg/m³]."""
SEED_OF_CARS = 61
PLACES = {  # setback, height and wheelbase [m] of the wing on each of the four cars, in the order of the draws
    "sorrin_saloon": (0.620, 1.250, 2.720),
    "velmoor_coupe": (0.580, 1.210, 2.610),
    "thrennow_estate": (0.790, 1.490, 2.690),
    "jandril_roadster": (0.4953, 1.1811, 2.3241),
}
PRESSURE = 0.5 * 1.2 * (160 / 3.6) ** 2
"""Dynamic pressure at which the spread is stated [Pa]."""


@dataclass(frozen=True, kw_only=True)
class Truth:
    """What a day's readings were made from, in ``unit`` at ``speed`` and 1.2 kg/m³: downforce front and rear, drag.

    ``parts`` are increments by setting and value, ``together`` what two settings do beyond their sum, ``odd`` what was
    wrong in a run. A fourth figure is the pressure drop over the radiator [Pa]. ``area`` [m²] turns it into coefficients.
    """

    seed: int
    unit: str
    speed: str
    base: tuple[float, ...]
    parts: dict
    scatter: tuple[float, ...]
    drift: tuple[float, ...]
    together: dict = field(default_factory=dict)
    odd: dict = field(default_factory=dict)
    area: float = 0.0
    decimals: int = 0

    @property
    def pressure(self):
        """Dynamic pressure at which its figures stand [Pa]."""
        return float(dynamic_pressure(parse_quantity(self.speed, "speed"), 1.2))

    def of(self, row):
        """Return what a row of runs.csv would read at that pressure, without drift and scatter."""
        true = np.array(self.base, dtype=float)
        fitted = {key for key in self.parts if _same(row.get(_column(row, key[0]), ""), key[1])}
        for key in fitted:
            true[: len(self.parts[key])] += self.parts[key]
        settings = {setting for setting, _ in fitted}
        for pair, extra in self.together.items():
            if settings.issuperset(pair):
                true[: len(extra)] += extra
        true[:3] += self.odd.get(row["run"], (0, 0, 0))
        return true


def drawn():
    """Draw what spoiler and wing do on each of the four cars: the spoiler's increment [N], the wing's two shares."""
    draws = np.random.default_rng(SEED_OF_CARS).normal(size=(len(PLACES), 5))
    return {
        car: (SPOILER_MEAN + SPOILER_SPREAD * z[:3], WING_MEAN + WING_SPREAD * z[3:])
        for car, z in zip(PLACES, draws, strict=True)
    }


def wing_on(car, angle):
    """Return the increment of the wing on a car [N at 160 km/h and 1.2 kg/m³], by moments about the axles."""
    setback, height, wheelbase = PLACES[car]
    force, drag = np.array(WING[angle]) * drawn()[car][1]
    front = -(setback * force + height * drag) / wheelbase
    return np.array((front, force - front, drag))


def shared_parts(car, spoiler, wing, angles, *, unit, speed, decimals):
    """Return the increments of spoiler and wing in the unit, and at the speed, of a car's day, rounded."""
    newton = parse_quantity(f"1 {unit}", "force")
    scale = float(dynamic_pressure(parse_quantity(speed, "speed"), 1.2)) / PRESSURE / newton
    found = {spoiler: drawn()[car][0], **{(wing, angle): wing_on(car, angle) for angle in angles}}
    return {key: tuple(np.round(true * scale, decimals).tolist()) for key, true in found.items()}


HATCH_PARTS = {
    ("splitter_length", "40"): (320, -10, 10),
    ("splitter_length", "60"): (470, -18, 22),
    ("canards", "pair"): (48, -9, 11),
    ("spoiler_height", "25"): (-12, 120, 8),
    ("spoiler_height", "55"): (-38, 235, 46),
    ("wing_angle", "2"): (-94, 449, 35),
    ("wing_angle", "5"): (-123, 578, 50),
    ("wing_angle", "8"): (-152, 697, 69),
    ("wing_angle", "11"): (-180, 795, 94),
    ("wing_angle", "14"): (-203, 758, 165),
    ("flap_height", "10"): (-22, 80, 15),
    ("vents", "bonnet louvres"): (85, -6, 9),
}
SPLITTER_AND_WING = {("splitter_length", "wing_angle"): (32, -8, -6)}
DAYS = {
    "brindlow_hatch/tunnel_day": Truth(
        seed=41, unit="N", speed="160 km/h", base=(-90, -280, 1160), parts=HATCH_PARTS, scatter=(6, 6, 4),
        drift=(-4, -7, 3), together=SPLITTER_AND_WING, odd={"5": (-15, 3, 5), "8": (6, -70, 14)},
    ),
    "ostrel_two_seater/straight_morning": Truth(
        seed=41, unit="lbf", speed="100 mph", base=(112, 170, 236), scatter=(2.5, 2.5, 4), drift=(1, -1, 2),
        parts={("wing_angle", "9"): (-5, 24, 7), ("wing_angle", "12"): (-9, 43, 16), ("canards", "pair"): (30, -5, 6)},
    ),
    "brindlow_hatch/spring_day": Truth(
        seed=42, unit="N", speed="160 km/h", base=(-68, -268, 1145, 240), scatter=(6, 6, 4, 4), drift=(3, -5, 2, -3),
        parts={
            **HATCH_PARTS,
            ("splitter_length", "60"): (470, -18, 22, -9),
            ("vents", "bonnet louvres"): (85, -6, 9, 41),
            ("vents", "arch louvres"): (38, -4, 6, 5),
        },
        together=SPLITTER_AND_WING,
    ),
    "sorrin_saloon/autumn_day": Truth(
        seed=43, unit="N", speed="160 km/h", base=(-62, -148, 1085), scatter=(6, 6, 4), drift=(2, 4, -3),
        parts={
            ("lip_length", "30"): (165, -8, 6),
            **shared_parts(
                "sorrin_saloon", ("spoiler_height", "25"), "wing_angle", ("5", "8", "11"),
                unit="N", speed="160 km/h", decimals=0,
            ),
        },
    ),
    "velmoor_coupe/moving_floor_day": Truth(
        seed=44, unit="N", speed="180 km/h", base=(-45, -195, 1190), scatter=(5, 5, 4), drift=(-3, 2, 2), area=1.98,
        decimals=4,
        parts={
            ("diffuser", "long"): (22, 185, -12),
            **shared_parts(
                "velmoor_coupe", ("rear_spoiler_height", "2.5"), "rear_wing_angle", ("5", "8"),
                unit="N", speed="180 km/h", decimals=0,
            ),
        },
    ),
    "thrennow_estate/short_day": Truth(
        seed=45, unit="kgf", speed="140 km/h", base=(-6.5, -14.0, 88.0), scatter=(0.6, 0.6, 0.4), drift=(0.3, -0.2, 0.3),
        decimals=1,
        parts=shared_parts(
            "thrennow_estate", ("spoiler_height", "25"), "wing_angle", ("5", "8"),
            unit="kgf", speed="140 km/h", decimals=1,
        ),
    ),
    "jandril_roadster/airfield_day": Truth(
        seed=46, unit="lbf", speed="100 mph", base=(-18.0, -26.0, 262.0), scatter=(2.0, 2.0, 3.0), drift=(1, -1, 1),
        parts=shared_parts(
            "jandril_roadster", ("spoiler_height", "25"), "wing_angle", ("5", "8"),
            unit="lbf", speed="100 mph", decimals=1,
        ),
    ),
}  # fmt: skip
SHORT = tuple(DAYS)[2:]
_AIR = {"temperature": {"degC": 1, "degF": 0}, "pressure": {"hPa": 1, "inHg": 2}, "humidity": {"%": 0}}


def rows_of(day):
    """Read the rows of a day's runs.csv as plain text, by header."""
    with (VEHICLES / day / "runs.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def air_of(rows):
    """Let temperature, pressure and humidity run straight from the first row's to the last's, as text."""
    found = {}
    for name, decimals in _AIR.items():
        column = _column(rows[0], name)
        first, last = (float(row[column]) for row in (rows[0], rows[-1]))
        places = decimals[column[:-1].partition("[")[2]]
        found[column] = [f"{value:.{places}f}" for value in np.linspace(first, last, len(rows))]
    return found


def readings_of(day):
    """Make the readings of a day from its settings, speeds and air, as text by header."""
    truth, rows = DAYS[day], rows_of(day)
    count = len(truth.base)
    z = np.random.default_rng(truth.seed).normal(size=(len(rows), count))
    pressure = dynamic_pressure(
        np.array(_si(rows, "speed", "speed")),
        moist_air_density(*(_si(rows, *one) for one in (("temperature",) * 2, ("pressure",) * 2, ("humidity", "fraction")))),
    )  # fmt: skip
    drift = np.outer(np.arange(len(rows)) / (len(rows) - 1), truth.drift)
    true = np.array([truth.of(row) for row in rows])
    made = true * (pressure / truth.pressure)[:, None] + drift + np.array(truth.scatter) * z
    if truth.area:
        made = made / (pressure * truth.area)[:, None]
    found = {}
    for k, name in enumerate((*CHANNELS, "radiator_pressure_drop")[:count]):
        begins = (name,) if k > 1 else (f"{name}_lift", f"{name}_downforce")
        column = next(header for header in rows[0] if header.startswith(begins))
        sign = -1.0 if "lift" in column else 1.0
        places = truth.decimals if k < 3 else 0
        found[column] = [f"{sign * np.round(value, places) + 0.0:.{places}f}" for value in made[:, k]]
    return found


def fill(day):
    """Write air and readings into a day's runs.csv; every other cell stays."""
    rows = rows_of(day)
    for make in (lambda: air_of(rows), lambda: readings_of(day)):
        columns = make()
        for k, row in enumerate(rows):
            row.update({column: texts[k] for column, texts in columns.items()})
        out = io.StringIO()
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
        (VEHICLES / day / "runs.csv").write_text(out.getvalue(), encoding="utf-8")


def _column(row, name):
    return next((header for header in row if header.partition(" [")[0] == name), "")


def _same(text, value):
    try:
        return float(text) == float(value)
    except ValueError:
        return text == value


def _si(rows, name, kind):
    column = _column(rows[0], name)
    unit = column[:-1].partition("[")[2]
    return [parse_quantity(f"{row[column]} {unit}", kind) for row in rows]


def named_anew():
    """Return parts.toml of the library with the names that its days have now."""
    text = PARTS.read_text(encoding="utf-8")
    for day in DAYS:
        name, session = day.replace("/", "_"), (VEHICLES / day / "session.toml").read_bytes()
        text = re.sub(rf"{name}-[0-9a-f]{{8}}", f"{name}-{hashlib.sha256(session).hexdigest()[:8]}", text)
    return text


if __name__ == "__main__":
    for short in SHORT:
        fill(short)
    PARTS.write_text(named_anew(), encoding="utf-8")
