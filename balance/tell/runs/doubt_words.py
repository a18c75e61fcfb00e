"""Figures that are possible but unlikely, each in a sentence that says what to look at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from balance.decide.doubts.plausibility import doubted, doubts
from balance.model.kinds import with_unit
from balance.model.records import USUAL_FRONT_TOLERANCE
from balance.tell.figures import Show, percent
from balance.tell.words import margin_words
from balance.units.shown import SI

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from balance.decide.day.day import Day
    from balance.decide.doubts.plausibility import Doubt

_SI = Show()
DOUBT_MARK = "!"
"""What stands beside the label of a run whose reading is in doubt."""


def run_mark(day: Day, rows: Iterable[int]) -> str:
    """Return the mark of figures that rest on some readings: * of one that is marked suspect, ! of one in doubt."""
    runs = [day.readings.runs[row] for row in rows]
    if any(run.status == "suspect" for run in runs):
        return "*"
    found = doubted(day)
    return DOUBT_MARK if any(run.label in found for run in runs) else ""


def reading_doubts(day: Day, show: Show = _SI, *, of: Collection[str] | None = None) -> list[str]:
    """Write the doubts of readings, of some runs or of all: what is said before anything that rests on them."""
    found = doubted(day)
    some = [one for one in doubts(day) if one.of_reading and one.run in found]
    return [doubt_words(one, show) for one in some if of is None or one.run in of]


def scatter_doubts(day: Day, show: Show = _SI) -> list[str]:
    """Name the doubted readings among the repeats, on which the scatter of the whole day rests."""
    repeated = {day.readings.labels[row] for rows in day.configurations if len(rows) > 1 for row in rows}
    wrong = [label for label in doubted(day) if label in repeated]
    if not wrong:
        return []
    whose = f"runs {', '.join(wrong)}, which are" if wrong[1:] else f"run {wrong[0]}, which is"
    return [f"the repeatability rests on {whose} in doubt", *reading_doubts(day, show, of=wrong)]


def doubt_words(doubt: Doubt, show: Show = _SI) -> str:  # noqa: C901, PLR0912, PLR0915 - one case a kind, read as a list
    """Write a doubt in words."""
    v = doubt.values
    at = f"run {doubt.run}: " if doubt.run is not None else "vehicle: "
    other = doubt.other
    match doubt.kind:
        case "front share":
            text = f"front weight share of {percent(v['share'])}: usual is 30 to 70 %; are front and rear mixed up?"
        case "front tolerance":
            text = (
                f"front_tolerance of {percent(v['tolerance'])}: usual is {percent(USUAL_FRONT_TOLERANCE)}, for the front over the rear "
                "is oversteer, the dangerous side; is the point in the right place?"
            )
        case "static margin":
            return f"vehicle: {margin_words(v['margin'])}"
        case "drag height":
            which = "each configuration" if v["hanging"] == v["of"] else other
            return (
                f"facility: drag was reacted {show.quantity('length', v['height'])} above the ground, and {which} would be of "
                "another class with drag reacted at ground level; is the height right?"
            )
        case "names":
            return (
                f"runs {other} have the same settings and other names: if nothing else differed give them one name, so that "
                f"they count as repeats: {doubt.setting}; if something did, give it a setting"
            )
        case "sides":
            left, right = show.quantity("mass", v["left"]), show.quantity("mass", v["right"])
            text = f"left {left} against right {right}: are two corners mixed up?"
        case "mass":
            text = f"mass of {show.quantity('mass', v['mass'])}: usual is {_usual(show, 'mass', 300.0, 3500.0, '300 to 3500 kg')}; is the unit right?"
        case "wheelbase":
            text = f"wheelbase of {show.quantity('length', v['wheelbase'])}: usual is {_usual(show, 'length', 1.5, 4.0, '1.5 to 4 m')}; is the unit right?"
        case "drag area":
            text = (
                f"drag area of {show.quantity('area', v['area'])}: usual is {_usual(show, 'area', 0.3, 2.0, '0.3 to 2 m²')}; "
                "are the units of drag and speed right (km/h or mph, N or lbf)?"
            )
        case "above weight":
            text = (
                f"total downforce of {show.quantity('force', v['force'])} is above the car's weight of "
                f"{show.quantity('force', v['weight'])} at the test speed; are sign and unit right?"
            )
        case "speed":
            text = f"speed {show.speed(v['speed'])} is more than 20 % from the facility's {show.speed(v['facility'])}"
        case "density":
            text = (
                f"air density {show.quantity('density', v['density'])} is more than 3 % from the facility's "
                f"{show.quantity('density', v['facility'])}; is the pressure the station's own, not reduced to sea level?"
            )
        case "sign":
            text = f"{doubt.axle} reads as in run {other} with its sign turned; lift typed as downforce?"
        case "turned":
            text = (
                f"{doubt.axle} turned from {show.axle_load(v['usual'])} in run {other} to {show.axle_load(v['force'])}, more than any "
                "part of the day did there; is its sign right?"
            )
        case "scaled alike":
            text = (
                f"everything {percent(abs(v['factor'] - 1.0), decimals=0)} {'down' if v['factor'] < 1 else 'up'} "
                f"against run {other}: was this run at {show.speed(v['perhaps'])}, not {show.speed(v['speed'])}?"
            )
        case "wing" if doubt.axle == "front":
            text = (
                f"with the wing the front has {show.quantity('force', v['change'])} more downforce than run {other}; "
                "a rear wing takes load off the front: are sign and columns right?"
            )
        case "wing":
            text = (
                f"with the wing the rear has {show.quantity('force', -v['change'])} less downforce than run {other}; "
                "is lift typed as downforce?"
            )
        case "magnitude":
            usual = "about" if doubt.axle == "drag" else "at most"
            text = (
                f"{doubt.axle} of {show.quantity('force', v['force'])}: the day's other runs have {usual} "
                f"{show.quantity('force', v['usual'])}; a digit too many or too few?"
            )
        case "digits":
            text = (
                f"{doubt.axle} of {show.quantity('force', v['force'])} against {show.quantity('force', v['usual'])} "
                f"of run {other}: a digit too many or too few?"
            )
        case "apart":
            text = (
                f"{doubt.axle} of {show.quantity('force', v['force'])}: repeats as run {other} have about "
                f"{show.quantity('force', v['usual'])}; a digit too many or too few, or another configuration?"
            )
        case "total":
            front, rear, total = (_read(show, v[key], doubt.unit) for key in ("front", "rear", "total"))
            text = f"front {front} and rear {rear}, but the total says {total} (downforce positive): is a sign or a column mixed up?"
        case "setting":
            value = with_unit(f"{v['value']:g}", doubt.unit)
            usual = with_unit(f"{v['low']:g} to {v['high']:g}", doubt.unit)
            text = f"{doubt.setting} of {value}: the day's other runs have {usual}; is it right?"
        case "slope":
            text = (
                f"{doubt.axle} changes by {show.quantity('force', v['slope'])} per {doubt.unit or 'unit'} of "
                f"{doubt.setting} against run {other}, above the {show.quantity('force', v['usual'])} to be expected; "
                f"is the figure, or {doubt.setting}, right?"
            )
        case _:
            text = (
                f"{doubt.axle}: area coefficient changes by {show.bare('area', v['change'])} {show.unit('area')} "
                f"from {show.speed(v['slow'])} to {show.speed(v['fast'])} (run {other}), more than noise: "
                "forces of this configuration do not follow speed squared"
            )
    return at + text


def _read(show: Show, value: float, form: str) -> str:
    """Write a reading as force or area."""
    return show.quantity("area", value, decimals=4) if form == "area" else show.quantity("force", value)


def _usual(show: Show, kind: str, low: float, high: float, in_si: str) -> str:
    """Return what is usual in the units shown; in SI as the round figures that they are."""
    return in_si if show.system is SI else f"{show.bare(kind, low)} to {show.quantity(kind, high)}"
