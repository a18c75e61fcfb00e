"""Invented cars whose truth is known, and days on them run by a rule: for calibration, and for what planning pays.

Nothing here is measured, and nothing is drawn from what the plan believes: parts saturate, a wing stalls, parts spoil one
another by amounts of their own, and refitting scatters more than reading again.
"""

from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from balance.decide.day.day import reduce_day
from balance.decide.plan.change_times import ChangeTimes
from balance.decide.plan.configuration import Configuration, configuration
from balance.decide.plan.day_belief import belief_of_day
from balance.decide.plan.merit import merit_of_day
from balance.decide.plan.next_run import next_runs
from balance.decide.plan.worth import weigh
from balance.model.plans import DayPlan, ExpectedEffect, Hours, WantedRun
from balance.model.records import (
    HALF_95,
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    Setting,
    StatedRepeatability,
    Triple,
    Vehicle,
)

FAMILIES = {
    "wing_angle": (2.0, 5.0, 8.0, 11.0, 14.0),
    "splitter_length": (40.0, 60.0, 80.0),
    "spoiler_height": (25.0, 55.0),
    "gurney_height": (10.0, 20.0),
    "canards": ("pair",),
    "vents": ("open", "louvred"),
}
UNITS = {"wing_angle": "deg", "splitter_length": "mm", "spoiler_height": "mm", "gurney_height": "mm"}
MINUTES = {
    "wing": 600.0, "wing_angle": 180.0, "splitter_length": 480.0, "spoiler_height": 420.0, "gurney_height": 300.0,
    "canards": 300.0, "vents": 240.0,
}  # fmt: skip
READING = 300.0
FIT_N, READING_N = (4.0, 4.0, 2.5), (3.0, 3.0, 1.5)
SPEED, DENSITY = 45.0, 1.2
PRESSURE = 0.5 * DENSITY * SPEED**2
WANTED = tuple(
    WantedRun(configuration=f"{name} {value}", settings={name: value})
    if name != "gurney_height"
    else WantedRun(configuration=f"gurney {value}", settings={name: value, "wing_angle": 8.0})
    for name, values in FAMILIES.items()
    for value in values
)
STATED_N = {
    ("wing_angle", 2.0): ((-60.0, 250.0, 35.0), (100.0, 300.0, 40.0)),
    ("wing_angle", 14.0): ((-100.0, 500.0, 90.0), (150.0, 500.0, 80.0)),
    ("splitter_length", 40.0): ((180.0, -10.0, 12.0), (150.0, 60.0, 20.0)),
    ("splitter_length", 80.0): ((300.0, -20.0, 20.0), (250.0, 80.0, 30.0)),
    ("spoiler_height", 25.0): ((-15.0, 90.0, 15.0), (40.0, 100.0, 30.0)),
    ("spoiler_height", 55.0): ((-25.0, 160.0, 35.0), (50.0, 150.0, 40.0)),
    ("gurney_height", 10.0): ((-15.0, 60.0, 12.0), (30.0, 70.0, 20.0)),
    ("gurney_height", 20.0): ((-20.0, 100.0, 20.0), (40.0, 100.0, 30.0)),
    ("canards", "pair"): ((40.0, -5.0, 8.0), (50.0, 30.0, 15.0)),
}
"""What an engineer would state of such parts before the day: round figures, and half of a 95 % interval as wide as that."""
EXPECTED = tuple(
    ExpectedEffect(
        setting=name,
        value=value,
        mean=tuple(force / PRESSURE for force in mean),
        std=tuple(half / HALF_95 / PRESSURE for half in halves),
    )
    for (name, value), (mean, halves) in STATED_N.items()
)
PLAN = DayPlan(reading=READING, changes=MINUTES, wanted=WANTED, enough=0.0)
TIMES = ChangeTimes(
    reading=READING,
    moves={name: MINUTES[name] for name in FAMILIES},
    fits={name: MINUTES.get(name.partition("_")[0], MINUTES[name]) for name in FAMILIES},
)


@dataclass
class InventedCar:
    """A car: what each part does, and how pairs of them spoil or help one another. [N]"""

    seed: int
    base: np.ndarray = field(init=False)
    effects: dict = field(init=False)
    pairs: dict = field(init=False)

    def __post_init__(self):
        rng = np.random.default_rng([11, self.seed])
        self.base = np.array([-80.0, -260.0, 1120.0]) + rng.normal(0.0, (40.0, 70.0, 80.0))
        splitter, wing, spoiler = (
            rng.uniform(200.0, 460.0),
            rng.uniform(350.0, 900.0),
            rng.uniform(90.0, 260.0),
        )
        bend, stall = rng.uniform(0.4, 1.0), rng.uniform(8.0, 16.0)
        gurney, canards, vents = rng.uniform(50.0, 170.0), rng.uniform(10.0, 70.0), rng.normal(0.0, 25.0, 2)
        self.effects = {}
        for length in FAMILIES["splitter_length"]:
            front = splitter * (length / 80.0) ** bend
            self.effects["splitter_length", length] = np.array([front, -0.06 * front, 0.06 * front])
        for angle in FAMILIES["wing_angle"]:
            rear = wing * (0.35 + 0.65 * min(angle, stall) / 14.0) - 0.03 * wing * max(angle - stall, 0.0)
            drag = 0.06 * wing + 0.09 * wing * (angle / 14.0) ** 2 + 0.015 * wing * max(angle - stall, 0.0)
            self.effects["wing_angle", angle] = np.array([-0.2 * rear, rear, drag])
        for height in FAMILIES["spoiler_height"]:
            rear = spoiler * (height / 55.0) ** 0.8
            self.effects["spoiler_height", height] = np.array([-0.15 * rear, rear, 0.2 * rear])
        for height in FAMILIES["gurney_height"]:
            rear = gurney * (height / 20.0) ** 0.8
            self.effects["gurney_height", height] = np.array([-0.2 * rear, rear, 0.22 * rear])
        self.effects["canards", "pair"] = np.array([canards, -0.1 * canards, 0.2 * canards])
        self.effects["vents", "open"] = np.array([vents[0], 0.0, -5.0])
        self.effects["vents", "louvred"] = np.array([vents[1] + 15.0, 0.0, 8.0])
        self.pairs = {}
        names = list(FAMILIES)
        for k, one in enumerate(names):
            for other in names[k + 1 :]:
                self.pairs[one, other] = rng.normal(0.0, 0.12, 3)
        self.pairs["wing_angle", "spoiler_height"] -= np.array([0.0, 0.35, 0.0])

    def truth(self, fitted: Configuration) -> np.ndarray:
        """Return front downforce, rear downforce and drag of a configuration. [N]"""
        own = {name: self.effect(name, value) for name, value in fitted.settings}
        total = self.base + sum(own.values(), np.zeros(3))
        for (one, other), share in self.pairs.items():
            if one in own and other in own:
                total = total + share * np.minimum(np.abs(own[one]), np.abs(own[other]))
        return total

    def effect(self, name, value) -> np.ndarray:
        """Return what a part does by itself; between tested values on the line. [N]"""
        if (name, value) in self.effects:
            return self.effects[name, value]
        tested = FAMILIES[name]
        some = np.array([self.effects[name, one] for one in tested])
        return np.array([np.interp(value, tested, some[:, channel]) for channel in range(3)])


def session_of(rows) -> Session:
    """Make a session of (configuration, front, rear, drag) in N, the facility's figure stated."""
    stated = [float(np.hypot(a, b)) for a, b in zip(FIT_N, READING_N, strict=True)]
    figures = LoadExponent(front=0.86, rear=0.86, assumed=True)
    return Session(
        title="invented",
        vehicle=Vehicle(
            name="invented", mass=1200.0, front_share=0.53, wheelbase=2.55, frontal_area=2.0,
            stiffness_exponent=replace(figures, front=0.75, rear=0.75), grip_exponent=figures,
        ),
        facility=Facility(speed=SPEED, air_density=DENSITY),
        repeatability=StatedRepeatability(
            deviation=OptionalTriple(front=stated[0], rear=stated[1], drag=stated[2]),
            degrees_of_freedom=20.0,
            degrees_assumed=False,
        ),
        runs=tuple(
            Run(
                label=str(k + 1),
                configuration="any",
                reading=Triple(front=front, rear=rear, drag=drag),
                resolution=Triple(front=0.0, rear=0.0, drag=0.0),
                settings={
                    name: Setting(value=value, unit=UNITS.get(name, "")) for name, value in fitted.settings
                },
            )
            for k, (fitted, front, rear, drag) in enumerate(rows)
        ),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
        setting_names=tuple(FAMILIES),
    )  # fmt: skip


class InventedDay:
    """A day on a car: what was run, and how long it took."""

    def __init__(self, car: InventedCar, rng):
        self.car, self.rng = car, rng
        self.rows, self.spent, self.ended = [], 0.0, []
        self.present, self.fit = configuration({}), None

    def run(self, fitted: Configuration, readings: int = 1) -> None:
        """Fit and read a configuration."""
        self.spent += TIMES.between(self.present, fitted)
        if self.fit is None or fitted != self.present:
            self.fit = self.rng.normal(0.0, FIT_N)
        self.present = fitted
        for _ in range(readings):
            read = self.car.truth(fitted) + self.fit + self.rng.normal(0.0, READING_N)
            self.rows.append((fitted, *np.round(read).tolist()))
            self.spent += TIMES.reading
            self.ended.append(self.spent)

    def within(self, seconds: float) -> list:
        """Return what had been read by a time."""
        return [row for row, end in zip(self.rows, self.ended, strict=True) if end <= seconds]


def true_merit(car: InventedCar, fitted: Configuration) -> float:
    """Return what a configuration is truly worth. [N]"""
    merit = merit_of_day(session_of([(configuration({}), 1.0, 1.0, 1000.0)]))
    areas = car.truth(fitted)[None] / PRESSURE
    about = merit.linearised(areas)
    return float(merit.expected(areas, about.surplus, np.zeros(1))[0])


def chosen(rows, plan=PLAN) -> Configuration:
    """Choose among what was run, by what the belief expects: the same for whatever rule made the runs."""
    session = session_of(rows)
    stand = belief_of_day(reduce_day(session, draws=100), replace(plan, wanted=()))
    found = weigh(stand.belief, merit_of_day(session), stand.tried)
    return found.configurations[found.best]


def by_worth(day: InventedDay, budget: float, stated=PLAN) -> None:
    """Run what is worth most for its minutes, until none is left for anything."""
    day.run(configuration({}))
    while True:
        left = budget - day.spent
        plan = replace(stated, hours=Hours(start=0.0, end=max(left, 1.0)))
        stand = belief_of_day(reduce_day(session_of(day.rows), draws=100), plan)
        found = next_runs(stand, plan, now=0.0)
        if not found.runs:
            return
        best = found.runs[0]
        day.run(best.configuration, best.readings if best.fits == 1 else 1)


def one_at_a_time(day: InventedDay, budget: float, _stated=PLAN) -> None:
    """Run family after family, the largest first, each value on the best so far by its reading; keep what is better."""
    merit = merit_of_day(session_of([(configuration({}), 1.0, 1.0, 1000.0)]))

    def read_merit(row):
        areas = np.array(row[1:])[None] / PRESSURE
        return float(merit.expected(areas, merit.linearised(areas).surplus, np.zeros(1))[0])

    best = configuration({})
    day.run(best)
    most = read_merit(day.rows[-1])
    while day.spent < budget:
        for name, values in FAMILIES.items():
            if name == "gurney_height" and best.value("wing_angle") is None:
                continue
            base = best
            for value in values:
                day.run(base.put(name, value))
                if (now := read_merit(day.rows[-1])) > most:
                    best, most = day.rows[-1][0], now
                if day.spent >= budget:
                    return


def at_random(day: InventedDay, budget: float, _stated=PLAN) -> None:
    """Run whatever comes."""
    day.run(configuration({}))
    while day.spent < budget:
        settings = {
            name: values[day.rng.integers(len(values))]
            for name, values in FAMILIES.items()
            if day.rng.random() < 0.5
        }
        if "wing_angle" not in settings:
            settings.pop("gurney_height", None)
        day.run(configuration(settings))


RULES = {"by worth": by_worth, "one at a time": one_at_a_time, "at random": at_random}
EVERY = tuple(
    configuration({name: value for name, value in zip(FAMILIES, values, strict=True) if value is not None})
    for values in product(*((None, *values) for values in FAMILIES.values()))
    if not (values[3] is not None and values[0] is None)
)
