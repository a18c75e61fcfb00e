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
    Quantity(
        key="speed_m_s", term="speed_of_run", kind="speed", value="own.speed",
        digits=2, head="speed", title="speed of the run",
    ),
    Quantity(
        key="dynamic_pressure_Pa", term="dynamic_pressure", kind="dynamic_pressure",
        value="own.dynamic_pressure", head="q", title="dynamic pressure of the run",
    ),
    Quantity(
        key="air_density_kg_m3", term="air_density", kind="density", value="own.air_density",
        digits=4, head="density", title="air density of the run",
    ),
    Quantity(
        key="air_density_source", term="air_density", kind="word", value="own.density_source",
        head="density from", title="where the density came from",
    ),
    Quantity(
        key="front_downforce_area_m2", term="downforce_area", kind="area", value="own.front_area",
        digits=4, head="front area", title="front downforce area",
    ),
    Quantity(
        key="rear_downforce_area_m2", term="downforce_area", kind="area", value="own.rear_area",
        digits=4, head="rear area", title="rear downforce area",
    ),
    Quantity(
        key="downforce_area_m2", term="downforce_area", kind="area", value="own.downforce_area",
        digits=4, head="DF area", title="downforce area",
    ),
    Quantity(
        key="drag_area_m2", term="drag_area", kind="area", value="own.drag_area",
        digits=4, head="CDA", title="drag area",
    ),
    Quantity(
        key="drag_coefficient", term="drag_coefficient", kind="coefficient", value="own.coefficients.drag",
        digits=3, head="CD", title="drag coefficient",
    ),
    Quantity(
        key="lift_coefficient", term="lift_coefficient", kind="coefficient", value="own.coefficients.lift",
        digits=3, head="CL", title="lift coefficient",
    ),
    Quantity(
        key="front_lift_coefficient", term="front_lift_coefficient", kind="coefficient",
        value="own.coefficients.front_lift", digits=3, head="CLF", title="front lift coefficient",
    ),
    Quantity(
        key="rear_lift_coefficient", term="rear_lift_coefficient", kind="coefficient",
        value="own.coefficients.rear_lift", digits=3, head="CLR", title="rear lift coefficient",
    ),
    Quantity(
        key="pitching_moment_coefficient", term="pitching_moment_coefficient", kind="coefficient",
        value="own.coefficients.pitching_moment", digits=3, head="CPM", title="pitching-moment coefficient",
    ),
)  # fmt: skip
"""What a run's own reading says, at its own speed and air."""

AT_SPEED = (
    Quantity(
        key="front_downforce_N", term="downforce", kind="force", value="handling.nominal.front_downforce",
        std="handling.stds.front", head="front", title="front downforce", priority=1,
    ),
    Quantity(
        key="rear_downforce_N", term="downforce", kind="force", value="handling.nominal.rear_downforce",
        std="handling.stds.rear", head="rear", title="rear downforce", priority=1,
    ),
    Quantity(
        key="drag_N", term="drag", kind="force", value="handling.nominal.drag", std="handling.stds.drag",
        head="drag", title="drag", priority=5,
    ),
    Quantity(
        key="downforce_N", term="downforce", kind="force", value="handling.nominal.downforce", std="handling.stds.total",
        head="total", title="total downforce", priority=7,
    ),
    Quantity(
        key="drag_power_W", term="drag_power", kind="power", value="handling.drag_power", std="handling.drag_power_std",
        digits=1, head="power", title="drag power", priority=11,
    ),
    Quantity(
        key="downforce_to_drag", term="downforce_to_drag", kind="ratio", value="handling.nominal.downforce_to_drag",
        digits=2, head="car DF/D", title="downforce to drag of the car",
    ),
    Quantity(
        key="aero_balance", term="aero_balance", kind="share", value="handling.aero_balance.value",
        std="handling.aero_balance.std", digits=1, head="aero bal", title="aero balance, at the front",
    ),
    Quantity(
        key="balance_offset", term="balance_offset", kind="points", value="handling.balance_offset",
        digits=1, head="behind wt", title="aero balance behind weight, negative rearward",
    ),
    Quantity(
        key="front_added_load", term="front_added_load", kind="share", value="handling.nominal.front_added_load",
        digits=1, head="add F", title="added load, front",
    ),
    Quantity(
        key="rear_added_load", term="rear_added_load", kind="share", value="handling.nominal.rear_added_load",
        digits=1, head="add R", title="added load, rear",
    ),
    Quantity(
        key="front_load_share", term="front_load_share", kind="share", value="handling.nominal.front_load_share",
        digits=1, head="load F", title="wheel-load share, front", priority=8,
    ),
    Quantity(
        key="neutral_steer_shift", term="neutral_steer_shift", kind="wheelbase",
        value="handling.neutral_steer_shift.value", std="handling.neutral_steer_shift.std",
        digits=2, head="NS shift", title="neutral-steer shift", priority=10,
    ),
    Quantity(
        key="grip_surplus", term="grip_surplus", kind="share", value="handling.grip_surplus.value",
        std="handling.grip_surplus.std", interval="handling.grip_surplus",
        digits=1, head="grip R−F", title="grip balance, rear over front", priority=8,
    ),
    Quantity(
        key="grip_surplus_driven", term="grip_surplus_driven", kind="share",
        value="handling.grip_surplus_driven.value", interval="handling.grip_surplus_driven",
        digits=1, head="powered", title="grip balance under power",
    ),
    Quantity(
        key="verdict", term="verdict", kind="word", value="handling.verdicts.word", head="verdict", title="verdict",
        priority=0,
    ),
    Quantity(
        key="nominal_verdict", term="verdict", kind="word", value="handling.verdicts.nominal",
        head="nominal verdict", title="verdict of the figure without its uncertainty",
    ),
    Quantity(
        key="verdict_probability", term="verdict_probability", kind="share", value="handling.verdicts.probability",
        digits=1, head="verdict probability", title="draws in the nominal class",
    ),
    Quantity(
        key="verdict_shares", term="verdict_probability", kind="shares", value="handling.verdicts.shares",
        digits=1, head="verdict shares", title="draws in each class",
    ),
)  # fmt: skip
"""What depends on the speed, for a run of a table or a speed of a sweep."""

FORCES = AT_SPEED[:4]
"""Front, rear, drag and total downforce."""

LIMITS = (
    Quantity(
        key="onset_speed_m_s", term="onset_speed", kind="speed", value="onsets.speed", interval="onsets",
        interval_key="onset_speed_interval_m_s", head="from", title="speed from which a limit is passed",
    ),
    Quantity(
        key="onset_verdict", term="onset_speed", kind="word", value="onsets.class_reached",
        head="verdict from", title="class past the limit",
    ),
    Quantity(
        key="onset_speed_driven_m_s", term="onset_speed", kind="speed", value="onsets.driven_speed",
        head="from, powered", title="speed from which a limit is passed under power",
    ),
    Quantity(
        key="onset_driven_verdict", term="onset_speed", kind="word", value="onsets.driven_class_reached",
        head="verdict from, powered", title="class past the limit under power",
    ),
    Quantity(
        key="lift_off_speed_m_s", term="lift_off_speed", kind="speed", value="onsets.lift_off_speed",
        head="unloads", title="axle unloading speed",
    ),
    Quantity(
        key="lift_off_axle", term="lift_off_speed", kind="word", value="onsets.lift_off_axle",
        head="unloaded axle", title="axle that the air unloads",
    ),
)  # fmt: skip
"""Speeds from which something changes."""

RANGE = (
    Quantity(
        key="range_verdict", term="range_verdict", kind="word", value="over_range.word",
        head="over range", title="worst verdict over all speeds of the car",
    ),
    Quantity(
        key="range_verdict_at_m_s", term="range_verdict", kind="speed", value="over_range.at",
        head="worst at", title="speed at which the verdict is worst",
    ),
    Quantity(
        key="leaves_band_at_m_s", term="leaves_band", kind="speed", value="over_range.leaves", interval="over_range.leaving",
        interval_key="leaves_band_at_m_s_interval", head="in bal. to", title="speed up to which the car is in balance",
        priority=0,
    ),
    Quantity(
        key="understeer_under_power_at_m_s", term="leaves_band", kind="speed", value="over_range.power_understeer",
        head="power US", title="speed from which power brings more understeer than the limit",
    ),
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
    "front_weight_share": "front_weight_share",
    "target_surplus": "target_surplus",
    "front": "axle",
    "rear": "axle",
    "total": "downforce",
    "drag": "drag",
    "downforce": "downforce",
    "together": "mount_load",
    "mass": "mass",
    "weights": "static_axle_weight",
    "wheelbase": "wheelbase",
    "speed": "speed_of_interest",
    "air_density": "air_density",
    "top_speed": "top_speed",
    "power_speed": "power_speed_m_s",
    "static_margin": "static_margin",
    "load": "tyre_load",
    "capacity": "tyre_load",
    "deviations": "repeatability",
    "size": "smallest_detectable_difference",
    "least_significant_difference": "least_significant_difference",
    "smallest_detectable_difference": "smallest_detectable_difference",
    "missing_front": "trim",
    "grip_surplus_drag_at_ground": "grip_surplus",
    "surplus": "grip_surplus",
    "missing_rear": "trim",
    "behind_rear_axle": "place_of_action",
    "mounted_behind_rear_axle": "place_of_action",
    "height": "place_of_action",
    "downforce_per_drag": "cost_ratio",
    "confidence": "interval",
    "draws": "draws",
    "seed": "seed",
    "degrees_of_freedom": "degrees_of_freedom",
    "power": "smallest_detectable_difference",
    "stalled_share": "stall",
    "reached_share": "reached_share",
    "ratio_to_tested": "mount_load",
    "repeats_over_facility": "repeatability",
    "moved_toward_target": "target_surplus",
}
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


@cache
def _words() -> Mapping[str, str]:
    return MappingProxyType({key: term for term, keys in _WORDS.items() for key in keys.split()})


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
    if key in _words():
        return Meaning(_words()[key], "none")
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
    if stem in _NUMBERS:
        return Meaning(_NUMBERS[stem], unit)
    change = next((change for change in _CHANGES if stem.endswith(change)), "")
    stem = stem.removesuffix(change)
    if change and any(f"{stem}{ending}" in known for ending in ("", *UNITS)):
        return Meaning(_CHANGES[change], unit)
    return None
