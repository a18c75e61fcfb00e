"""The registry of quantities: each one's key, term, kind of unit, place in the results, digits and head.

Records, tables, CSV, workbook, sweeps, charts, detail and help are made from it. A quantity is added here, in the law
that computes it, and in the vocabulary.
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Mapping

# fmt: off
QuantityKind = Literal[
    "force", "speed", "area", "power", "density", "dynamic_pressure", "mass", "distance",
    "share", "points", "wheelbase", "ratio", "coefficient", "word", "shares",
]
# fmt: on
"""Those of the units shown, and: a fraction shown in per cent, one in percentage points, one of the wheelbase, a
ratio, a coefficient of SAE J1594, a word, and a share for each of some words."""


class Quantity(NamedTuple):
    """One quantity of a car at a speed.

    ``value``, ``std`` and ``interval`` say where a result holds it, as names with dots between them; empty where it
    has none. ``key`` is its name in every record, with its unit in SI behind it; ``_std`` and ``_interval`` stand behind
    the whole key, unless ``interval_key`` says otherwise. ``digits`` are decimals where no
    uncertainty says better. ``head`` stands over a column, ``title`` over a chart or in a list. A column of higher
    ``priority`` gives way first.
    """

    key: str
    term: str
    kind: QuantityKind
    value: str
    head: str
    title: str
    std: str = ""
    interval: str = ""
    interval_key: str = ""
    digits: int = 0
    priority: int = 9


READING = (
    Quantity("speed_m_s", "speed_of_run", "speed", "own.speed", "speed", "speed of the run", digits=2),
    Quantity("dynamic_pressure_Pa", "dynamic_pressure", "dynamic_pressure", "own.dynamic_pressure",
        "q", "dynamic pressure of the run"),
    Quantity("air_density_kg_m3", "air_density", "density", "own.air_density",
        "density", "air density of the run", digits=4),
    Quantity("air_density_source", "air_density", "word", "own.density_source",
        "density from", "where the density came from"),
    Quantity("front_downforce_area_m2", "downforce_area", "area", "own.front_area",
        "front area", "front downforce area", digits=4),
    Quantity("rear_downforce_area_m2", "downforce_area", "area", "own.rear_area",
        "rear area", "rear downforce area", digits=4),
    Quantity("downforce_area_m2", "downforce_area", "area", "own.downforce_area",
        "DF area", "downforce area", digits=4),
    Quantity("drag_area_m2", "drag_area", "area", "own.drag_area", "CDA", "drag area", digits=4),
    Quantity("drag_coefficient", "drag_coefficient", "coefficient", "own.coefficients.drag",
        "CD", "drag coefficient", digits=3),
    Quantity("lift_coefficient", "lift_coefficient", "coefficient", "own.coefficients.lift",
        "CL", "lift coefficient", digits=3),
    Quantity("front_lift_coefficient", "front_lift_coefficient", "coefficient", "own.coefficients.front_lift",
        "CLF", "front lift coefficient", digits=3),
    Quantity("rear_lift_coefficient", "rear_lift_coefficient", "coefficient", "own.coefficients.rear_lift",
        "CLR", "rear lift coefficient", digits=3),
    Quantity("pitching_moment_coefficient", "pitching_moment_coefficient", "coefficient", "own.coefficients.pitching_moment",
        "CPM", "pitching-moment coefficient", digits=3),
)  # fmt: skip
"""What a run's own reading says, at its own speed and air."""

AT_SPEED = (
    Quantity("front_downforce_N", "downforce", "force", "handling.nominal.front_downforce",
        "front", "front downforce", std="handling.stds.front", priority=1),
    Quantity("rear_downforce_N", "downforce", "force", "handling.nominal.rear_downforce",
        "rear", "rear downforce", std="handling.stds.rear", priority=1),
    Quantity("drag_N", "drag", "force", "handling.nominal.drag",
        "drag", "drag", std="handling.stds.drag", priority=5),
    Quantity("downforce_N", "downforce", "force", "handling.nominal.downforce",
        "total", "total downforce", std="handling.stds.total", priority=7),
    Quantity("drag_power_W", "drag_power", "power", "handling.drag_power",
        "power", "drag power", digits=1, std="handling.drag_power_std", priority=11),
    Quantity("downforce_to_drag", "downforce_to_drag", "ratio", "handling.nominal.downforce_to_drag",
        "car DF/D", "downforce to drag of the car", digits=2),
    Quantity("aero_balance", "aero_balance", "share", "handling.aero_balance.value",
        "aero bal", "aero balance, at the front", digits=1, std="handling.aero_balance.std"),
    Quantity("balance_offset", "balance_offset", "points", "handling.balance_offset",
        "behind wt", "aero balance behind weight, negative rearward", digits=1),
    Quantity("front_added_load", "front_added_load", "share", "handling.nominal.front_added_load",
        "add F", "added load, front", digits=1),
    Quantity("rear_added_load", "rear_added_load", "share", "handling.nominal.rear_added_load",
        "add R", "added load, rear", digits=1),
    Quantity("front_load_share", "front_load_share", "share", "handling.nominal.front_load_share",
        "load F", "wheel-load share, front", digits=1, priority=8),
    Quantity("neutral_steer_shift", "neutral_steer_shift", "wheelbase", "handling.neutral_steer_shift.value",
        "NS shift", "neutral-steer shift", digits=2, std="handling.neutral_steer_shift.std", priority=10),
    Quantity("grip_surplus", "grip_surplus", "share", "handling.grip_surplus.value",
        "grip R−F", "grip balance, rear over front", digits=1, std="handling.grip_surplus.std", interval="handling.grip_surplus", priority=8),
    Quantity("grip_surplus_driven", "grip_surplus_driven", "share", "handling.grip_surplus_driven.value",
        "powered", "grip balance under power", digits=1, interval="handling.grip_surplus_driven"),
    Quantity("verdict", "verdict", "word", "handling.verdicts.word", "verdict", "verdict", priority=0),
    Quantity("nominal_verdict", "verdict", "word", "handling.verdicts.nominal",
        "nominal verdict", "verdict of the figure without its uncertainty"),
    Quantity("verdict_probability", "verdict_probability", "share", "handling.verdicts.probability",
        "verdict probability", "draws in the nominal class", digits=1),
    Quantity("verdict_shares", "verdict_probability", "shares", "handling.verdicts.shares",
        "verdict shares", "draws in each class", digits=1),
)  # fmt: skip
"""What depends on the speed, for a run of a table or a speed of a sweep."""

FORCES = AT_SPEED[:4]
"""Front, rear, drag and total downforce."""

LIMITS = (
    Quantity("onset_speed_m_s", "onset_speed", "speed", "onsets.speed",
        "from", "speed from which a limit is passed", interval="onsets", interval_key="onset_speed_interval_m_s"),
    Quantity("onset_verdict", "onset_speed", "word", "onsets.class_reached",
        "verdict from", "class past the limit"),
    Quantity("onset_speed_driven_m_s", "onset_speed", "speed", "onsets.driven_speed",
        "from, powered", "speed from which a limit is passed under power"),
    Quantity("onset_driven_verdict", "onset_speed", "word", "onsets.driven_class_reached",
        "verdict from, powered", "class past the limit under power"),
    Quantity("lift_off_speed_m_s", "lift_off_speed", "speed", "onsets.lift_off_speed",
        "unloads", "axle unloading speed"),
    Quantity("lift_off_axle", "lift_off_speed", "word", "onsets.lift_off_axle",
        "unloaded axle", "axle that the air unloads"),
)  # fmt: skip
"""Speeds from which something changes."""

RANGE = (
    Quantity("range_verdict", "range_verdict", "word", "over_range.word",
        "over range", "worst verdict over all speeds of the car"),
    Quantity("range_verdict_at_m_s", "range_verdict", "speed", "over_range.at",
        "worst at", "speed at which the verdict is worst"),
    Quantity("leaves_band_at_m_s", "leaves_band", "speed", "over_range.leaves",
        "in bal. to", "speed up to which the car is in balance", interval="over_range.leaving", interval_key="leaves_band_at_m_s_interval", priority=0),
    Quantity("understeer_under_power_at_m_s", "leaves_band", "speed", "over_range.power_understeer",
        "power US", "speed from which power brings more understeer than the limit"),
)  # fmt: skip
"""What holds over every speed that the car sees, for a configuration."""


@cache
def quantities() -> Mapping[str, Quantity]:
    """Return every quantity by its key.

    Examples
    --------
    >>> quantities()["drag_N"].kind
    'force'
    """
    return MappingProxyType({one.key: one for one in (*READING, *AT_SPEED, *LIMITS, *RANGE)})


class Meaning(NamedTuple):
    """What a key of a record stands for: the key of its term, and its unit in SI (``none`` for a word or a group)."""

    term: str
    unit: str


UNITS = {
    "_N_per_run": "N",
    "_kg_m3": "kg/m^3",
    "_m_s": "m/s",
    "_m2": "m^2",
    "_Pa": "Pa",
    "_kg": "kg",
    "_N": "N",
    "_W": "W",
    "_m": "m",
}
"""Units that stand behind a key, the longest first."""
_ROLES = ("_interval", "_std", "_resolved", "_detectable", "_at_rest", "_drag_at_ground", "_driven")
_CHANGES = {
    "_change": "increment",
    "_drift": "drift",
    "_shift": "day_shift",
    "_departure": "joined_days",
    "_interaction": "interaction",
    "_sum_of_parts": "interaction",
    "_together": "interaction",
}
"""What stands between a quantity and its unit where the figure is a difference."""
_NUMBERS = {  # without unit and role
    "target_surplus": "target_surplus moved_toward_target",
    "axle": "front rear",
    "downforce": "total downforce",
    "mount_load": "together ratio_to_tested",
    "static_axle_weight": "weights",
    "speed_of_interest": "speed",
    "power_speed_m_s": "power_speed",
    "tyre_load": "load capacity",
    "repeatability": "deviations repeats_over_facility",
    "smallest_detectable_difference": "size smallest_detectable_difference power",
    "trim": "missing_front missing_rear",
    "grip_surplus": "grip_surplus_drag_at_ground",
    "place_of_action": "behind_rear_axle mounted_behind_rear_axle height",
    "cost_ratio": "downforce_per_drag",
    "interval": "confidence",
    "stall": "stalled_share",
    "front_weight_share": "front_weight_share",
    "drag": "drag",
    "mass": "mass",
    "wheelbase": "wheelbase",
    "air_density": "air_density",
    "top_speed": "top_speed",
    "static_margin": "static_margin",
    "least_significant_difference": "least_significant_difference",
    "draws": "draws",
    "seed": "seed",
    "degrees_of_freedom": "degrees_of_freedom",
    "reached_share": "reached_share",
}
"""Figures that are no registered quantity, by the term that explains them."""
_WORDS = {
    "record": (
        "format session title date vehicle name notes warnings sentence summary value low high kind unit range limit "
        "limits source channels assumed agreement used note confirmed_by"
    ),
    "assumption": "assumptions",
    "axle": "axle own_axle class_by_axle",
    "baseline": "baseline baseline_day base_runs baseline_runs second_baseline interpolated_by interpolated_share mirrors shows_part",
    "block": "block",
    "configuration": "configuration configurations differs readings fits",
    "range_verdict": "range_m_s edge with_drive beyond_tested range_verdict_before range_verdict_after changes_range_verdict",
    "compared_column": "columns",
    "recorded_column": "seen",
    "cost_ratio": "case downforce_per_drag_as_typed downforce_per_drag_set",
    "day_shift": "shifts against_day against_block departures",
    "drift": "drift brackets correction_offered drift_corrected drift_taken_out pattern returned span_runs",
    "facility": "facility",
    "fixed_floor": "floor",
    "joined_days": "day days folder car against tied tied_by compared",
    "interaction": "interactions first_runs second_runs together_runs",
    "grip_load_exponent": "exponents grip",
    "stiffness_load_exponent": "stiffness",
    "mount_load": "mount_load_at_top_speed",
    "next_car": "from_library",
    "package": "package",
    "part_class": "class",
    "place_of_action": "height_assumed acts_far_from_mounting place_unresolved",
    "point": "points",
    "proposed_baseline": "baseline_proposed baseline_later",
    "repeat": "repeats",
    "repeatability": "repeatability refitted_repeats car_changed_in_between within_fit_N between_fits_N fits",
    "run": "run runs status from_run",
    "shared_day": "facility_name pooled_with",
    "setting": "setting settings from to from_value value_in_unit tested family",
    "smallest_detectable_difference": "runs_on_each_side",
    "stall": "stalled next_to_stall useful_range_ends_because",
    "possibly_stalled": "possibly_stalled",
    "levels_off": "levels_off",
    "suspect": "suspect",
    "sweep": "curves steps tested_range",
    "adjuster": "holes hole",
    "trim": "solutions alternatives closest needed_for_setting target before ways way assumes measured to_target outside_at_a_place",
    "tyre_load": "tyres_at_top_speed load_index speed_symbol exceeded",
    "untouched_repeats": "untouched_repeats untouched_repeats_only refit_assumed",
    "useful_range": "useful_range inside_useful_range",
    "overturned_by": "overturned_by what relative at_m_s",
    "verdict": "verdict_before verdict_after changes_verdict",
    "what_if": "what_if what_ifs start result change parts on off",
    "tolerance": "tolerance",
    "interval": "interval",
}
"""Keys that hold words or groups, by the term that explains them."""


def _by_key(table: Mapping[str, str]) -> Mapping[str, str]:
    """Turn keys by their term into terms by their key."""
    return MappingProxyType({key: term for term, keys in table.items() for key in keys.split()})


_TERM_OF_NUMBER = {**_by_key(_NUMBERS), "surplus": "grip_surplus"}
_TERM_OF_WORD = _by_key(_WORDS)


def meaning(key: str) -> Meaning | None:
    """Return what a key of any record stands for.

    Examples
    --------
    >>> meaning("drag_power_W_std")
    Meaning(term='drag_power', unit='W')
    >>> meaning("rear_downforce_change_N_interval").term
    'increment'
    """
    known = quantities()
    if key in _TERM_OF_WORD:
        return Meaning(_TERM_OF_WORD[key], "none")
    bare = key.replace("_interval_m_s", "_m_s")
    while bare not in known and any(bare.endswith(role) for role in _ROLES):
        bare = next(bare.removesuffix(role) for role in _ROLES if bare.endswith(role))
    suffix = next((suffix for suffix in UNITS if bare.endswith(suffix)), "")
    if bare in known:
        word = known[bare].kind in ("word", "shares")
        return Meaning(known[bare].term, "none" if word else UNITS.get(suffix, "1"))
    stem, unit = bare.removesuffix(suffix), UNITS.get(suffix, "1")
    for role in _ROLES:
        stem = stem.removesuffix(role)
    if stem in _TERM_OF_NUMBER:
        return Meaning(_TERM_OF_NUMBER[stem], unit)
    change = next((change for change in _CHANGES if stem.endswith(change)), "")
    stem = stem.removesuffix(change)
    if change and any(f"{stem}{ending}" in known for ending in ("", *UNITS)):
        return Meaning(_CHANGES[change], unit)
    return None
