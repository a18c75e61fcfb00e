"""What a class or a car hangs on is told where it is read: the height that reacts drag, the static margin, the surplus."""

import json
import re

import pytest

# Small car: 1290 kg, 54.2 % front: 6857 N on the front axle, 5794 N on the rear; wheelbase 2575 mm (1290 * 9.80665).
# Drag of 1150 N held at 300 mm: a couple of 1150 * 0.3 / 2.575 = 134 N off the front, on to the rear. With pads that
# feel a front of 0 N and a rear of 100 N lift: (1 - 100/5794)^0.86 - 1 = -1.49 % at ground level, and with the
# couple (1 + 34/5794)^0.86/(1 - 134/6857)^0.86 - 1 = +2.23 % (hand arithmetic).
EXACT = '[tyres]\ngrip_load_exponent = "0.86 exactly"\nstiffness_load_exponent = "0.75 exactly"\n'
HEIGHT = 'drag_reacted_at = "300 mm"\n'


@pytest.fixture
def day(desk):
    """Write a day of one configuration, its lift at front and rear, and lines behind the car's and the session's file."""

    def write(front, rear, *, vehicle="", session="", head="", more=""):
        runs = f"run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,base,{front},{rear},1150\n2,base,{front},{rear},1150\n"
        return desk.write(
            vehicle=(desk.car / "vehicle.toml").read_text() + vehicle,
            session=head + (desk.session / "session.toml").read_text() + session,
            runs=runs + more,
        )

    return write


def words(result):
    assert result.returncode == 0, result.stderr
    return " ".join(result.stdout.split())


def test_a_class_that_hangs_on_the_height_of_drag_is_told(axletrim, day, tmp_path):
    lift = 160  # (1 - 160/5794)^0.86 - 1 = -2.38 % at ground level, with the couple +1.3 %: the front's limit is 1.5 %
    folder = day(0, lift, vehicle=EXACT, session=HEIGHT)
    said = words(axletrim("check", folder))
    assert (
        "facility: drag was reacted 300 mm above the ground, and each configuration would be of another class"
        in said
    )
    table = words(axletrim("table", folder))
    assert (
        "warning: with drag reacted at ground level the grip balance would be −2.4 % in place of 1.3 %: past the oversteer "
        "limit, not in balance" in table
    )
    page = tmp_path / "page.html"
    made = axletrim("report", folder, "-o", page)
    assert made.returncode == 0, made.stderr
    assert "with drag reacted at ground level" in page.read_text(encoding="utf-8")
    asked = axletrim("what-if", folder, "--set", "from=1", "--json")
    (one,) = json.loads(asked.stdout)["what_ifs"]
    assert one["start"]["grip_surplus_drag_at_ground"] == pytest.approx(-0.0238, abs=1e-4)
    assert "with drag reacted at ground level: grip balance −2.4 %" in words(
        axletrim("what-if", folder, "--set", "from=1")
    )


@pytest.mark.parametrize("session", ["", 'drag_reacted_at = "0 mm"\n'])
def test_at_ground_level_nothing_is_said_of_it(axletrim, day, session):
    folder = day(0, 160, vehicle=EXACT, session=session)
    assert "ground level the grip" not in words(axletrim("table", folder))
    assert "would be of another class" not in words(axletrim("check", folder))


def test_a_class_that_does_not_hang_on_it_is_left_alone(axletrim, day):
    folder = day(0, -20, vehicle=EXACT, session='drag_reacted_at = "50 mm"\n')
    assert "would be of another class" not in words(axletrim("check", folder))


@pytest.mark.parametrize(("margin", "there"), [("-2 %", True), ("0 %", False), ("2 %", False)])
def test_a_negative_static_margin_is_a_caution_in_its_own_words(axletrim, day, tmp_path, margin, there):
    folder = day(0, 40, vehicle=f'{EXACT}static_margin = "{margin}"\n')
    caution = "this car diverges above some speed even without air; tyre data are needed to say which"
    assert (caution in words(axletrim("check", folder))) is there
    assert (caution in words(axletrim("table", folder))) is there
    assert (caution in words(axletrim("what-if", folder, "--set", "from=1"))) is there
    page = tmp_path / "page.html"
    made = axletrim("report", folder, "-o", page)
    assert made.returncode == 0, made.stderr
    assert (caution in page.read_text(encoding="utf-8")) is there


@pytest.mark.parametrize(
    ("lift", "target", "side"),
    [
        # 40 N of lift at the rear: (1 - 40/5794)^0.86 - 1 = -0.6 %, past a limit of 0.3 %, yet hardly felt
        (40, 'front_tolerance = "0.3 %"', "oversteer"),
        # 40 N of downforce there: +0.6 %
        (-40, 'tolerance = "0.3 %"', "understeer"),
    ],
)
def test_a_narrow_band_does_not_make_a_driver_feel_more(axletrim, day, tmp_path, lift, target, side):
    stated = '[repeatability]\nfront = "1 N"\nrear = "1 N"\ndrag = "1 N"\ndegrees_of_freedom = 50\n'
    folder = day(0, lift, vehicle=f"{EXACT}[target]\n{target}\n", session=stated)
    car = folder.parent / "vehicle.toml"
    car.write_text(car.read_text().replace('"54.2 %"', '"54.2 % exactly"'))
    assert "54.2 % exactly" in car.read_text()
    made = axletrim("report", folder, "-o", tmp_path / "page.html")
    assert made.returncode == 0, made.stderr
    page = (tmp_path / "page.html").read_text(encoding="utf-8").replace("\xa0", " ")
    asked = words(axletrim("what-if", folder, "--set", "from=1"))
    assert f"at 160 km/h: past the {side} limit, much as in slow corners" in asked
    assert re.search(rf"Past the {side} limit from [^<]* km/h [^<]*, much as in slow corners", page)
    for said in (page, asked):
        assert f"more {side} than in slow corners" not in said.casefold()


@pytest.mark.parametrize("second", ["40", "900"])
def test_a_wide_front_limit_stands_in_every_verdict_and_hides_no_danger(axletrim, day, second):
    """395 N of rear lift: -5.9 % by hand, within a limit of 15 %; 900 N: -13.5 %."""
    more = f"3,other,0,{second},1150\n4,other,0,{second},1150\n"
    stated = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\ndegrees_of_freedom = 20\n'
    folder = day(0, 395, vehicle=f'{EXACT}[target]\nfront_tolerance = "15 %"\n', session=stated, more=more)
    said = axletrim("table", folder, "--width", "200").stdout
    rows = [line for line in said.splitlines() if line.startswith(("  1 ", "  3 "))]
    assert len(rows) == 2
    assert all("15 %" in line for line in rows)
    assert "warning: past the usual 1.5 % oversteer limit in more than 99 % of draws" in said
    text = words(axletrim("what-if", folder, "--set", "from=1"))
    assert "oversteer limit widened to 15 %" in text
    assert "warning: past the usual 1.5 % oversteer limit in more than 99 % of draws" in text
    assert "the usual oversteer limit is 1.5 % (more oversteer than in slow corners)" in text


@pytest.mark.parametrize(("limit", "shown"), [("1.6 %", "1.6 %"), ("15 %", "15 %"), ("2.25 %", "2.25 %")])
def test_a_limit_is_written_with_the_digits_that_it_has(axletrim, day, limit, shown):
    folder = day(0, 20, vehicle=f'{EXACT}[target]\nfront_tolerance = "{limit}"\n')
    assert f"small load, {shown}" in words(axletrim("table", folder, "--width", "200"))


@pytest.mark.parametrize("head", ["", "format = 2\n"])
def test_a_wide_tolerance_opens_the_rear_side_alone_in_every_format(axletrim, day, head):
    folder = day(0, 285, vehicle=f'{EXACT}[target]\ntolerance = "5 %"\n', head=head)
    assert json.loads(axletrim("table", folder, "--json").stdout)["tolerance"] == {
        "rear": 0.05,
        "front": 0.015,
    }
    told = "tolerance of 5 % holds for the rear over the front alone" in words(axletrim("check", folder))
    assert told is (not head)  # an older day is told what holds for it too


@pytest.mark.parametrize(
    ("lines", "limits", "told"),
    [
        ("grip_load_exponent = 0.8\n", [0.7625, 0.8375], True),
        ('grip_load_exponent = "0.8 exactly"\n', None, False),
        ('grip_load_exponent = "0.8 ± 0.05"\n', None, False),
    ],
)
def test_a_stated_exponent_is_told_as_it_is_drawn(axletrim, day, lines, limits, told):
    folder = day(0, 40, vehicle=f"[tyres]\n{lines}")
    record = json.loads(axletrim("table", folder, "--json").stdout)
    assert record["exponents"]["grip"]["range"] == (limits if limits is None else pytest.approx(limits))
    assert record["front_weight_share_std"] == pytest.approx(0.003)
    text = " ".join(record["warnings"])
    assert ("grip exponent stated without its uncertainty: drawn within 0.0375 of it" in text) is told
    assert ("no longer taken as exact" in words(axletrim("check", folder))) is told


TOTAL = "run,configuration,front_lift [N],rear_lift [N],drag [N],total_lift [N]\n"
# Seven newtons at each axle are 9.9 N in the sum, four of which are 39.6 N; 2 % of the larger axle are 5.2 N.
SEVEN = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\n'


@pytest.mark.parametrize(
    ("total", "session", "doubted"),
    [
        (374, SEVEN, False),
        (383, SEVEN, False),
        (385, SEVEN, True),
        (349, "", False),
        (350, "", True),
        (374, "", True),
    ],
)
def test_a_total_is_held_to_the_axles_by_the_scatter_where_it_is_known(
    axletrim, desk, total, session, doubted
):
    text = (desk.session / "session.toml").read_text()
    runs = f"{TOTAL}1,base,84,260,1150,{total}\n2,splitter,90,265,1152,355\n"
    said = words(axletrim("check", desk.write(session=f"format = 2\n{text}{session}", runs=runs)))
    assert ("run 1: front −84 N and rear −260 N, but the total says" in said) is doubted
    assert "run 2: front" not in said


def test_repeats_of_other_configurations_say_how_far_a_total_may_be(axletrim, desk):
    """Sums of 344 and 364 N in run 3 and 4: a standard deviation of 14.1 N by hand, four of which are 56.6 N."""
    text = (desk.session / "session.toml").read_text()
    repeats = "3,other,84,260,1150,344\n4,other,94,270,1152,364\n"
    for total, doubted in ((399, False), (402, True)):
        runs = f"{TOTAL}1,base,84,260,1150,{total}\n{repeats}"
        said = words(axletrim("check", desk.write(session=f"format = 2\n{text}", runs=runs)))
        assert ("run 1: front −84 N and rear −260 N, but the total says" in said) is doubted


def test_a_turned_sign_among_repeats_does_not_hide_itself(axletrim, desk):
    text = (desk.session / "session.toml").read_text()
    runs = f"{TOTAL}1,base,84,260,1150,344\n2,base,-84,260,1151,344\n"
    said = words(axletrim("check", desk.write(session=f"format = 2\n{text}", runs=runs)))
    assert "run 2: front 84 N and rear −260 N, but the total says" in said
