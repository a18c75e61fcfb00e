"""What one run changed against its baseline."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from balance.compare.classes import PartClass
    from balance.compare.contrasts import Change
    from balance.compare.pairing import Between
    from balance.compare.ratios import CostRatio


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Increment:
    """What one run changed against its baseline, at one dynamic pressure.

    Attributes
    ----------
    run, baseline : str
        Labels of the two.
    runs, baseline_runs : tuple of str
        The runs averaged on either side, the two above among them.
    second_baseline : str or None
        The later of two baselines around the run.
    between : Between or None
        Where the run stands between the two, and what that goes by.
    proposed : bool
        Nobody named the baseline: it is the nearest fair one.
    later : bool
        The proposed baseline was run after the run, for want of an earlier one.
    differs : tuple of str
        Settings in which the two differ; ``configuration`` where only the label does; empty for a repeat.
    package : bool
        They differ in more than one setting.
    suspect : tuple of str
        Runs on either side that are marked suspect.
    mirrors : str or None
        The run whose increment this one is, turned round.
    weights : numpy.ndarray
        (runs,) of the contrast over the session's used readings. [1]
    front_downforce, rear_downforce, downforce, drag : Change
        The changes, drift corrected where that was asked for and offered. [N]
    ratio : CostRatio
        Downforce per drag, by the day's scatter.
    rounded_ratio : CostRatio
        The same by the rounding of the typed figures alone: limits, for a session whose scatter is unknown.
    part_class : PartClass
        What the part did.
    by_axle : str or None
        The axle that stood for an unresolved total in that class.
    dynamic_pressure : float
        At which the changes are stated. [Pa]
    notes : tuple of str
        What has to be said with it.
    """

    run: str
    baseline: str
    runs: tuple[str, ...]
    baseline_runs: tuple[str, ...]
    second_baseline: str | None
    between: Between | None
    proposed: bool
    later: bool
    differs: tuple[str, ...]
    package: bool
    suspect: tuple[str, ...]
    mirrors: str | None
    weights: NDArray[np.float64]
    front_downforce: Change
    rear_downforce: Change
    downforce: Change
    drag: Change
    ratio: CostRatio
    rounded_ratio: CostRatio
    part_class: PartClass
    by_axle: str | None
    dynamic_pressure: float
    notes: tuple[str, ...]
