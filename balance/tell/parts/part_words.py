"""What a part did, in one sentence: no part is called good or bad, and nothing is claimed that the day cannot show."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from balance.compare.classes import PartClass
from balance.compare.interactions import find_interactions
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import decimals_for, low_to_high, number, runs_named
from balance.tell.parts.change_text import amount_words, change_words, ratio_words, signed
from balance.tell.parts.column_text import only_columns, resolved_words
from balance.tell.parts.effects import DEEDS, NOTHING
from balance.tell.parts.part_names import change_words as setting_change
from balance.tell.parts.part_names import part_name, runs_words
from balance.tell.repeatability.drift_words import taken_words
from balance.tell.runs.range_words import range_phrase
from balance.tell.words import REFIT_ASSUMED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from balance.compare.contrasts import Change
    from balance.compare.increment import Increment
    from balance.compare.increments import Increments
    from balance.decide.day.estimate import Estimate
    from balance.decide.parts.parts import Part, Parts
    from balance.tell.figures import Show

_BEYOND = {"total downforce": TOTAL, "front": FRONT, "rear": REAR, "drag": DRAG}
_AXLES = {"front": " at the front", "rear": " at the rear", "both": " at both axles"}


def part_sentence(parts: Parts, row: int, show: Show) -> str:
    """State in one sentence what a part did to loads, drag, balance and verdict."""
    part = parts[row]
    i = part.increment
    name = part_name(parts.increments, row)
    clauses = [f"At {show.speed(parts.speed)}, {name} {part_deed(parts, row, show)}"]
    if i.ratio.value is not None and i.part_class in _WITH_RATIO:
        clauses[0] += f", {ratio_words(i.ratio, show)}"
    if i.part_class not in (PartClass.MOVES_LOAD_FORWARD, PartClass.MOVES_LOAD_REARWARD):
        clauses.append(
            f"front {change_words(i.front_downforce, show)}, rear {change_words(i.rear_downforce, show)}"
        )
    clauses += [balance_words(part), verdict_change(part, show)]
    if i.proposed:
        later = ", and was run later" if i.later else ""
        clauses.append(f"the baseline is automatic, nobody stated it{later}")
    if any(one.refit_assumed for one in (i.front_downforce, i.rear_downforce, i.downforce, i.drag)):
        clauses.append(f"{REFIT_ASSUMED}, nothing is called significant")
    return f"{'; '.join(clause for clause in clauses if clause)}."


_WITH_RATIO = (PartClass.GAINS_FOR_A_PRICE, PartClass.SHEDS_FOR_A_SAVING)


def part_deed(parts: Parts, row: int, show: Show) -> str:
    """State what a part did to downforce and drag, by its class; first of all what else it did, where it did no more."""
    said = deed_words(parts.increments[row], show)
    if not only_columns(parts, row):
        return said
    return said.replace(
        f"{NOTHING}:", f"leaves loads within noise; {'; '.join(resolved_words(parts, row))};", 1
    )


def deed_words(i: Increment, show: Show) -> str:
    """State what a part did to downforce and drag, by its class."""
    return DEEDS[i.part_class].deed.format(
        load=_load(i, show),
        cost=f"{amount_words(i.drag, show)} of drag",
        no_cost=_unresolved("drag", i.drag, show),
        no_load=_unresolved("downforce", i.downforce, show),
        front=change_words(i.front_downforce, show),
        rear=change_words(i.rear_downforce, show),
        total=change_words(i.downforce, show),
        drag=change_words(i.drag, show),
    )


def balance_words(part: Part) -> str:
    """State what a part did to the balance, with the direction in words."""
    said = (
        _moved("aero balance", part.aero_balance, (" forward", " rearward"), most=1),
        _moved("grip balance", part.grip_surplus, (" towards the rear", " towards the front"), most=2),
    )
    return ", ".join(filter(None, said))


def _moved(name: str, estimate: Estimate, ways: tuple[str, str], *, most: int) -> str:
    """State how far a percentage moved, in points, with its interval and which way; nothing where there is none."""
    value, low, high = (100.0 * float(one) for one in (estimate.value, estimate.low, estimate.high))
    if not math.isfinite(value):
        return ""
    places = decimals_for(float(estimate.std) * 100.0, fallback=1, most=most)
    text = number(abs(value), places)
    low, high = (-high, -low) if value < 0.0 else (low, high)
    ends = f" ({low_to_high(low, high, places)})" if math.isfinite(low + high) else ""
    return f"{name} moves {text} points{ends}{ways[value < 0.0] if text.strip('0.') else ''}"


def verdict_change(part: Part, show: Show) -> str:
    """State what the car does over all its speeds before and after."""
    before, after = range_phrase(part.range_before, show), range_phrase(part.range_after, show)
    return f"verdict {before}, before and after" if before == after else f"verdict from {before} to {after}"


def baseline_words(i: Increment, *, brief: bool = False) -> str:
    """Name run and baseline, and say whether the baseline was only proposed."""
    if i.between is not None:
        by = "by the clock" if i.between.by == "time" else "in the order of running"
        far = f", {number(i.between.share * 100.0, 0)} % of the way {by}"
        between = f"between runs {i.baseline} and {i.second_baseline}{'' if brief else far}"
        return f"{runs_words(i.runs)} against what lies {between}"
    when = ", run later" if i.later else ""
    why = "" if brief else ": differs in one setting"
    proposed = f" (automatic{when}{why})" if i.proposed else ""
    return f"{runs_words(i.runs)} against {runs_words(i.baseline_runs)}{proposed}"


def part_notes(parts: Parts, row: int) -> tuple[str, ...]:
    """Gather what has to be said beside a part."""
    i = parts.increments[row]
    notes = list(i.notes)
    if i.suspect:
        notes.append(f"rests on suspect {runs_named(i.suspect)}")
    if i.package:
        notes.append("a package: what it did belongs to all its parts together")
    if i.mirrors is not None:
        notes.append(f"the same comparison as run {i.mirrors}, turned round")
    if parts.increments.pairs[row].bare:
        notes.append("a baseline, which shows no part")
    drift = taken_words(parts.increments, row)
    notes += [drift] if drift else []
    if i.by_axle is not None and i.by_axle != "both":
        notes.append(f"total downforce is within noise; the {i.by_axle} axle is not")
    return tuple(notes)


def _load(i: Increment, show: Show) -> str:
    """Write the downforce that a class speaks of: the total, or the axle that stands for it."""
    change = {"front": i.front_downforce, "rear": i.rear_downforce}.get(i.by_axle or "", i.downforce)
    where = _AXLES.get(i.by_axle or "", "")
    return f"{amount_words(change, show)} of downforce{where}"


def _unresolved(name: str, change: Change, show: Show) -> str:
    """State that a change is not resolved, and what size would have been found."""
    if not math.isfinite(change.std):
        return f"{name} {change_words(change, show)}, noise unknown"
    found = show.quantity("force", change.detectable)
    return f"{name} {change_words(change, show)} within noise, {found} detectable"


def interaction_sentences(
    increments: Increments, show: Show, *, runs: frozenset[str] | None = None
) -> Iterator[str]:
    """State what pairs of parts do together beyond the sum of each alone."""
    found, fitted = find_interactions(increments), increments.fitted
    for row, (base, first, second, _) in enumerate(found.corners):
        one = found[row]
        if runs is not None and not runs & set(one.together_runs):
            continue
        names = (
            setting_change(fitted, first, base, one.first),
            setting_change(fitted, second, base, one.second),
        )
        sums = float(found.first.change[row, TOTAL] + found.second.change[row, TOTAL])
        together = float(found.together.change[row, TOTAL])
        beyond = []
        for name, column in _BEYOND.items():
            change = found.interaction.of(row, column)
            noise = "" if change.resolved else ", within noise"
            beyond.append(f"{name} {change_words(change, show)}{noise}")
        yield (
            f"{names[0]} and {names[1]}, together in {runs_named(one.together_runs)}: "
            f"{signed(show, together)} {show.unit('force')} of downforce, the sum of "
            f"each alone {signed(show, sums)} {show.unit('force')}; beyond the sum: {'; '.join(beyond)}."
        )
