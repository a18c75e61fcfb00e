"""The figures that the results give for the sentences of each section of the page, rounded by tell/."""

from pathlib import Path

import numpy as np

from balance.compare.interactions import find_interactions
from balance.decide.day.largest_gains import largest_gains
from balance.decide.day.overturned import overturned
from balance.decide.what_if.what_if import evaluate_what_if
from balance.files.formats.what_if import pick_what_if, read_what_ifs
from balance.handling.load_share_band import front_load_share_at
from balance.model.channels import DRAG, FRONT, REAR, TOTAL
from balance.tell.figures import decimals_for, interval, number, percent
from balance.tell.parts.change_text import amount_words, change_words, signed
from balance.tell.parts.part_names import part_name
from balance.tell.report.wing_section import swept
from balance.tell.settings.setting_words import setting_words
from balance.units.shown import SI, US
from tests.briefs.limit_figures import of_limits, of_tests
from tests.briefs.page_text import figures

STANDARD_GRAVITY = 9.80665
"""m/s², exact: CGPM 1901."""
SECTIONS = (
    "answer", "car", "baseline", "parts", "balance", "wing", "places", "cost", "what_if", "scatter", "limits",
)  # fmt: skip
"""All but the appendix, whose sentences are of the method: their figures are those of no result."""


def of_user(matter):
    """Give the figures that stand in the user's own texts: labels, names, settings, notes."""
    session = matter.session
    said = [session.title, str(session.date or ""), session.vehicle.name, session.vehicle.note or ""]
    said += [place.name for place in session.places]
    for run in session.runs:
        said += [run.label, run.configuration, run.note or "", run.reason or ""]
        for held in run.settings.values():
            value = held.value if isinstance(held.value, str) else f"{held.value:g}"
            said += [value, f"{value} {held.unit}", f"{value}°"]
    for row in matter.told:
        said.append(part_name(matter.parts.increments, row))
    return [*said, *(f"{len(members) - 1} more" for members in matter.day.rows.members)]


def of_verdict(verdict):
    """Give the grip surplus as it may be said: with its sign, or as what one axle has more."""
    if verdict.low is None or not np.isfinite(verdict.high - verdict.low):
        return [percent(verdict.surplus), percent(abs(verdict.surplus))]
    low, high, std = verdict.low, verdict.high, (verdict.high - verdict.low) / 4.0
    ends = interval(low, high, std) if verdict.surplus >= 0.0 else interval(-high, -low, std)
    return [percent(verdict.surplus, std), percent(abs(verdict.surplus), std), ends]


def of_edge(verdict):
    """Give the interval that stands beside a verdict at the edge, rear over front."""
    if verdict.low is None:
        return []
    return [interval(verdict.low, verdict.high, (verdict.high - verdict.low) / 4.0)]


def of_onset(matter, row, show):
    onsets = matter.table.onsets
    if onsets.driven_speed is not None:
        return [show.speed(float(onsets.driven_speed[row]))]
    low, high = float(onsets.low[row]), float(onsets.high[row])
    end = show.speed(high) if np.isfinite(high) else ""
    return [
        show.speed(float(onsets.speed[row])),
        f"{show.bare('speed', low)} to {end}",
        show.bare("speed", low),
    ]


def of_range(matter, row, show):
    """Give what is said of a row over all speeds of the car: where it was looked at, worst, and leaves the band."""
    return of_all_speeds(matter.table.ranges[row], matter.session.vehicle.target, show)


def of_all_speeds(one, target, show):
    """Give what is said of one verdict over all speeds of the car."""
    speeds = [one.start, one.end, one.at, one.leaves, one.leaves_low, one.leaves_high, one.power_understeer]
    known = [v for v in speeds if v is not None and np.isfinite(v)]
    said = [text for v in known for text in (show.speed(v), show.bare("speed", v))]
    ends = [
        show.bare("speed", v) for v in (one.leaves_low, one.leaves_high) if v is not None and np.isfinite(v)
    ]
    said += [" to ".join(ends), f"{show.bare('speed', one.start)} to {show.speed(one.end)}"]
    if np.isfinite(one.high - one.low):
        said.append(interval(-one.high, -one.low, (one.high - one.low) / 4.0))
    return [*said, percent(target.front_tolerance), percent(target.rear_tolerance), "1 %"]


def of_leaving(one, show):
    """Give the speed up to which a car is in balance by its whole interval."""
    to = one.leaves if one.leaves_low is None else one.leaves_low
    return [show.speed(to), show.bare("speed", to)] if np.isfinite(to) else []


def both(shows, kind, value, std=float("nan"), decimals=None):
    return [show.quantity(kind, value, std=std, decimals=decimals) for show in shows]


def of_curves(matter, row, show, kind):
    """Give the ends of a curve against speed."""
    curve = matter.against_speed(row)
    speeds = [show.speed(float(curve.speeds[k])) for k in (0, -1)]
    vehicle, nominal, unit = matter.session.vehicle, curve.handling.nominal, show.system.unit("force")
    weight = vehicle.mass * STANDARD_GRAVITY
    if kind == "axle_loads":
        loads = (
            vehicle.front_share * weight + nominal.front_downforce,
            (1.0 - vehicle.front_share) * weight + nominal.rear_downforce,
        )
        return [
            *speeds,
            *(f"{number(unit.from_si(float(v[k])), 0)} {unit.label}" for v in loads for k in (0, -1)),
        ]
    if kind == "share":
        return [*speeds, *(percent(float(nominal.front_load_share[k]), decimals=1) for k in (0, -1))]
    grips = [curve.handling.grip_surplus, curve.handling.grip_surplus_driven]
    return [
        *speeds,
        *(f"{number(float(g.value[k]) * 100.0, 1)} %" for g in grips if g is not None for k in (0, -1)),
    ]


def expected(matter, key):
    """Gather from the results what the sentences of a section may say."""
    target = matter.session.vehicle.target
    said = [percent(-target.front_tolerance), percent(target.front_tolerance), percent(target.rear_tolerance)]
    said += [show.speed(matter.speed) for show in (matter.show, matter.other)]
    said += of_user(matter)
    said += OF_SECTION[key](matter) if key in OF_SECTION else []
    return set().union(*(figures(text) for text in said))


def of_answer(matter):
    show, table, row = matter.show, matter.table, matter.answer
    shows, n, stds = (show, matter.other), table.handling.nominal, table.stds
    verdicts = table.handling.verdicts
    said = [
        *of_verdict(verdicts[row]),
        *of_range(matter, matter.baseline, show),
        *of_range(matter, row, show),
    ]
    said.append("5 times")  # newtons of downforce that one of drag must bring: stated in the method
    for force, std in ((n.front_downforce, stds[0]), (n.rear_downforce, stds[1]), (n.drag, stds[2])):
        said += both(shows, "force", abs(float(force[row])), float(std[row]))
    said += both(shows, "power", float(n.drag[row]) * matter.speed)
    if matter.way is not None:
        said += [change_words(matter.way.whole.of(0, column), show) for column in (TOTAL, DRAG)]
        said += both(shows, "power", abs(matter.way.whole.of(0, DRAG).change) * matter.speed, decimals=1)
    return said + of_detectable(matter) + of_doubt(matter)


def of_doubt(matter):
    """Give the figures of the two nearest changes that would overturn the verdict, and of the facility's systematic part."""
    show, row, said = matter.show, matter.answer, []
    gains = largest_gains(matter.day, row)
    for one in overturned(matter.table, [row])[0][:2]:
        shares = [one.change]
        if one.area_change is not None:
            shares += [one.area_change / gain.area for gain in (gains.front, gains.rear) if gain is not None]
            said.append(show.quantity("force", abs(one.area_change) * matter.table.dynamic_pressure))
        said += [percent(abs(share), decimals=places) for share in shares for places in (0, 1)]
        said += [f"{number(abs(one.change) * 100.0, 1)} points", number(abs(one.change), 2)]
        if one.height is not None:
            said += [show.quantity("length", height) for height in (one.height, one.height - one.change)]
        said += [show.speed(one.place.speed)] if one.place is not None else []
    said += [show.quantity("force", float(std)) for std in matter.day.repeatability.systematic]
    return said


def of_car(matter):
    session, vehicle, shows = matter.session, matter.session.vehicle, (matter.show, matter.other)
    weight, status = vehicle.mass * STANDARD_GRAVITY, [run.status for run in session.runs]
    said = [percent(vehicle.front_share), str(len(status)), str(len(set(matter.day.group_of)))]
    said += [str(status.count("void")), str(status.count("suspect"))]
    said.append(str(len({run.configuration for run in matter.runs}) - 12))
    for kind, value in (
        ("mass", vehicle.mass),
        ("force", weight * vehicle.front_share),
        ("force", weight * (1.0 - vehicle.front_share)),
        ("length", vehicle.wheelbase),
        ("power", vehicle.power or 0.0),
        ("speed", vehicle.top_speed or 0.0),
        ("speed", session.facility.speed),
    ):
        said += both(shows, kind, value)
    return said


def of_places(matter):
    return [matter.show.speed(place.speed) for place in matter.session.places]


def of_baseline(matter):
    table, row, shows = matter.table, matter.baseline, (matter.show, matter.other)
    drag, std = float(table.handling.nominal.drag[row]), float(table.stds[2, row])
    said = [*of_verdict(table.handling.verdicts[row]), *of_places(matter), *both(shows, "force", drag, std)]
    said += of_range(matter, row, matter.show)
    return said + [one for end in matter.ends for one in of_curves(matter, end, matter.show, "axle_loads")]


def of_balance(matter):
    vehicle, show, answer = matter.session.vehicle, matter.show, matter.answer
    target, grip = vehicle.target, vehicle.grip_exponent
    away = abs(matter.table.handling.verdicts[answer].surplus - target.grip_surplus)
    said = [percent(target.grip_surplus), f"{number(away * 100.0, 1)} points", *of_places(matter)]
    said += [one for row in matter.ends for one in of_curves(matter, row, show, "share")]
    said += of_curves(matter, answer, show, "grip_surplus") + of_onset(matter, answer, show)
    said += [percent(vehicle.front_share), str(matter.some_left_out), of_tests(matter)]
    for surplus in (target.rear_tolerance, -target.front_tolerance):
        share = front_load_share_at(
            surplus, 1.0, vehicle.front_share, front_exponent=grip.front, rear_exponent=grip.rear
        )
        said.append(percent(float(share)))
    return said


def of_cost(matter):
    show, speed = matter.show, matter.speed
    fastest = max([float(matter.day.readings.speed.max()), *(p.speed for p in matter.session.places)])
    second = matter.session.vehicle.top_speed or fastest
    if matter.way is None:
        return [show.speed(second)]
    change = matter.way.whole.of(0, DRAG)
    powers = [change.change * (v / speed) ** 2 * v for v in (speed, second)]
    said = [show.quantity("power", power, decimals=1) for power in powers]
    return [show.speed(second), change_words(change, show), *said]


def of_what_ifs(matter):
    show, names, said = matter.show, matter.choices.what_ifs, of_scaling(matter)
    saved = read_what_ifs(matter.session, Path(matter.session.folder)) if names else ()
    for one in (pick_what_if(saved, name) for name in names):
        result = evaluate_what_if(
            matter.prepared, one, speed=matter.speed, air_density=matter.table.air_density
        )
        said += [one.name, one.note or ""]
        for state in (result.start, result.result):
            said += [show.speed(state.speed), *of_leaving(state.over_range, show)]
        for change in one.stated:
            pressure = 0.5 * change.air_density * change.speed**2
            said += [show.speed(change.speed), show.quantity("density", change.air_density)]
            for area in (change.front, change.rear, change.drag):
                force = show.quantity("force", area * pressure)
                said += [force, f"+{force}"]
            said += ["95 %"]  # what the ± of a stated change spans
            said += [  # ± is half of a 95 % interval: 1.959964 standard uncertainties, normal (tables, from memory)
                show.quantity("force", 1.959964 * std * pressure)
                for std in (change.front_std, change.rear_std, change.drag_std)
            ]
    return said


def of_detectable(matter):
    found = matter.scatter.detectable
    return [matter.show.quantity("force", float(found[k])) for k in (3, 2)]


def of_parts(matter):
    show, parts = matter.show, matter.parts
    said = []
    for row in matter.told:
        one, part = parts.increments[row], parts[row]
        for change in (one.front_downforce, one.rear_downforce, one.downforce, one.drag):
            said += [change_words(change, show), amount_words(change, show)]
            said += [show.quantity("force", change.detectable), signed(show, change.change)]
        for over in (part.range_before, part.range_after):
            said += of_leaving(over, show)
        grip, share = part.grip_surplus, part.aero_balance
        for estimate, most, unit in ((grip, 2, "%"), (share, 1, "pt")):
            value, std = float(estimate.value), float(estimate.std)
            if not np.isfinite(value):
                continue
            places = decimals_for(std * 100.0, fallback=1, most=most)
            ends = sorted((float(estimate.low), float(estimate.high)))
            ends = [-end for end in reversed(ends)] if value < 0.0 else ends
            said.append(f"{number(abs(value) * 100.0, places)} {unit}")
            said.append(" to ".join(number(end * 100.0, places) for end in ends))
    found = find_interactions(parts.increments)
    for row in range(len(found.corners)):
        said += [
            change_words(found.interaction.of(row, column), show) for column in (FRONT, REAR, TOTAL, DRAG)
        ]
        for value in (
            found.together.change[row, TOTAL],
            found.first.change[row, TOTAL] + found.second.change[row, TOTAL],
        ):
            said.append(f"{signed(show, float(value))} {show.unit('force')}")
    unresolved = int(np.sum(~np.any(found.interaction.resolved, axis=1)))
    said.append(str(unresolved))
    if matter.way is not None:
        way = matter.way
        said += [show.bare("force", abs(float(way.ends.change[end, TOTAL]))) for end in (0, 1)]
        said += [
            signed(show, float(way.changes.change[k, TOTAL]), float(way.changes.std[k, TOTAL]))
            for k in range(len(way.bars))
        ]
    return said


def of_scaling(matter):
    """Give how many times the dynamic pressure of each run that of the speed stated is."""
    tested = matter.day.readings.dynamic_pressure
    return [number(matter.table.dynamic_pressure / float(one), 2) for one in tested]


def of_wing(matter):
    show, prepared, target = matter.show, matter.prepared, matter.session.vehicle.target
    said = [percent(target.grip_surplus), *of_scaling(matter)]
    for one in swept(matter):
        response, family = one.answer.moved.response, one.answer.moved.response.family
        unit = family.unit
        if one.answer.solutions:
            first = one.answer.solutions[0]
            said.append(setting_words(first.value, first.low, first.high, unit, matter.day.confidence))
            said += [*of_edge(first.state.handling.verdicts[0]), f"{first.value:.4g} {unit}"]
        if one.answer.closest is not None:
            said.append(f"{one.answer.closest.value:.4g} {unit}")
        for answer in (*one.answer.solutions, one.answer.closest):
            said += [] if answer is None else of_all_speeds(answer.over_range, target, show)
        said += [f"{a:g} to {b:g} {unit}" for a, b in (response.tested, response.useful)]
        said += [f"{response.loaded_end:g} {unit}", f"{response.limit:g}"]
        values = family.values.tolist()
        pressure = matter.table.dynamic_pressure
        means = prepared.areas(family.weights) * pressure
        for k in range(3):
            ends = [show.bare("force", float(means[k, at]), decimals=0) for at in (0, -1)]
            said.append(f"{ends[0]} to {ends[1]} {show.unit('force')}")
        said.append(f"{values[0]:g} to {values[-1]:g} {unit}")
    return said


def of_scatter(matter):
    show, day = matter.show, matter.scatter
    said = of_detectable(matter)
    deviations = [row[:3] for row in day.deviations if np.all(np.isfinite(row[:3]))]
    if deviations:
        worst = float(np.max(np.abs(deviations)))
        said += [str(len(deviations)), show.quantity("force", worst, decimals=1 if show.system is US else 0)]
    said.append(show.speed(matter.session.facility.speed))
    if day.scatter.stated is not None:
        said.append(number(day.scatter.stated.degrees_of_freedom, 0))
    for block in day.drifts.blocks:
        said.append(str(block.span))
        for k in range(4):
            std = float(block.std[k]) * block.span
            said.append(f"{signed(show, float(block.slope[k]) * block.span, std)} {show.unit('force')}")
            ends = [
                show.bare("force", float(end[k]) * block.span, std=std) for end in (block.low, block.high)
            ]
            said.append(" to ".join(ends))
    if day.drifts.offered:
        left = day.drifts.fits.repeatability.deviation
        places = 1 if show.system is SI else 2
        said += [show.quantity("force", float(left[k]), decimals=d) for k in (3, 2) for d in (0, places)]
    return said


OF_SECTION = {
    "answer": of_answer,
    "car": of_car,
    "baseline": of_baseline,
    "parts": of_parts,
    "balance": of_balance,
    "wing": of_wing,
    "cost": of_cost,
    "what_if": of_what_ifs,
    "scatter": of_scatter,
    "limits": of_limits,
}
