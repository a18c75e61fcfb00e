"""A day whose truth is known, on the command line: the right parts, the right way round, at the right size."""

import json
import math
import re

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from tests.known_day import (
    BARE_LIFT,
    NOISE_N,
    fitted,
    in_true_order,
    measured,
    runs,
    true_change,
    truth,
    write_day,
)

CHANNELS = ("front_downforce_change_N", "rear_downforce_change_N", "drag_change_N")
MOST_OFF = 4.0
"""Standard deviations that a figure may be off: 1 in 16,000 of a normal noise (from memory)."""


@pytest.fixture
def day(tmp_path):
    return write_day(tmp_path)


@pytest.fixture
def ask(axletrim):
    def read(command, *arguments):
        done = axletrim(command, *arguments, "--json")
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return read


def test_parts_stand_in_the_true_order_and_none_is_missing_or_a_baseline_again(ask, axletrim, day):
    found = ask("parts", day, "--rank", "downforce")["parts"]
    assert [part["run"] for part in found] == in_true_order()
    assert {part["run"]: tuple(part["baseline_runs"]) for part in found} == {
        run: baselines for run, (_, baselines) in measured().items()
    }
    assert not any(part["baseline_later"] for part in found)
    said = axletrim("parts", day, "--width", "200").stdout
    rows = [line.split()[0] for line in said.splitlines() if re.match(r"  \d+ .*│", line)]
    assert rows == in_true_order()
    assert "run 5 (splitter off) has the settings of run 1 (baseline)" in " ".join(said.split())


def test_every_part_has_its_true_size(ask, day):
    for part in ask("parts", day)["parts"]:
        if not part["shows_part"]:
            continue
        parts, _ = measured()[part["runs"][0]]
        reads = math.sqrt(1 / len(part["runs"]) + 1 / len(part["baseline_runs"]))
        for channel, true, noise in zip(CHANNELS, true_change(parts), NOISE_N, strict=True):
            assert part[channel] == pytest.approx(true, abs=MOST_OFF * noise * reads + 0.5), part["run"]


def test_the_page_tells_every_part(axletrim, day, tmp_path):
    page = tmp_path / "page.html"
    assert axletrim("report", day, "-o", page, "--depth", "full").returncode == 0
    text = " ".join(re.sub(r"<[^>]+>", " ", page.read_text(encoding="utf-8")).split())
    for words in (
        "spoiler 55 mm run 7 against mean of runs 1, 2, 10",
        "gurney 10 mm run 21 against mean of runs 14, 16",
        "gurney 20 mm run 22 against mean of runs 14, 16",
        "run 24 against mean of runs 11, 17, 25, 26",
    ):
        assert words in text
    told = re.findall(r"(?:run (\d+)|mean of runs (\d+), \d+) against (?:run|mean)", text)
    assert {alone or first for alone, first in told} == set(measured())
    assert not re.search(r"(mm|°) off run", text)


def put(ask, day, *sets):
    options = [part for one in sets for part in ("--set", one)]
    (found,) = ask("what-if", day, *options)["what_ifs"]
    return found


def near(true, *, reads):
    """A rear load, with the noise of some means of readings in it and the rounding of the sheet."""
    return pytest.approx(true, abs=MOST_OFF * NOISE_N[1] * math.sqrt(reads) + 0.5)


def test_a_part_is_put_on_at_its_own_settings(ask, day):
    """The gurney of 10 mm on the car of run 16 is the car of run 21, whatever was run after it."""
    found = put(ask, day, "from=16", "on=21")
    table = {run["run"]: run for run in ask("table", day)["runs"]}
    assert found["result"]["rear_downforce_N"] == pytest.approx(table["21"]["rear_downforce_N"], rel=1e-9)
    change = found["result"]["rear_downforce_N"] - found["start"]["rear_downforce_N"]
    assert change == near(truth()["gurney 10 mm"][1], reads=1 + 1 / 2)


def test_a_part_takes_the_place_of_the_one_on_the_car(ask, day):
    """On the car with the gurney of 20 mm, that of 10 mm is put in its place and not on top."""
    found = put(ask, day, "from=22", "on=21")
    true = truth()["gurney 10 mm"][1] - truth()["gurney 20 mm"][1]
    change = found["result"]["rear_downforce_N"] - found["start"]["rear_downforce_N"]
    assert change == near(true, reads=2)
    assert any("counted from run 22" in text for text in found["assumptions"])
    swapped = put(ask, day, "from=22", "off=22", "on=21")
    assert swapped["result"]["rear_downforce_N"] == pytest.approx(
        found["result"]["rear_downforce_N"], rel=1e-9
    )
    again = put(ask, day, "from=21", "on=21")
    assert again["result"]["rear_downforce_N"] == again["start"]["rear_downforce_N"]
    assert any("is on already" in text for text in again["assumptions"])


def test_a_part_stated_against_a_later_run_is_put_on_at_its_own_settings(ask, day):
    """The day as it was seen: run 21 named run 22, with twice the gurney, as its baseline."""
    runs = day / "runs.csv"
    text = runs.read_text(encoding="utf-8")
    (row,) = (line for line in text.splitlines() if line.startswith("21,"))
    cells = row.split(",")
    cells[12] = "22"
    runs.write_text(text.replace(row, ",".join(cells)), encoding="utf-8")
    found = put(ask, day, "from=16", "on=21")
    change = found["result"]["rear_downforce_N"] - found["start"]["rear_downforce_N"]
    assert change == near(truth()["gurney 10 mm"][1], reads=1 + 1 / 2)
    assert any(
        "counted from run 14" in text or "counted from run 16" in text for text in found["assumptions"]
    )


def test_what_was_not_measured_in_that_place_is_refused_in_words(axletrim, day, spoken):
    said = spoken(axletrim("what-if", day, "--set", "from=3", "--set", "on=12"))
    assert "part '12': found splitter_length 60 mm on the car" in said
    said = spoken(axletrim("what-if", day, "--set", "from=1", "--set", "on=5"))
    assert "part '5': found a run without a baseline" in said


def test_a_trim_with_a_part_stands_on_the_same_car(ask, axletrim, day, spoken):
    curve = ("--setting", "wing_angle", "--family", "13,14,15", "--target-surplus", "2 %")
    plain = ask("wing", day, "--from", "14", *curve)["solutions"][0]["value"]
    with_part = ask("wing", day, "--from", "14", *curve, "--part", "21")["solutions"][0]["value"]
    assert with_part < plain
    on_the_run = ask("wing", day, "--from", "21", *curve)["solutions"][0]["value"]
    assert with_part == pytest.approx(on_the_run, abs=0.05)
    said = spoken(axletrim("wing", day, "--from", "14", *curve, "--part", "15"))
    assert "wing_angle: found part '15', which changes it" in said


def true_surplus(parts, *, exponent=0.86, faster=1.0):
    """Grip surplus of the bare car with parts at so many times the day's speed, by hand: ((1 + DFr/Wr)/(1 + DFf/Wf))^0.86 - 1."""
    front, rear, _ = true_change(parts)
    weight = 1340.0 * 9.80665
    front, rear = (
        faster**2 * (gained - lift) for gained, lift in zip((front, rear), BARE_LIFT, strict=False)
    )
    return ((1.0 + rear / (0.47 * weight)) / (1.0 + front / (0.53 * weight))) ** exponent - 1.0


def true_angle(target, others):
    """The angle that truly meets a surplus, through the true figures at 4, 8 and 12 degrees (SciPy's Pchip and brentq)."""
    angles = np.array([4.0, 8.0, 12.0])
    surplus = PchipInterpolator(angles, [true_surplus((*others, f"wing {a:g} deg")) for a in angles])
    return brentq(lambda angle: float(surplus(angle)) - target, 4.0, 12.0)


@pytest.mark.parametrize("target", [0.01, 0.02])
def test_the_trim_holds_the_true_angle_whatever_the_labels_are(ask, day, target):
    """Runs 13 to 15 are labelled "wing 4", "wing 8" and "wing 12": one family by their settings."""
    found = ask(
        "trim", day, "--from", "14", "--setting", "wing_angle", "--target-surplus", f"{100 * target:g} %"
    )
    (solution, *_) = found["solutions"]
    low, high = solution["interval"]
    assert low <= true_angle(target, ("splitter 80 mm",)) <= high
    assert solution["grip_surplus"] == pytest.approx(target, abs=1e-9)
    assert found["family"] == ["13", "23", "14", "16", "15", "20"]


def test_ways_stand_in_the_true_order_where_the_day_can_tell(ask, day):
    found = ask("trim", day, "--from", "14", "--setting", "wing_angle", "--target-surplus", "3 %")
    ways = found["ways"]
    green = [way["to_target"] for way in ways]
    assert green == sorted(green, reverse=True)
    for kind in (True, False):
        drags = [way["drag_change_N"] for way in ways if way["to_target"] is kind]
        assert drags == sorted(drags)
    said = {way["way"]: way for way in ways}
    gurney = said["gurney height 10 mm"]
    assert gurney["measured"]
    assert (
        gurney["drag_change_N_interval"][0]
        <= truth()["gurney 10 mm"][2]
        <= gurney["drag_change_N_interval"][1]
    )
    assert (
        gurney["rear_downforce_change_N_interval"][0]
        <= truth()["gurney 10 mm"][1]
        <= gurney["rear_downforce_change_N_interval"][1]
    )
    assert any(way.startswith("wing angle ") for way in said)
    assert any(
        "added at the rear axle" in way or "to rear axle" in way or "front axle" in way for way in said
    )


_CLAUSE = re.compile(r"(without )?([a-z ]+?) (?:([\d.]+)(?: ?(?:mm|°))?|(pair|open|louvred))$")


def true_drag(way, start):
    """What a way truly costs in drag, in N: by hand from the parts that it leaves on the car, the angle between the true ones."""
    after = dict(start)
    for clause in way.split(", "):
        without, name, value, text = _CLAUSE.match(clause).groups()
        setting = name.strip().replace(" ", "_")
        if without:
            after.pop(setting)
        else:
            after[setting] = float(value) if value else text
    angle = PchipInterpolator([4.0, 8.0, 12.0], [truth()[f"wing {a} deg"][2] for a in (4, 8, 12)])

    def drag(settings):
        others = {name: value for name, value in settings.items() if name != "wing_angle"}
        wing = float(angle(settings["wing_angle"])) if "wing_angle" in settings else 0.0
        return true_change(fitted(others))[2] + wing

    return drag(after) - drag(start)


@pytest.mark.parametrize(("run", "wing"), [("14", 8.0), ("13", 4.0)])
@pytest.mark.parametrize("target", ["1 %", "2 %", "3 %"])
def test_of_two_ways_that_the_day_tells_apart_the_truly_cheaper_is_first(ask, day, run, wing, target):
    """A way's drag is a difference of means of readings of 2 N each: two of them are told apart 20 N from one another."""
    found = ask("trim", day, "--from", run, "--setting", "wing_angle", "--target-surplus", target)
    start = {"splitter_length": 80.0, "wing_angle": wing}
    told = 5.0 * 2.0 * NOISE_N[2]
    ways = [way for way in found["ways"] if "kg " not in way["way"]]
    assert len(ways) > 4
    pairs = 0
    for kind in (True, False):
        drags = [
            (way["drag_change_N"], true_drag(way["way"], start)) for way in ways if way["to_target"] is kind
        ]
        for k, (first, true_first) in enumerate(drags):
            assert first == pytest.approx(true_first, abs=0.5 * told)
            for second, true_second in drags[k + 1 :]:
                if second - first > told:
                    pairs += 1
                    assert true_first < true_second
    assert pairs > 0


def test_what_the_day_arrives_at_by_itself_is_truly_the_best(ask, day):
    """Of the cars that press on both axles and are truly in balance up to 1.22 times the speed: the most downforce less 5 times drag."""
    found = ask("compare", day)
    assert found["baseline"] == "1"
    worth = {}
    for run, (parts, _) in measured().items():
        row = next(one for one in runs() if one.label == run)
        whole = fitted(row.settings) if run != "24" else parts
        front, rear, drag = true_change(whole)
        front, rear = front - BARE_LIFT[0], rear - BARE_LIFT[1]
        surplus = true_surplus(whole), true_surplus(whole, faster=1.22)
        if front > 0.0 and rear > 0.0 and all(-0.015 < one < 0.03 for one in surplus):
            worth[run] = front + rear - 5.0 * drag
    best = max(worth.values())
    noise = MOST_OFF * math.hypot(NOISE_N[0], NOISE_N[1], 5.0 * NOISE_N[2]) / math.sqrt(2.0)
    assert len(worth) > 1
    assert worth[found["run"]] >= best - noise
