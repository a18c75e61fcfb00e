"""What an answer rests on without its having been measured, in sentences that stand beside it."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from balance.decide.settings.response import Stall
from balance.model.channels import CHANNELS
from balance.model.errors import one_line
from balance.model.kinds import with_unit
from balance.model.records import HALF_95
from balance.tell.figures import Show, counted, number
from balance.tell.library.source_words import measured_words, own_words, source_words
from balance.tell.settings.setting_words import STALL_WORDS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from balance.decide.car.changed_car import Assumption

_SI = Show()
LIBRARY = "expected from library"
_STATED = {"stated change": "change", "force at a place": "force"}
_PLAIN = {
    "scatter unknown": "noise unknown: no interval can be given; run the baseline again",
    "shape between tested settings": (
        "the interval holds the day's repeatability, not the shape of the curve between tested settings"
    ),
    "parts added": "parts {runs} are added up: their effect on one another was not measured",
    "mean of repeats": "the start is the mean of runs {runs}",
    "measured loading": "run {run} was measured in loading {loading}: its ride heights are those of that loading",
    "suspect run": "run {run} is marked suspect",
    "suspect part": "part {run} rests on a run that is marked suspect",
    "part measured on another car": (
        "part {run} was measured against run {baseline} and is taken to do the same on run {start}"
    ),
    "part measured against another run": (
        "part {run} is put on at its own settings: counted from run {baseline}, which has the car's own in their place, and "
        "not from run {own}"
    ),
    "part is on already": "part {run} is on already, at its own settings: nothing is added",
    "part is a package": "part {run} is a package: it differs from run {baseline} in {differs}",
    "curve of another family": "the curve is that of runs {runs}",
    "start not on the curve": "the curve was measured with another car than run {run}, and is taken to hold for it",
    "no limits stated": "no limits of the series are stated for {setting}: check the rules",
    "limits": "limits of the series as confirmed by {confirmed_by}",
    "settings moved together": "settings {settings} are moved as if each did not know of the others",
    "set-up stays": "weights changed, set-up as it was: springs, bars and pressures are those of the starting car",
    "ballast moved": (
        "the car carries that much weight which can be moved there, and the rules allow it: check, and fix it so that it holds"
    ),
    "ballast added": "the rules allow that much ballast there, and it can be fixed so that it holds: check both",
    "air": "air: {assumed} assumed",
}


def assumption_words(one: Assumption, show: Show = _SI) -> str:
    """Write an assumption in words."""
    v: dict[str, Any] = dict(one.values)
    if one.kind in _PLAIN:
        return _PLAIN[one.kind].format(**v)
    return _WRITTEN[one.kind](v, show)


def assumption_lines(found: Sequence[Assumption], show: Show = _SI) -> list[str]:
    """Write assumptions in words, each once."""
    return list(dict.fromkeys(assumption_words(one, show) for one in found))


def assumed_doubt(found: Sequence[Assumption]) -> str:
    """State behind an answer that the uncertainty of a stated change was assumed; empty where it was not."""
    for one in found:
        v = one.values
        if one.kind in _STATED and any(v[f"{name}_std"] for name in str(v["assumed"]).split(", ") if name):
            return f"; uncertainty of the stated {_STATED[one.kind]}: assumed 10 %"
    return ""


def expected_words(found: Sequence[Assumption]) -> str:
    """State of an answer that parts in it are only expected; empty where none is."""
    some = [one.values for one in found if one.kind == LIBRARY]
    if not some:
        return ""
    return _source(min(some, key=lambda v: (bool(v["own_dates"]), v["cars"])))


def _source(v: Mapping[str, Any]) -> str:
    """Name where what is expected of a part comes from."""
    return (
        f"expected, from {own_words(v['own_dates'].split(', '))}"
        if v["own_dates"]
        else source_words(int(v["cars"]))
    )


def _stated(v: dict[str, Any], show: Show) -> str:
    parts = []
    for name, what in (("front", "front downforce"), ("rear", "rear downforce"), ("drag", "drag")):
        change, std = v[name], v[f"{name}_std"]
        if change or std:
            spread = _spread(v, name, show)
            parts.append(f"{what} {'+' if change >= 0 else ''}{show.quantity('force', change)}{spread}")
    silent = [name for name in CHANNELS if not v[name] and not v[f"{name}_std"]]
    others = f"; {' and '.join(silent)} taken as unchanged" if silent else ""
    note = f" ({v['note']})" if v["note"] else ""
    at = f"{show.speed(v['speed'])} and {show.quantity('density', v['air_density'])}"
    return f"stated, not measured: {', '.join(parts) or 'nothing'} at {at}{note}{others}"


def _expected(v: dict[str, Any], show: Show) -> str:
    parts = [
        f"{what} {show.quantity('force', v[name])} ± {show.quantity('force', HALF_95 * v[f'{name}_std'])}"
        for name, what in (("front", "front downforce"), ("rear", "rear downforce"), ("drag", "drag"))
    ]
    own = int(v["own"])
    left_out = f", {counted(own, 'day')} of this car left out" if own else ""
    if v["measured"]:
        left_out += measured_words([v["measured"]], "on=")
    else:
        left_out += "" if v["own_dates"] else ", nothing of this car in it"
    of = "95 %" if v["own_dates"] else "95 % of next cars"
    at = f"{show.speed(v['speed'])} and {show.quantity('density', v['air_density'])}"
    return (
        f"{one_line(v['part'])}: {_source(v)}{left_out}: {', '.join(parts)} "
        f"({of}) at {at}; its drag is taken as if it did not go with its downforce"
    )


def _spread(v: dict[str, Any], name: str, show: Show) -> str:
    """Write half of the 95 % interval of a stated figure, and whether it was assumed."""
    if not v[f"{name}_std"]:
        return " (taken as exact)"
    of = "95 %, from an assumed 10 %" if name in v["assumed"].split(", ") else "95 %"
    return f" ± {show.quantity('force', HALF_95 * v[f'{name}_std'])} ({of})"


def _force(v: dict[str, Any], show: Show) -> str:
    place = abs(v["behind_rear_axle"])
    side = "behind" if v["behind_rear_axle"] >= 0 else "ahead of"
    note = f" ({v['note']})" if v["note"] else ""
    return (
        f"stated, not measured: {show.quantity('force', v['downforce'])}{_spread(v, 'downforce', show)} down and "
        f"{show.quantity('force', v['drag'])}{_spread(v, 'drag', show) if v['drag'] else ''} drag at {show.speed(v['speed'])}, {show.quantity('length', place)} {side} the rear axle and "
        f"{show.quantity('length', v['height'])} up{note}: front {show.quantity('force', v['front'])}, rear "
        f"{show.quantity('force', v['rear'])} by geometry; what it does to the flow over the car is not in it"
    )


def _together(v: dict[str, Any], _show: Show) -> str:
    runs = f"run{'s' * (', ' in v['runs'])} {v['runs']}"
    return (
        f"these parts were measured together in {runs}: where nothing else changes, prefer that to this sum"
    )


def _counted(v: dict[str, Any], _show: Show) -> str:
    return f"part {v['run']} is counted {number(abs(v['times']), 0)} times: measured once"


def _chosen_curve(v: dict[str, Any], _show: Show) -> str:
    if v["differs"] == "configuration":
        return (
            f"the curve is that of runs {v['runs']}, which have other names: check that nothing else differed"
        )
    differs = f", which differ in {v['differs']} too" if v["differs"] else ""
    return f"the curve is that of runs {v['runs']}, chosen by hand{differs}"


def _no_stall(v: dict[str, Any], _show: Show) -> str:
    end = with_unit(f"{v['value']:g}", v["unit"])
    return f"no stall was found up to {end}, the last setting tested: what lies beyond is not known"


def _scaled(v: dict[str, Any], _show: Show) -> str:
    return f"scaled to {number(v['ratio'], 2)} times the dynamic pressure that the run was tested at"


def _floor(v: dict[str, Any], _show: Show) -> str:
    floor = f"{v['floor']} floor" if v["floor"] else "floor not stated"
    return f"{floor}: splitter and underbody parts are taken as they read there"


def _setting(words: str) -> Callable[[dict[str, Any], Show], str]:
    def said(v: dict[str, Any], _show: Show) -> str:
        at = with_unit(f"{v['value']:g}", v["unit"])
        return f"{v['setting']} of {at} {words}"

    return said


_WRITTEN: Mapping[str, Callable[[dict[str, Any], Show], str]] = MappingProxyType(
    {
        "was run together": _together,
        "stated change": _stated,
        "force at a place": _force,
        LIBRARY: _expected,
        "part more than once": _counted,
        "curve of other runs": _chosen_curve,
        "stall not found": _no_stall,
        "scaled far": _scaled,
        "floor": _floor,
        "past the useful range": _setting("lies past the useful range: as measured there"),
        **{str(one): _setting(f"{STALL_WORDS[one]}") for one in Stall},
    }
)
