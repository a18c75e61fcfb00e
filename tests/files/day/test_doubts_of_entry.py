"""What is unlikely in a run just typed: it is warned of, in words, and never refused."""

import shutil
from pathlib import Path

import pytest

from balance.decide.day.day import reduce_day
from balance.decide.doubts.entry_doubts import entry_doubts
from balance.decide.doubts.plausibility import doubts
from balance.decide.parts.baselines import runs_since_baseline
from balance.decide.plan.entry_guard import guard_run
from balance.files.day.opening import open_day
from balance.files.loader import load_session
from balance.model.errors import UnknownName
from balance.model.plans import DayPlan
from balance.tell.runs.doubt_words import doubt_words

DEMO = Path(__file__).parents[3] / "vehicles" / "brindlow_hatch"
PACKAGE = {"configuration": "splitter and wing", "splitter_length": "60", "speed": "160.0"}


@pytest.fixture
def day(tmp_path):
    shutil.copytree(DEMO, tmp_path / "car")
    with open_day(tmp_path / "car" / "tunnel_day") as opened:
        yield opened


def words(day, **cells):
    guarded = guarded_of(day, **cells)
    return [doubt_words(doubt) for doubt in guarded.doubts]


def guarded_of(day, **cells):
    """Look at a run 25 of the day."""
    return guard_run(day.preview(day.sheet.appended({"run": "25", **PACKAGE, **cells})), "25", DayPlan())


def causes(day, **cells):
    """Name what is asked about a run 25 against what the runs before it expect."""
    judged = guarded_of(day, **cells).judged
    return [(one.kind, one.channels) for one in judged.likely] if judged.asked else []


def test_a_run_in_its_family_raises_no_doubt(day):
    assert words(day, wing_angle="8", front_lift="-255", rear_lift="-392", drag="1251") == []
    assert words(day, wing_angle="12", front_lift="-215", rear_lift="-490", drag="1290") == []


def test_the_days_own_runs_raise_none_but_the_one_at_another_speed(day):
    found = {run.label: entry_doubts(day.session, run.label) for run in day.session.used}
    assert {label: [doubt.kind for doubt in doubts] for label, doubts in found.items() if doubts} == {}


def test_a_turned_sign_is_seen_and_told_once(day):
    wrong = {"wing_angle": "8", "front_lift": "255", "rear_lift": "-392", "drag": "1251"}
    assert causes(day, **wrong) == [("sign", (0,))]
    assert words(day, **wrong) == []


def test_a_digit_too_many_or_too_few_is_seen(day):
    found = words(day, wing_angle="8", front_lift="-255", rear_lift="-3920", drag="125")
    assert any(
        "rear of 3920 N: the day's other runs have at most" in text and "a digit too many or too few?" in text
        for text in found
    )
    assert any("drag of 125 N: the day's other runs have about" in text for text in found)


def test_ten_times_and_a_tenth_of_the_nearest_run_are_seen(day):
    found = words(day, wing_angle="8", front_lift="-2590", rear_lift="-388", drag="1250")
    assert [text for text in found if text.startswith("run 25: front of") and "a digit too many" in text] == [
        text for text in found if "the day's other runs have at most" in text
    ]
    found = words(day, wing_angle="8", front_lift="-25.5", rear_lift="-388", drag="1250")
    assert found[0].startswith("run 25: front of 26 N against ")
    assert found[0].endswith("of run 16: a digit too many or too few?")


@pytest.mark.parametrize(
    ("angle", "right"),
    [
        ("9", {"front_lift": -248, "rear_lift": -420, "drag": 1257}),
        ("8", {"front_lift": -259, "rear_lift": -388, "drag": 1250}),
    ],
)
def test_a_run_at_another_speed_is_seen_with_and_without_a_repeat_of_it(day, angle, right):
    factor = (140 / 160) ** 2  # 0.766
    cells = {name: str(round(figure * factor)) for name, figure in right.items()}
    (found,) = guarded_of(day, wing_angle=angle, **cells).judged.likely
    assert found.kind == "speed"
    assert found.factor == pytest.approx(factor, abs=0.01)
    assert causes(day, wing_angle=angle, **{name: str(figure) for name, figure in right.items()}) == []


def test_a_slope_out_of_its_family_is_seen(day):
    (found,) = words(day, wing_angle="12", front_lift="-215", rear_lift="-950", drag="1290")
    assert found.startswith("run 25: rear changes by ")
    assert "per deg of wing_angle against run 18, above the " in found


def test_the_days_own_runs_are_asked_about_in_nothing_else(day):
    """The invented day was read without slips: of 23 runs none is asked about, or one by chance."""
    asked = [run.label for run in day.session.used if guard_run(day.session, run.label, DayPlan()).asked]
    assert len(asked) <= 1


def test_void_runs_raise_none_and_unknown_ones_are_told(day):
    assert entry_doubts(day.session, "8") == ()
    with pytest.raises(UnknownName):
        entry_doubts(day.session, "99")
    with pytest.raises(UnknownName):
        runs_since_baseline(day.session, "99")


def test_the_first_run_of_a_day_raises_none(day):
    sheet = day.sheet
    only = day.preview(
        sheet.changed({label: {"status": "void", "reason": "x"} for label in sheet.labels[1:]})
    )
    assert entry_doubts(only, "1") == ()


SINCE = [("1", ("1",)), ("2", ("2",)), ("5", ("3", "4", "5")), ("12", ("9", "10", "11", "12")), ("13", ("9", "10", "11", "12", "13")), ("18", ("14", "15", "16", "17", "18")), ("24", ("14", "15", "16", "17", "18", "19", "20", "21", "22", "23", "24"))]  # fmt: skip


@pytest.mark.parametrize(("label", "runs"), SINCE)
def test_the_runs_since_the_last_good_baseline(day, label, runs):
    assert runs_since_baseline(day.session, label) == runs


def test_a_repeat_far_from_the_others_is_seen_though_no_digit_explains_it(day):
    wrong = {"configuration": "as delivered", "splitter_length": "", "front_lift": "300", "rear_lift": "284"}
    assert causes(day, drag="1160", **wrong) == [("part loose", (0,)), ("wrong setting", (0,))]
    assert words(day, drag="1160", **wrong) == []


def test_a_setting_far_outside_those_of_the_day_is_seen(day):
    found = words(day, wing_angle="80", front_lift="-255", rear_lift="-392", drag="1250")
    assert "run 25: wing_angle of 80°: the day's other runs have 2 to 14°; is it right?" in found
    found = words(day, wing_angle="20", front_lift="-255", rear_lift="-392", drag="1250")
    assert not any("the day's other runs have 2 to 14°" in text for text in found)


HEAD = "run,configuration,louvres,wing_angle [deg],front_lift [kgf],rear_lift [kgf],drag [kgf]\n"
SMALL = f"{HEAD}1,base,,,12,53.37,118\n2,base,,,12.3,53.1,118.2\n3,base,one,,11.8,52.6,118.1\n"


@pytest.fixture
def typed(tmp_path):
    """Doubts about the last run of a small day."""
    (tmp_path / "vehicle.toml").write_text(
        'name = "car (invented)"\n[mass]\ntotal = "1290 kg"\nfront_share = "54.2 %"\n[size]\nwheelbase = "2575 mm"\n'
    )
    (tmp_path / "session.toml").write_text(
        'title = "day (invented)"\nvehicle = "vehicle.toml"\n[facility]\nspeed = "160 km/h"\nair_density = "1.2 kg/m^3"\n'
        '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\ndegrees_of_freedom = 20\n'
    )

    def read(runs):
        (tmp_path / "runs.csv").write_text(runs)
        session = load_session(tmp_path)
        return [(doubt.kind, doubt.run, doubt.axle) for doubt in doubts(reduce_day(session, draws=100))]

    return read


def test_a_sign_that_turns_as_another_part_goes_on_is_asked_about(typed):
    # louvres cannot make 105 kgf at the rear where no part of the day did more than 1 kgf there
    assert typed(f"{SMALL}4,base,both,,11.5,-51.46,118.4\n") == [("turned", "4", "rear")]


@pytest.mark.parametrize(
    "row",
    [
        "4,base,,6,16,-51.46,125\n",  # a wing for the rear
        "4,rear wing,,,16,-51.46,125\n",  # the same, by its name alone
        "4,base,both,,11.5,50.9,118.4\n",  # louvres that do little
        "4,base,both,,-2,53.0,118.4\n",  # a small figure that changes its sign
    ],
)
def test_a_sign_that_a_part_explains_is_not_asked_about(typed, row):
    assert typed(SMALL + row) == []


@pytest.mark.parametrize("odd", [1, 2])
def test_of_two_runs_apart_by_a_factor_the_one_apart_from_all_others_is_named(typed, odd):
    # 0.81 of every figure is 0.9 of the speed: the run at 144 km/h is odd, whichever of the two it was
    base = {1: "12,53.37,118", 2: "12,53.37,118"} | {odd: "9.72,43.23,95.58"}
    runs = f"{HEAD}1,base,,,{base[1]}\n2,base,,,{base[2]}\n3,base,one,,11.8,52.6,118.1\n4,base,two,,11.7,52.9,118.3\n"
    assert ("scaled alike", str(odd), None) in typed(runs)
    assert ("scaled alike", str(3 - odd), None) not in typed(runs)
