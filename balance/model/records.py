"""What a car, a session and its runs are: frozen, in SI, with no input or output.

Lift and downforce: readings are kept as *downforce* (positive down), whichever sign the file had;
the column that a reading came from remembers the file's own name, unit and sign.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from balance.model.kinds import with_unit

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Hashable, Mapping

    from balance.model.channels import Channel
    from balance.model.tracks import Track

HALF_95 = 1.959963984540054
"""Standard deviations of a normal distribution in half of its 95 % interval."""
USUAL_FRONT_TOLERANCE = 0.015
"""How far the front may gain on the rear unless a car's file says otherwise; the danger is told from there on."""
USUAL_FRICTION = 1.1
"""Friction of the tyres where the car's file states none; a typical value, no source. [1]"""
Form = Literal["force", "area", "coefficient"]
Driven = Literal["front", "rear", "both"]
Status = Literal["good", "suspect", "void"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """A quantity as somebody stated it, in SI: ``value``, and ``std``, its standard uncertainty where stated.

    ``exact`` says that no uncertainty is to be assumed. One that says nothing of its uncertainty is not ``explicit``.
    """

    value: float
    std: float | None = None
    exact: bool = False

    @property
    def explicit(self) -> bool:
        """Whether something was said of the uncertainty."""
        return self.exact or self.std is not None


def std_of(one: Stated | None) -> float:
    """Return the standard uncertainty that was stated of a figure; 0 where nothing was said, or *exactly*."""
    return 0.0 if one is None or one.std is None else one.std


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadExponent:
    """How a tyre property grows with load: the exponent of each axle, and whether it was assumed."""

    front: float
    rear: float
    assumed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreRating:
    """What is moulded on a tyre's side: load index and speed symbol."""

    load_index: int
    speed_symbol: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What the engineer aims at: grip surplus, rear over front, and the band around balance.

    The front over the rear is the dangerous side: ``front_widened`` says that it was opened beyond what is usual.
    """

    grip_surplus: float = 0.0
    rear_tolerance: float = 0.03
    front_tolerance: float = USUAL_FRONT_TOLERANCE
    tolerance_assumed: bool = True
    front_tolerance_assumed: bool = True

    @property
    def front_widened(self) -> bool:
        """Whether more of the front over the rear is allowed than is usual."""
        return self.front_tolerance > USUAL_FRONT_TOLERANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjuster:
    """What a setting can really be put to: its holes by name, and the limits that the series sets.

    Figures are in ``unit``: that of the setting's column once the session is loaded.
    """

    setting: str
    unit: str
    holes: tuple[tuple[str, float], ...] = ()
    low: float | None = None
    high: float | None = None
    confirmed_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedMass:
    """A mass [kg], negative where it is taken out, its distance behind the front axle [m], what was said of either."""

    name: str
    mass: float
    behind_front_axle: float
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loading:
    """A named way to load the car: what is put in, or taken out, of the car as it stood on the scales."""

    name: str
    masses: tuple[PlacedMass, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounting:
    """Where the part of a setting stands: behind the rear axle (negative ahead of it) and above the ground [m]."""

    setting: str
    behind_rear_axle: float
    height: float
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What may explain that a part does more on one car than on another: kind in free words, an angle [rad], heights [m]."""

    kind: str = ""
    rear_glass_angle: float | None = None
    front_ride_height: float | None = None
    rear_ride_height: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """What a part costs: the setting it belongs to, at one ``value`` or fitted at all, its mass [kg], what it needs.

    ``value`` is in the unit of the setting's column once the session is loaded.
    """

    name: str
    setting: str
    value: float | str | None
    price: float
    currency: str = ""
    mass: float = 0.0
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """A car as it runs, driver and fuel on board. SI; ``front_share`` of the static weight, 0 to 1.

    ``uncertainties`` holds, by the dotted keys of its file as in ``mass.front_share``, each quantity of whose uncertainty
    the file says something.
    """

    name: str
    mass: float
    front_share: float
    wheelbase: float
    note: str = ""
    corners: tuple[float, float, float, float] | None = None
    cg_height: float | None = None
    front_track: float | None = None
    rear_track: float | None = None
    frontal_area: float | None = None
    power: float | None = None
    driven: Driven | None = None
    top_speed: float | None = None
    power_curve: tuple[tuple[float, float], ...] | None = None
    losses: float | None = None
    rolling_resistance: float | None = None
    brake_front_share: float | None = None
    friction: float | None = None
    stiffness_exponent: LoadExponent
    grip_exponent: LoadExponent
    static_margin: float | None = None
    front_tyre: TyreRating | None = None
    rear_tyre: TyreRating | None = None
    target: Target = Target()
    body: Body = Body()
    adjusters: tuple[Adjuster, ...] = ()
    loadings: tuple[Loading, ...] = ()
    mountings: tuple[Mounting, ...] = ()
    prices: tuple[Price, ...] = ()
    source: str = ""
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)

    @property
    def tyre_friction(self) -> float:
        """Friction of the tyres at the static load: as stated, else the usual one."""
        return USUAL_FRICTION if self.friction is None else self.friction


@dataclass(frozen=True, slots=True, kw_only=True)
class Triple:
    """One figure for each measured channel: front downforce, rear downforce, drag."""

    front: float
    rear: float
    drag: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionalTriple:
    """One figure for each measured channel, where stated."""

    front: float | None = None
    rear: float | None = None
    drag: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """Where the readings of a channel, or of the total, stood in the file: header name, unit, form, and sign."""

    name: str
    unit: str
    form: Form
    positive_up: bool = False


LENGTHS = frozenset({"mm", "cm", "m", "in", "ft"})
"""Units of a setting that is a length."""
_OFF = frozenset({"n", "no", "none", "off", "without", "not fitted"})
_ON = frozenset({"y", "yes", "on", "fitted"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting of a run: a number in the unit of its column, or a text."""

    value: float | str
    unit: str = ""
    resolution: float = field(default=0.0, compare=False)
    """Half of the last digit that was typed, of a record that is a number."""

    @property
    def numeric(self) -> bool:
        """Whether the setting is a number, so that a curve can be drawn over it."""
        return not isinstance(self.value, str)

    @property
    def off(self) -> bool:
        """Whether the value itself tells that the part is not on the car: a length of nothing, or a word for no."""
        if isinstance(self.value, str):
            return self.value.strip().casefold() in _OFF
        return self.value == 0.0 and self.unit in LENGTHS

    @property
    def on(self) -> bool:
        """Whether the value tells no more than that the part is on the car: a word for yes."""
        return isinstance(self.value, str) and self.value.strip().casefold() in _ON

    @property
    def text(self) -> str:
        """The value with its unit."""
        return self.value if isinstance(self.value, str) else with_unit(f"{self.value:g}", self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run: what was fitted, and what the facility read.

    ``reading`` is downforce positive down and drag positive rearward, each in SI of its column's
    form (N, m², or 1); ``total`` is the downforce of both axles together, where that was read as well, in the form of
    the axles and used for a second look alone. ``resolution`` is half of the last digit that was typed, in the same unit.
    Speed [m/s], temperature [K], pressure [Pa], humidity [1] are the run's own, where recorded.
    """

    label: str
    configuration: str
    reading: Triple
    resolution: Triple
    settings: Mapping[str, Setting] = field(default_factory=dict)
    recorded: Mapping[str, Setting] = field(default_factory=dict)
    speed: float | None = None
    temperature: float | None = None
    pressure: float | None = None
    humidity: float | None = None
    baseline: str | None = None
    second_baseline: str | None = None
    """The later of two baselines around the run, between which it is interpolated."""
    repeat_of: str | None = None
    block: str = ""
    status: Status = "good"
    reason: str = ""
    time: str = ""
    operator: str = ""
    note: str = ""
    loading: str = ""
    total: float | None = None
    line: int = 0

    @property
    def settings_key(self) -> Hashable:
        """What it was set to, every setting with its unit: the same on another day. What was recorded does not count."""
        return tuple(sorted((name, one.unit, one.value) for name, one in self.settings.items()))

    @property
    def configuration_key(self) -> Hashable:
        """What was fitted: equal for runs of one label and the same settings."""
        return self.configuration, self.settings_key

    @property
    def key_over_days(self) -> Hashable:
        """What was fitted, the same on another day: upper and lower case and spaces of the label aside."""
        return " ".join(self.configuration.casefold().split()), self.settings_key


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedRepeatability:
    """The facility's standard deviation of one reading per channel, in N or as a coefficient.

    ``systematic`` is a standard uncertainty common to every reading of the session, in the same form.
    """

    deviation: OptionalTriple
    form: Literal["force", "coefficient"] = "force"
    degrees_of_freedom: float = 4.0
    degrees_assumed: bool = True
    systematic: OptionalTriple = OptionalTriple()


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedColumn:
    """A recorded column whose values are compared as a channel's are; figures in ``unit``, that of the file.

    It ``scales`` where it grows with dynamic pressure as a force does; an ``absolute`` pressure does not. ``deviation`` is
    the facility's standard deviation of one value, where stated; ``factor`` turns a difference into ``si_unit``.
    """

    name: str
    unit: str
    scales: bool = False
    deviation: float | None = None
    si_unit: str = ""
    factor: float = 1.0
    absolute: bool = False
    """Whether its values turned out to be pressures that no flow past the car makes."""

    @property
    def title(self) -> str:
        """What people call it."""
        return self.name.replace("_", " ")


@dataclass(frozen=True, slots=True, kw_only=True)
class Facility:
    """Where the readings were taken. Speed [m/s] and air density [kg/m³] hold for runs without their own."""

    speed: float
    air_density: float
    name: str = ""
    """As it is called; days of one name share what is known of its repeatability."""
    kind: str | None = None
    floor: str | None = None
    restated: bool = False
    reference_area: float | None = None
    drag_reacted_at: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A named place on the customer's tracks, and the speed [m/s] the car has there.

    One that stands on a ``track``, so far along its line [m], has no speed before its day is reduced.
    """

    name: str
    speed: float
    track_name: str = ""
    distance: float | None = None
    track: Track | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A day's runs of one car, in running order. ``runs`` holds void runs too."""

    title: str
    vehicle: Vehicle
    facility: Facility
    runs: tuple[Run, ...]
    columns: Mapping[Channel, Column]
    date: dt.date | None = None
    repeatability: StatedRepeatability | None = None
    places: tuple[Place, ...] = ()
    setting_names: tuple[str, ...] = ()
    recorded_names: tuple[str, ...] = ()
    compared: tuple[ComparedColumn, ...] = ()
    """Recorded columns that are compared like channels, and enter no balance."""
    folder: str = ""
    shown_force: str | None = None
    """Unit in which forces are to be shown, where session.toml says it."""
    total_column: Column | None = None
    file_format: int = 1
    """Of session.toml, which says how runs.csv is read."""
    notes: tuple[str, ...] = ()
    alongside: tuple[Session, ...] = ()
    """Days of other cars in the same hired hours, whose readings tell of the facility as those of this day do."""
    left_out: tuple[str, ...] = ()
    """Which of those that session.toml names are no such days, which figures of the car fit no column; and why."""
    uncertainties: Mapping[str, Stated] = field(default_factory=dict, hash=False)
    """What session.toml says of the uncertainty of its quantities, by its dotted keys, as ``places.0.speed``."""

    @property
    def speed_shown(self) -> float:
        """The speed at which screens, printed tables and the report show loads: the first named one, else the day's."""
        speeds = [place.speed for place in self.places if place.speed == place.speed]  # none is no number
        return speeds[0] if speeds else self.facility.speed

    @property
    def reference_area(self) -> float:
        """The area behind the facility's coefficients, before the car's [m²]; not a number where neither is stated."""
        area = self.facility.reference_area or self.vehicle.frontal_area
        return float("nan") if area is None else area

    @property
    def columns_with_values(self) -> tuple[ComparedColumn, ...]:
        """The compared columns of which a run that counts has a value, in the order in which they are listed."""
        return tuple(one for one in self.compared if any(one.name in run.recorded for run in self.used))

    def same_day(self, other: Session) -> bool:
        """Return whether two days are one: the same folder, or the same runs on the same date, as a copy has them."""
        same_folder = bool(self.folder) and self.folder == other.folder
        return same_folder or (self.date == other.date and self.runs == other.runs)

    @property
    def used(self) -> tuple[Run, ...]:
        """The runs that count: all but the void ones."""
        return tuple(run for run in self.runs if run.status != "void")
