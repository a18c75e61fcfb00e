"""What stands over and under everything said of parts."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.decide.doubts.plausibility import doubted
from balance.model.channels import TOTAL, WITH_TOTAL
from balance.tell.figures import counted, number
from balance.tell.parts.column_text import column_drifts, column_remarks
from balance.tell.parts.part_table import AS_MEASURED, RANKS
from balance.tell.repeatability.drift_words import WHAT_TO_DO, block_lines
from balance.tell.runs.doubt_words import DOUBT_MARK
from balance.tell.words import REFIT_ASSUMED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from balance.decide.parts.parts import Parts
    from balance.tell.figures import Show


def parts_line(parts: Parts, show: Show) -> str:
    """Name speed, density, sign, and how well one reading is known."""
    at = f"at {show.speed(parts.speed)}, {show.quantity('density', parts.air_density)}"
    return f"{at} · run less baseline, downforce positive · {reading_words(parts, show)}"


def parts_banner(
    parts: Parts, *, by_hand: int = 0, order: str | None = None, drift_key: str = "--correct-drift"
) -> list[str]:
    """State what stands over the table of parts: order, baselines chosen by hand, and what to do about scatter."""
    said = [] if order is None else [f"in order of {order}"]
    if wrong := list(doubted(parts.day)):
        said.append(f"{DOUBT_MARK} rests on run{'s' * (len(wrong) > 1)} {', '.join(wrong)}, IN DOUBT")
    scatter = parts.increments.repeatability
    if all(source is None for source in scatter.source):
        said.append(f"NOTHING IS SIGNIFICANT: {WHAT_TO_DO}")
    elif scatter.refit_assumed:
        said.append(f"{REFIT_ASSUMED}, NOTHING IS CALLED SIGNIFICANT: {WHAT_TO_DO}")
    if parts.increments.corrected is not None:
        said.append(drift_word(parts, drift_key))
    said += column_drifts(parts, drift_key)
    if by_hand:
        said.append(f"{counted(by_hand, 'baseline')} chosen by hand, not in runs.csv")
    return said


def drift_word(parts: Parts, key: str) -> str:
    """State whether a drift that is resolved is taken out, and of which parts; ``key`` turns it."""
    taken = _can_be_taken(parts)
    if not any(taken):
        return "a drift is significant, but CANNOT BE REMOVED from these parts"
    if not parts.increments.drift_corrected:
        of_some = "" if all(taken) else f"; of {sum(taken)} of {len(taken)} parts"
        return f"drift is significant and NOT REMOVED ({key} removes it{of_some})"
    not_of = "" if all(taken) else f", not of {AS_MEASURED}"
    return f"DRIFT REMOVED{not_of} ({key} leaves it in)"


def _can_be_taken(parts: Parts) -> list[bool]:
    """Return of each comparison that shows a part whether there is a drift to take out of its figures."""
    increments = parts.increments
    once = {
        (pair.runs, pair.baseline_runs): bool(increments.taken[row])
        for row, pair in enumerate(increments.pairs)
        if pair.shows_part
    }
    return list(once.values())


def reading_words(parts: Parts, show: Show) -> str:
    """State how well one reading is known where parts are concerned, and from what."""
    increments = parts.increments
    taken = _can_be_taken(parts) if increments.drift_corrected else []
    scatter = increments.drifts.fits.repeatability if any(taken) else increments.repeatability
    if all(source is None for source in scatter.source):
        return "one reading: noise unknown"
    unit = show.system.unit("force")
    figures = [
        f"{name} {number(unit.from_si(float(s)), 1)}"
        for name, s in zip(WITH_TOTAL, scatter.deviation, strict=True)
        if math.isfinite(s)
    ]
    source = next(s for s in scatter.source if s is not None).replace(" and", ",")
    source = REFIT_ASSUMED if scatter.refit_assumed else source
    more = ""
    if any(taken) and not all(taken):
        total = number(unit.from_si(float(increments.repeatability.deviation[TOTAL])), 1)
        more = f"; of {AS_MEASURED} as measured: total {total}"
    return f"one reading, sd in {unit.label}: {', '.join(figures)} ({source}){more}"


def left_out_of_rank(parts: Parts, rank: str, rows: Sequence[int]) -> Iterator[str]:
    """State which comparisons a rank leaves out, and why."""
    pairs, labels = parts.increments.pairs, parts.increments.readings.labels
    shown = {(pairs[row].runs, pairs[row].baseline_runs) for row in rows}
    missing = [
        labels[pair.run] for pair in pairs if pair.shows_part and (pair.runs, pair.baseline_runs) not in shown
    ]
    if missing:
        yield f"not in this order ({RANKS[rank][1]}), for want of the figure: runs {', '.join(missing)}"
    repeats = [labels[pair.run] for pair in pairs if not pair.differs]
    if repeats:
        yield f"repeats of their baseline, which show repeatability and no part: runs {', '.join(repeats)}"
    back = [labels[pair.run] for pair in pairs if pair.bare and not pair.proposed]
    if back:
        yield f"baselines that came back, which show no part whatever they are compared with: runs {', '.join(back)}"
    fitted, runs = parts.increments.fitted, parts.increments.readings.runs
    paired = {pair.run for pair in pairs}
    renamed = [row for row in range(len(runs)) if fitted.cars[row] != fitted.groups[row]]
    for row in renamed:
        first = runs[int((fitted.cars == fitted.cars[row]).argmax())]
        yield (
            f"run {runs[row].label} ({runs[row].configuration}) has the settings of run {first.label} "
            f"({first.configuration}): taken as that car again, so no part, and not averaged with it; give both one name, or "
            f"put {first.label} in its repeat_of, to average them"
        )
    alone = [label for row, label in enumerate(labels) if row not in {*paired, *renamed}]
    if alone:
        yield f"without a baseline, stated or automatic: runs {', '.join(alone)}"


def parts_remarks(parts: Parts, show: Show) -> Iterator[str]:
    """State what holds for all parts of a day: scatter, drift, assumptions, and what to do."""
    increments = parts.increments
    yield from increments.notes
    scatter = increments.repeatability
    if scatter.refit_assumed or all(source is None for source in scatter.source):
        yield f"to know more: {WHAT_TO_DO}"
    yield from scatter.notes
    if any(pair.proposed and pair.shows_part for pair in increments.pairs):
        yield (
            "auto: baseline chosen automatically, a run in the same block that differs in one setting, an earlier one with "
            "the part off where there is one; name the baseline in runs.csv"
        )
    if any(pair.later and pair.shows_part for pair in increments.pairs):
        yield "later: the automatic baseline was run after the part, for want of an earlier one"
    if increments.corrected is not None:
        can = _can_be_taken(parts)
        taken = "not removed; --correct-drift removes it"
        if not any(can):
            taken = "cannot be removed from these parts"
        elif increments.drift_corrected:
            taken = "removed"
        for block in increments.drifts.blocks:
            if block.offered:
                lines = "; ".join(f"{label} {text}" for label, text in block_lines(block, show))
                yield f"drift is significant and {taken}: {lines}"
        if increments.drift_corrected and not all(can):
            yield (
                f"{AS_MEASURED}: no drift is removed, for want of one in the block, or over blocks; figures and intervals as "
                "measured"
            )
        yield "aero balance, grip balance and verdicts are as measured: drift is never removed from those"
    yield from column_remarks(parts, show)
    yield (
        "~ within noise: zero lies inside the interval; ΔDF/ΔD is of the part, not the car's own downforce to drag, and a "
        "high one is not more downforce"
    )
    yield "adding up parts that were not run together is an assumption"
