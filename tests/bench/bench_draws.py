"""How long a table of a long session and a sweep of one run take, beside the same arithmetic by hand.

Run it by hand::

    python tests/bench/bench_draws.py

Three ways, measured in turn in each round, so that a machine which slows down slows all three: the product; one
function of plain numpy, written here; one loop of plain Python over draws, written here and measured on a few
runs and speeds, then scaled. The loop draws its own random numbers, as the others do, and then works with theirs,
so that the figures can be compared. Nothing is asserted of time; the figures of all three must agree to 1e-9.

What a verdict over the range costs besides is held against one speed, in the same run: the table is timed with the
verdicts that the day keeps from before, then afresh.
"""

import math
import random
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
from scipy.special import fdtri

sys.path.insert(0, str(Path(__file__).parents[2]))

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.decide.day.sweeps import sweep
from balance.model.records import (
    Column,
    Facility,
    LoadExponent,
    OptionalTriple,
    Run,
    Session,
    StatedRepeatability,
    Triple,
    Vehicle,
)
from balance.reduce.draws import seed_of

SMALL = "--small" in sys.argv  # a few rounds of little, to see that it runs
RUNS, DRAWS, SPEEDS, ROUNDS = (100, 100, 10, 1) if SMALL else (200, 2_000, 100, 9)
LOOP_RUNS, LOOP_SPEEDS = 4, 5
GOAL_NUMPY, GOAL_LOOP, GOAL_RANGE = 1.5, 15.0, 4.0
GRAVITY, DRIVE_FRICTION = 9.80665, 1.1
CONFIDENCE, DEVIATION_SHARE, SHARE_STD = 0.95, 0.682689492137086, 0.003
NAMES = ("balance", "shift", "surplus", "driven")


def long_session():
    """Build a day of 200 runs, the baseline among them every twentieth time."""
    rng = np.random.default_rng(7)
    runs = []
    for k in range(RUNS):
        repeated = k % 20 == 0
        front, rear = (220.0, 480.0) if repeated else rng.uniform((80.0, 200.0), (600.0, 1200.0))
        noise = rng.normal(0.0, (7.0, 8.0, 4.0))
        runs.append(
            Run(
                label=str(k + 1),
                configuration="baseline" if repeated else f"configuration {k}",
                reading=Triple(front=front + noise[0], rear=rear + noise[1], drag=1100.0 + noise[2]),
                resolution=Triple(front=0.05, rear=0.05, drag=0.05),
            )
        )
    return Session(
        title="long day",
        vehicle=Vehicle(
            name="any car",
            mass=1290.0,
            front_share=0.54,
            wheelbase=2.575,
            driven="rear",
            stiffness_exponent=LoadExponent(front=0.75, rear=0.75, assumed=True),
            grip_exponent=LoadExponent(front=0.86, rear=0.86, assumed=True),
        ),
        facility=Facility(speed=44.4, air_density=1.2),
        runs=tuple(runs),
        columns={c: Column(name=c, unit="N", form="force") for c in ("front", "rear", "drag")},
        repeatability=StatedRepeatability(
            deviation=OptionalTriple(front=7.0, rear=7.0, drag=4.0), degrees_of_freedom=20.0
        ),
    )


def reduced_by_numpy(session, seed):
    """Reduce a session by hand: areas, repeats pooled with the facility's figure, what all its draws share."""
    facility, runs = session.facility, session.runs
    q = 0.5 * facility.air_density * facility.speed**2
    force = np.array([(r.reading.front, r.reading.rear, r.reading.drag) for r in runs])
    repeats = force[[r.configuration == "baseline" for r in runs]]
    residuals = repeats - repeats.mean(axis=0)
    degrees = len(repeats) - 1
    covariance = residuals.T @ residuals / degrees
    pooled = np.sqrt(np.diag(covariance))
    total = np.sqrt(np.sum(covariance[:2, :2]))
    stated = session.repeatability
    s0 = np.array([stated.deviation.front, stated.deviation.rear, stated.deviation.drag])
    s, s0 = np.append(pooled, total), np.append(s0, np.hypot(s0[0], s0[1]))
    v0 = stated.degrees_of_freedom
    covariance = (v0 * np.diag(s0[:3] ** 2) + degrees * covariance) / (v0 + degrees)
    size = np.sqrt(np.diag(covariance))
    correlation = covariance / np.outer(size, size)
    alone = s**2 > fdtri(degrees, v0, 0.9) * s0**2
    deviation = np.where(alone, s, np.sqrt((v0 * s0**2 + degrees * s**2) / (v0 + degrees)))
    freedom = np.where(alone, degrees, v0 + degrees)[:3]

    rng = np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(0,)))
    scale = np.empty((DRAWS, 3))
    for one in dict.fromkeys(freedom.tolist()):
        scale[:, freedom == one] = np.sqrt(one / rng.chisquare(one, size=(DRAWS, 1)))
    rng.standard_normal((DRAWS, 3))  # the systematic part, which this session has not
    exponents = []
    for low, high, difference in ((0.6, 0.9, 0.10), (0.8, 0.95, 0.05)):
        common = rng.uniform(low, high, size=DRAWS)
        half = rng.uniform(-difference, difference, size=DRAWS) / 2.0
        exponents += [common - half, common + half]
    rng.standard_normal(
        (4, DRAWS)
    )  # exponents that were stated with an uncertainty of their own, which this car has not
    exponents.append(session.vehicle.front_share + SHARE_STD * rng.standard_normal(DRAWS))
    values, vectors = np.linalg.eigh(correlation)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    return force / q, q, root, deviation, scale, exponents


def areas_by_numpy(reduced, rows, seed):
    """Draw the areas of some runs by hand, scaled t, one stream a run; channels first, draws last."""
    nominal, q, root, deviation, scale, _ = reduced
    z = np.empty((len(rows), 3, DRAWS))
    for k, row in enumerate(rows):
        stream = np.random.SeedSequence(seed, spawn_key=(1 + row,))
        z[k] = np.random.default_rng(stream).standard_normal((3, DRAWS))
    noise = (root @ z) * (deviation[:3, None] * scale.T)
    return (nominal[rows][:, :, None] + noise / q).transpose(1, 0, 2)


def by_numpy(session, seed, rows, speeds, reduced=None):
    """Work out runs at one speed, or one run at many, in plain numpy; draws on the last axis."""
    car = session.vehicle
    weight = car.mass * GRAVITY
    reduced = reduced or reduced_by_numpy(session, seed)
    nominal, deviation, (nf, nr, pf, pr, share) = reduced[0][rows].T, reduced[3], reduced[5]
    areas = areas_by_numpy(reduced, rows, seed)
    q = 0.5 * session.facility.air_density * np.asarray(speeds, float) ** 2

    def state(front, rear, drag, nf, nr, pf, pr, share):
        wf, wr, rest = weight * share, weight * (1.0 - share), 1.0 - share
        log_front, log_rear = np.log(1.0 + front / wf), np.log(1.0 + rear / wr)
        weaker = np.exp(nf * log_front - nr * log_rear)
        shift = rest * (1.0 - rest) * (1.0 - weaker) / (rest + (1.0 - rest) * weaker)
        surplus = np.expm1(pr * log_rear - pf * log_front)
        used = drag / (DRIVE_FRICTION * (wr + rear))
        driven = (1.0 + surplus) * np.sqrt(np.maximum(1.0 - used**2, 0.0)) - 1.0
        return front / (front + rear), shift, surplus, driven

    values = state(*(nominal * q), 0.75, 0.75, 0.86, 0.86, car.front_share)
    drawn = state(*(areas * q[:, None]), nf, nr, pf, pr, share)
    figures = {name: spread_by_numpy(d) for name, d in zip(NAMES, drawn, strict=True)}
    decisive = np.fmin(drawn[2], drawn[3])
    edges = order_by_numpy(decisive, CONFIDENCE)
    shares = np.mean(decisive > 0.03, axis=-1), np.mean(decisive < -0.015, axis=-1)
    out = {"values": values, "figures": figures, "edges": edges, "shares": shares}
    out["total_std"] = deviation[3] * q / (0.5 * session.facility.air_density * session.facility.speed**2)
    if len(rows) > 1:
        kf, kr = nominal[0] / (weight * car.front_share), nominal[1] / (weight * (1.0 - car.front_share))
        edge = np.where(kr > kf, 0.03, -0.015)
        ratio = (1.0 + edge) ** (1.0 / 0.86)
        with np.errstate(divide="ignore", invalid="ignore"):
            onset = (ratio - 1.0) / (kr - ratio * kf)
            kf, kr, target = (
                areas[0] / (weight * share),
                areas[1] / (weight * (1.0 - share)),
                np.log1p(edge)[:, None],
            )
            root = target / (pr * kr - pf * kf)
            root = np.where(root > 0.0, root, np.nan)
            for _ in range(16):
                ahead, behind = 1.0 + kf * root, 1.0 + kr * root
                miss = pr * np.log(behind) - pf * np.log(ahead) - target
                moved = np.maximum(root - miss / (pr * kr / behind - pf * kf / ahead), root / 2.0)
                if np.all((np.abs(moved - root) <= 1e-12 * root) | np.isnan(root)):
                    break
                root = moved
            miss = pr * np.log(1.0 + kr * root) - pf * np.log(1.0 + kf * root) - target
        root = np.where(np.abs(miss) <= 1e-9, root, np.inf)
        low, high = order_by_numpy(root, CONFIDENCE)
        density = session.facility.air_density
        onset = np.where(onset > 0.0, onset, np.inf)
        out["onsets"] = tuple(np.sqrt(2.0 * p / density) for p in (onset, low, high))
    return out


def order_by_numpy(draws, share):
    cut = round((DRAWS - share * DRAWS) / 2.0)
    ordered = np.sort(draws, axis=-1)
    return ordered[..., cut], ordered[..., DRAWS - 1 - cut]


def spread_by_numpy(draws):
    cuts = [round((DRAWS - share * DRAWS) / 2.0) for share in (CONFIDENCE, DEVIATION_SHARE)]
    ends = (cuts[0], DRAWS - 1 - cuts[0], cuts[1], DRAWS - 1 - cuts[1])
    ordered = np.sort(draws, axis=-1)
    low, high, lower, upper = (ordered[..., e] for e in ends)
    return (upper - lower) / 2.0, low, high


def by_loop(session, inputs, speeds):
    """Do the same with the math module, one draw at a time, from areas that were drawn."""
    weight = session.vehicle.mass * GRAVITY
    cuts = [round((DRAWS - share * DRAWS) / 2.0) for share in (CONFIDENCE, DEVIATION_SHARE)]
    fronts, rears, drags, nfs, nrs, pfs, prs, front_shares, edges = inputs
    found = []
    for run, edge in enumerate(edges):
        for speed in speeds:
            q = 0.5 * session.facility.air_density * speed * speed
            columns = [[] for _ in NAMES]
            decisive, roots = [], []
            for front, rear, drag, nf, nr, pf, pr, share in zip(
                fronts[run], rears[run], drags[run], nfs, nrs, pfs, prs, front_shares, strict=True
            ):
                wf, wr, rest = weight * share, weight * (1.0 - share), 1.0 - share
                log_front, log_rear = math.log(1.0 + front * q / wf), math.log(1.0 + rear * q / wr)
                weaker = math.exp(nf * log_front - nr * log_rear)
                surplus = math.expm1(pr * log_rear - pf * log_front)
                used = drag * q / (DRIVE_FRICTION * (wr + rear * q))
                driven = (1.0 + surplus) * math.sqrt(max(1.0 - used * used, 0.0)) - 1.0
                columns[0].append(front / (front + rear))
                columns[1].append(rest * (1.0 - rest) * (1.0 - weaker) / (rest + (1.0 - rest) * weaker))
                columns[2].append(surplus)
                columns[3].append(driven)
                decisive.append(min(surplus, driven))
                if edge is not None:
                    roots.append(root_by_loop(front / wf, rear / wr, math.log1p(edge), pf, pr))
            figures = {}
            for name, column in zip(NAMES, columns, strict=True):
                column.sort()
                (a, b), (c, d) = ((column[cut], column[DRAWS - 1 - cut]) for cut in cuts)
                figures[name] = ((d - c) / 2.0, a, b)
            decisive.sort()
            roots.sort()
            shares = sum(s > 0.03 for s in decisive) / DRAWS, sum(s < -0.015 for s in decisive) / DRAWS
            ends = (roots[cuts[0]], roots[DRAWS - 1 - cuts[0]]) if roots else None
            found.append((figures, (decisive[cuts[0]], decisive[DRAWS - 1 - cuts[0]]), shares, ends))
    return found


def draw_by_loop(runs):
    """Draw the correlated noise of some runs with the random module: 3 normal numbers a draw, a 3 by 3 root."""
    gauss, root, scale = (
        random.Random(1).gauss,  # noqa: S311 - noise, no secrets
        ((1.0, 0.0, 0.0), (0.1, 0.9, 0.0), (0.1, 0.1, 0.9)),
        (7.0, 7.0, 4.0),
    )
    areas = ([], [], [])
    for _ in range(runs * DRAWS):
        a, b, c = gauss(0.0, 1.0), gauss(0.0, 1.0), gauss(0.0, 1.0)
        for column, (x, y, z), s in zip(areas, root, scale, strict=True):
            column.append((500.0 + s * (x * a + y * b + z * c)) / 1183.0)
    return areas


def root_by_loop(kf, kr, target, pf, pr):
    slope = pr * kr - pf * kf
    if slope == 0.0 or target / slope <= 0.0:
        return math.inf
    root = target / slope
    for _ in range(16):
        ahead, behind = 1.0 + kf * root, 1.0 + kr * root
        miss = pr * math.log(behind) - pf * math.log(ahead) - target
        moved = max(root - miss / (pr * kr / behind - pf * kf / ahead), root / 2.0)
        if abs(moved - root) <= 1e-12 * root:
            return moved
        root = moved
    return root if abs(miss) <= 1e-9 else math.inf


def agree(one, other, what):
    np.testing.assert_allclose(one, other, rtol=1e-9, atol=1e-12, err_msg=what)


def check(handling, hand, rows=slice(None)):
    """Hold the product's figures against those by hand."""
    estimates = {
        "balance": handling.aero_balance,
        "shift": handling.neutral_steer_shift,
        "surplus": handling.grip_surplus,
        "driven": handling.grip_surplus_driven,
    }
    for name, value in zip(NAMES, hand["values"], strict=True):
        shown = np.isfinite(estimates[name].value)
        assert shown.mean() > 0.9
        agree(estimates[name].value[shown], np.broadcast_to(value, shown.shape)[shown], name)
        for part, figure in zip(("std", "low", "high"), hand["figures"][name], strict=True):
            agree(getattr(estimates[name], part)[shown], figure[rows][shown], f"{name} {part}")
    for k, verdict in enumerate(handling.verdicts):
        agree((verdict.low, verdict.high), [e[k] for e in hand["edges"]], "interval of the verdict")
        rear, front = (s[k] for s in hand["shares"])
        agree(
            [verdict.shares[w] for w in ("rear overpowers front", "front overpowers rear")],
            [rear, front],
            "shares",
        )


def check_loop(loop, hand, count):
    """Hold the loop's figures against those of numpy."""
    for k in range(count):
        figures, edges, shares, ends = loop[k]
        for name in NAMES:
            agree(figures[name], [f[k] for f in hand["figures"][name]], name)
        agree(edges, [e[k] for e in hand["edges"]], "interval of the verdict")
        agree(shares, [s[k] for s in hand["shares"]], "shares")
        if ends is not None:
            agree(np.sqrt(2.0 * np.array(ends) / 1.2), [o[k] for o in hand["onsets"][1:]], "onset")


def loop_inputs(session, seed, rows, *, onsets):
    reduced = reduced_by_numpy(session, seed)
    nominal, areas, exponents = reduced[0][rows].T, areas_by_numpy(reduced, rows, seed), reduced[5]
    car = session.vehicle
    toward_rear = nominal[1] / (1.0 - car.front_share) > nominal[0] / car.front_share
    edges = [(0.03 if rear else -0.015) if onsets else None for rear in toward_rear]
    return (*areas.tolist(), *(e.tolist() for e in exponents), edges)


def timed(function):
    start = perf_counter()
    result = function()
    return perf_counter() - start, result


def main():
    session = long_session()
    seed = seed_of(session)
    rows, picked = list(range(RUNS)), [RUNS // 2]
    speeds = np.linspace(15.0, 75.0, SPEEDS)
    loop_speeds = speeds[:LOOP_SPEEDS]
    table_inputs = loop_inputs(session, seed, rows[:LOOP_RUNS], onsets=True)
    sweep_inputs = loop_inputs(session, seed, picked, onsets=False)
    judged = reduce_day(session, draws=DRAWS)
    assess(judged)

    def at_one_speed():
        return assess(replace(reduce_day(session, draws=DRAWS), judged=judged.judged))

    cases = {
        f"table of {RUNS} runs, {DRAWS} draws": (
            at_one_speed,
            partial(by_numpy, session, seed, rows, [session.facility.speed]),
            partial(by_loop, session, table_inputs, [session.facility.speed]),
            RUNS / LOOP_RUNS,
            (LOOP_RUNS, RUNS / LOOP_RUNS),
        ),
        f"one run at {SPEEDS} speeds, {DRAWS} draws": (
            partial(sweep, reduce_day(session, draws=DRAWS), picked[0], speeds),
            partial(by_numpy, session, seed, picked, speeds, reduced_by_numpy(session, seed)),
            partial(by_loop, session, sweep_inputs, loop_speeds.tolist()),
            SPEEDS / LOOP_SPEEDS,
            (1, 1.0),
        ),
    }
    said = []
    for title, (product, plain, loop, scale, (drawn_runs, drawn_scale)) in cases.items():
        times = []
        for _ in range(ROUNDS):
            (t_product, ours), (t_plain, hand), (t_loop, looped) = timed(product), timed(plain), timed(loop)
            t_draw, _ = timed(partial(draw_by_loop, drawn_runs))
            times.append((t_product, t_plain, t_loop * scale + t_draw * drawn_scale))
        check(ours.handling, hand)
        check_loop(looped, hand, round(len(ours.handling.verdicts) / scale))
        if hasattr(ours, "onsets"):
            for one, other in zip(
                (ours.onsets.speed, ours.onsets.low, ours.onsets.high), hand["onsets"], strict=True
            ):
                agree(one, other, "onset")
            agree(ours.stds[3], np.full(RUNS, hand["total_std"]), "total")
        t_product, t_plain, t_loop = (median(column) * 1e3 for column in zip(*times, strict=True))
        over = median(p / n for p, n, _ in times)
        faster = median(lo / p for p, _, lo in times)
        said += [
            f"{title}: median of {ROUNDS} rounds, figures agree to 1e-9",
            f"  product {t_product:.1f} ms, plain numpy {t_plain:.1f} ms, plain Python {t_loop:.0f} ms",
            f"  (plain Python measured on 1 part in {scale:.0f} and scaled)",
            f"  product / plain numpy   {over:5.2f}   goal: at most {GOAL_NUMPY}",
            f"  plain Python / product  {faster:5.1f}   goal: at least {GOAL_LOOP:.0f}",
        ]
    pairs = [
        (timed(at_one_speed)[0], timed(lambda: assess(reduce_day(session, draws=DRAWS)))[0])
        for _ in range(ROUNDS)
    ]
    share = median((whole - one) / one for one, whole in pairs)
    said += [
        f"verdicts over the range of {RUNS} rows beside one speed, {DRAWS} draws: {median(w - o for o, w in pairs) * 1e3:.0f} ms",
        f"  range / one speed       {share:5.2f}   goal: at most {GOAL_RANGE:.0f}",
    ]
    sys.stdout.write("\n".join(said) + "\n")


if __name__ == "__main__":
    main()
