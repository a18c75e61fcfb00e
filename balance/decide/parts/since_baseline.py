"""Which runs stand or fall with one that was found wrong: those since the last good baseline."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.model.errors import UnknownName
from balance.reduce.repeats import configurations

if TYPE_CHECKING:
    from balance.model.records import Session


def runs_since_baseline(session: Session, label: str) -> tuple[str, ...]:
    """Name the runs that a fault found in one run may have spoilt as well.

    Parameters
    ----------
    session : Session
        The day so far. [1]
    label : str
        The run in which the fault was found. [1]

    Returns
    -------
    tuple of str
        Labels in running order, void runs left out: those after the last good run of the day's baseline, up
        to and with the run itself. [1]

    Raises
    ------
    UnknownName
        If there is no such run.

    Notes
    -----
    The day's baseline is the configuration of its first run that counts. What was right when the baseline was
    run can only have gone wrong since.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    A day whose third run is the baseline again::

        runs_since_baseline(session, "5")          # ('4', '5')
    """
    labels = tuple(run.label for run in session.runs)
    if label not in labels:
        raise UnknownName("run", label, labels)
    last = labels.index(label)
    runs = tuple(run for run in session.runs[: last + 1] if run.status != "void" or run.label == label)
    baseline = configurations(runs)[0]
    good = [place for place in baseline if runs[place].status == "good" and runs[place].label != label]
    first = max(good) + 1 if good else 0
    return tuple(run.label for run in runs[first:])
