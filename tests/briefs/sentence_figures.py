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
from balance.model.kinds import with_unit
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


def of_user(report):
    """Give the figures that stand in the user's own texts: labels, names, settings, notes."""
    session = report.session
    said = [session.title, str(session.date or ""), session.vehicle.name, session.vehicle.note or ""]
    said += [place.name for place in session.places]
    for run in session.runs:
        said += [run.label, run.configuration, run.note or "", run.reason or ""]
        for held in run.settings.values():
            value = held.value if isinstance(held.value, str) else f"{held.value:g}"
            said += [value, f"{value} {held.unit}", f"{value}°"]
    for row in report.told:
        said.append(part_name(report.parts.increments, row))
    return [*said, *(f"{len(members) - 1} more" for members in report.day.rows.members)]


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


def of_onset(report, row, show):
    onsets = report.table.onsets
    if onsets.driven_speed is not None:
        return [show.speed(float(onsets.driven_speed[row]))]
    low, high = float(onsets.low[row]), float(onsets.high[row])
    end = show.speed(high) if np.isfinite(high) else ""
    return [
        show.speed(float(onsets.speed[row])),
        f"{show.bare('speed', low)} to {end}",
        show.bare("speed", low),
    ]


def of_range(report, row, show):
    """Give what is said of a row over all speeds of the car: where it was looked at, worst, and leaves the band."""
    return of_all_speeds(report.table.ranges[row], report.session.vehicle.target, show)


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


def of_curves(report, row, show, kind):
    """Give the ends of a curve against speed."""
    curve = report.against_speed(row)
    speeds = [show.speed(float(curve.speeds[k])) for k in (0, -1)]
    vehicle, nominal, unit = report.session.vehicle, curve.handling.nominal, show.system.unit("force")
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


def expected(report, key):
    """Gather from the results what the sentences of a section may say."""
    target = report.session.vehicle.target
    said = [percent(-target.front_tolerance), percent(target.front_tolerance), percent(target.rear_tolerance)]
    said += [show.speed(report.speed) for show in (report.show, report.other)]
    said += of_user(report)
    said += OF_SECTION[key](report) if key in OF_SECTION else []
    said += [text.replace(" deg", "°") for text in said]
    return set().union(*(figures(text) for text in said))


def of_answer(report):
    """Give what page one may say: loads, verdicts, costs, mounts, shares of draws, and what would overturn it."""
    show, table, row = report.show, report.table, report.answer
    n, stds, target = table.handling.nominal, table.stds, report.session.vehicle.target
    top = table.ranges[row].end
    grip = of_verdict(table.handling.verdicts[row])
    said = [*grip, *(one.removesuffix(" %") for one in grip), show.speed(top), *of_places(report)]
    said += [f"{value * 100.0:g} %" for value in (target.rear_tolerance, target.front_tolerance)]
    for other in {report.baseline, row, *report.day.rows.configurations}:
        said += of_range(report, other, show)
        for load, std in ((n.front_downforce, stds[FRONT]), (n.rear_downforce, stds[REAR])):
            said.append(show.axle_load(float(load[other]), float(std[other])))
        said.append(show.axle_load(float(n.downforce[other])))
        said.append(show.quantity("force", abs(float(n.downforce[other]))))
        load, drag = float(n.downforce[row] - n.downforce[other]), float(n.drag[row] - n.drag[other])
        said += [
            show.quantity("force", abs(one)) for one in (load, drag, load - 5.0 * drag)
        ]  # words.md: 5 to 1
        between = report.day.rows.weighted([row]) - report.day.rows.weighted([other])
        said += [amount_words(report.parts.increments.contrast(between).of(0, TOTAL), show)]
    said.append(show.quantity("force", float(n.drag[row]), std=float(stds[DRAG, row])))
    said.append(show.quantity("power", float(n.drag[row]) * report.speed))
    said += of_costs_of_answer(report, top) + of_mounts(report, top) + of_shares(report)
    said += [show.bare("speed", speed) for speed in report.place_speeds]
    said += [show.speed(speed) for speed in report.place_speeds]
    said.append(of_tests(report))
    said.append("5")  # newtons of downforce that one of drag is worth where nobody says: words.md
    return said + of_doubt(report)


ROLLING = 0.015
"""Rolling resistance as a share of the weight; a typical value, no source."""


def of_costs_of_answer(report, top):
    """Give drag and power against the start, and the top speed lost: bisected here from power, drag and rolling."""
    if report.way is None:
        return []
    show, vehicle = report.show, report.session.vehicle
    change = report.way.whole.of(0, DRAG)
    said = [amount_words(change, show)]
    for speed in (report.speed, top):
        power = abs(change.change) * (speed / report.speed) ** 2 * speed
        said.append(show.quantity("power", power, decimals=1))
    if vehicle.power is not None:
        held = []
        for row in (report.baseline, report.answer):
            area = float(report.table.handling.nominal.drag[row]) / report.table.dynamic_pressure
            low, high = 0.0, 300.0
            for _ in range(60):
                v = (low + high) / 2.0
                taken = 0.5 * report.table.air_density * area * v**3
                taken += ROLLING * vehicle.mass * STANDARD_GRAVITY * v
                low, high = (v, high) if taken < vehicle.power else (low, v)
            held.append(low)
        said.append(show.speed(abs(held[1] - held[0])))
    return said


def of_mounts(report, top):
    """Give the resultant of downforce and drag of every comparison at top speed, to 10 N, and the whole car's downforce."""
    show, factor = report.show, (top / report.speed) ** 2
    changes = report.parts.increments.changes.change
    forces = [float(np.hypot(one[TOTAL], one[DRAG])) * factor for one in changes]
    forces.append(float(report.table.handling.nominal.downforce[report.answer]) * factor)
    rounded = [10.0 * round(force / 10.0) for force in forces]
    return [f"{force:,.0f} N" for force in rounded] + [show.quantity("force", force) for force in rounded]


def of_shares(report):
    """Give the least share of draws in balance over the named speeds; one above 99.9 % is over 99 %."""
    speeds = [place.speed for place in report.session.places] or [report.speed]
    verdicts = report.at(report.answer, tuple(speeds)).handling.verdicts
    shares = [one.shares["in balance"] for one in verdicts if one.shares is not None]
    return [f"{number(share * 100.0, 0)} %" for share in shares] + ["99 %", "1 %"]


def of_doubt(report):
    """Give the figures of the nearest changes that would overturn the verdict, and of the facility's systematic part."""
    show, row, said = report.show, report.answer, []
    gains = largest_gains(report.day, row)
    for one in overturned(report.table, [row])[0]:
        shares = [one.change]
        if one.area_change is not None:
            shares += [one.area_change / gain.area for gain in (gains.front, gains.rear) if gain is not None]
            said.append(show.quantity("force", abs(one.area_change) * report.table.dynamic_pressure))
        said += [percent(abs(share), decimals=places) for share in shares for places in (0, 1)]
        said += [f"{number(abs(one.change) * 100.0, 1)} points", number(abs(one.change), 2)]
        if one.height is not None:
            said += [show.quantity("length", height) for height in (one.height, one.height - one.change)]
        said += [show.speed(one.place.speed)] if one.place is not None else []
    said += [show.quantity("force", float(std)) for std in report.day.repeatability.systematic]
    return said


def of_car(report):
    session, vehicle, shows = report.session, report.session.vehicle, (report.show, report.other)
    weight, status = vehicle.mass * STANDARD_GRAVITY, [run.status for run in session.runs]
    said = [percent(vehicle.front_share), str(len(status)), str(len(set(report.day.group_of)))]
    said += [str(status.count("void")), str(status.count("suspect"))]
    said.append(str(len({run.configuration for run in report.runs}) - 12))
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


def of_places(report):
    return [report.show.speed(place.speed) for place in report.session.places]


def of_baseline(report):
    table, row, shows = report.table, report.baseline, (report.show, report.other)
    drag, std = float(table.handling.nominal.drag[row]), float(table.stds[2, row])
    said = [*of_verdict(table.handling.verdicts[row]), *of_places(report), *both(shows, "force", drag, std)]
    said += of_range(report, row, report.show)
    return said + [one for end in report.ends for one in of_curves(report, end, report.show, "axle_loads")]


def of_balance(report):
    vehicle, show, answer = report.session.vehicle, report.show, report.answer
    target, grip = vehicle.target, vehicle.grip_exponent
    away = abs(report.table.handling.verdicts[answer].surplus - target.grip_surplus)
    said = [percent(target.grip_surplus), f"{number(away * 100.0, 1)} points", *of_places(report)]
    said += [one for row in report.ends for one in of_curves(report, row, show, "share")]
    said += of_curves(report, answer, show, "grip_surplus") + of_onset(report, answer, show)
    said += [percent(vehicle.front_share), str(report.some_left_out), of_tests(report)]
    for surplus in (target.rear_tolerance, -target.front_tolerance):
        share = front_load_share_at(
            surplus, 1.0, vehicle.front_share, front_exponent=grip.front, rear_exponent=grip.rear
        )
        said.append(percent(float(share)))
    return said


def of_cost(report):
    show, speed = report.show, report.speed
    fastest = max([float(report.day.readings.speed.max()), *(p.speed for p in report.session.places)])
    second = report.session.vehicle.top_speed or fastest
    if report.way is None:
        return [show.speed(second)]
    change = report.way.whole.of(0, DRAG)
    powers = [change.change * (v / speed) ** 2 * v for v in (speed, second)]
    said = [show.quantity("power", power, decimals=1) for power in powers]
    return [show.speed(second), change_words(change, show), *said]


def of_what_ifs(report):
    show, names, said = report.show, report.choices.what_ifs, of_scaling(report)
    saved = read_what_ifs(report.session, Path(report.session.folder)) if names else ()
    for one in (pick_what_if(saved, name) for name in names):
        result = evaluate_what_if(
            report.prepared, one, speed=report.speed, air_density=report.table.air_density
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


def of_detectable(report):
    found = report.scatter.detectable
    return [report.show.quantity("force", float(found[k])) for k in (3, 2)]


def of_parts(report):
    show, parts = report.show, report.parts
    said = []
    for row in report.told:
        one, part = parts.increments[row], parts[row]
        for change in (one.front_downforce, one.rear_downforce, one.downforce, one.drag):
            said += [change_words(change, show), amount_words(change, show)]
            said += [show.quantity("force", change.detectable), signed(show, change.change)]
        for over in (part.range_before, part.range_after):
            said += of_leaving(over, show)
        grip, share = part.grip_surplus, part.aero_balance
        for estimate, most in ((grip, 2), (share, 1)):
            value, std = float(estimate.value), float(estimate.std)
            if not np.isfinite(value):
                continue
            places = decimals_for(std * 100.0, fallback=1, most=most)
            ends = sorted((float(estimate.low), float(estimate.high)))
            ends = [-end for end in reversed(ends)] if value < 0.0 else ends
            said.append(f"{number(abs(value) * 100.0, places)} points")
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
    if report.way is not None:
        way = report.way
        said += [show.bare("force", abs(float(way.ends.change[end, TOTAL]))) for end in (0, 1)]
        said += [
            signed(show, float(way.changes.change[k, TOTAL]), float(way.changes.std[k, TOTAL]))
            for k in range(len(way.bars))
        ]
    return said


def of_scaling(report):
    """Give how many times the dynamic pressure of each run that of the speed stated is."""
    tested = report.day.readings.dynamic_pressure
    return [number(report.table.dynamic_pressure / float(one), 2) for one in tested]


def of_wing(report):
    show, prepared, target = report.show, report.prepared, report.session.vehicle.target
    said = [percent(target.grip_surplus), *of_scaling(report), *of_places(report)]
    said.append(percent(report.table.handling.verdicts[report.answer].surplus))
    for one in swept(report):
        response, family = one.answer.moved.response, one.answer.moved.response.family
        unit = family.unit
        if one.answer.solutions:
            first = one.answer.solutions[0]
            said.append(setting_words(first.value, first.low, first.high, unit, report.day.confidence))
            said += [*of_edge(first.state.handling.verdicts[0]), with_unit(f"{first.value:.4g}", unit)]
        if one.answer.closest is not None:
            said.append(with_unit(f"{one.answer.closest.value:.4g}", unit))
        for answer in (*one.answer.solutions, one.answer.closest):
            said += [] if answer is None else of_all_speeds(answer.over_range, target, show)
        for a, b in (response.tested, response.useful):  # a caption has the unit as in the file
            said += [with_unit(f"{a:g} to {b:g}", unit), f"{a:g} to {b:g} {unit}"]
        said += [with_unit(f"{response.loaded_end:g}", unit), f"{response.limit:g}"]
        values = family.values.tolist()
        pressure = report.table.dynamic_pressure
        means = prepared.areas(family.weights) * pressure
        changes = np.abs(np.diff(means, axis=1))
        changes = [*changes[:2].ravel(), *np.abs(np.diff(means[0] + means[1])), *changes[2]]
        said += [show.quantity("force", float(change)) for change in changes]  # of a step that is stalled
        said += [with_unit(f"{value:g}", unit) for value in values]
        for k in range(3):
            ends = [show.bare("force", float(means[k, at]), decimals=0) for at in (0, -1)]
            said.append(f"{ends[0]} to {ends[1]} {show.unit('force')}")
        said.append(f"{values[0]:g} to {values[-1]:g} {unit}")
    return said


def of_scatter(report):
    show, day = report.show, report.scatter
    said = of_detectable(report)
    deviations = [row[:3] for row in day.deviations if np.all(np.isfinite(row[:3]))]
    if deviations:
        worst = float(np.max(np.abs(deviations)))
        said += [str(len(deviations)), show.quantity("force", worst, decimals=1 if show.system is US else 0)]
    said.append(show.speed(report.session.facility.speed))
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
