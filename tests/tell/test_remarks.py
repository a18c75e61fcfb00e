"""What is assumed or missing is said, and nothing is said twice."""

import balance
from balance.tell.figures import Show
from balance.tell.runs.card import run_card
from balance.tell.runs.detail import run_detail
from balance.tell.runs.remarks import assumptions, day_warnings, run_remarks, session_remarks

VEHICLE = """name = "car (invented)"
[mass]
total = "1200 kg"
front_share = "55 %"
[size]
wheelbase = "2500 mm"
"""
SESSION = """title = "day (invented)"
vehicle = "vehicle.toml"
[facility]
speed = "160 km/h"
air_density = "1.2 kg/m^3"
"""


def day_of(folder, session=SESSION, vehicle=VEHICLE):
    (folder / "vehicle.toml").write_text(vehicle)
    (folder / "session.toml").write_text(session)
    (folder / "runs.csv").write_text(
        "run,configuration,front_lift [N],rear_lift [N],drag [N]\n1,a,1,2,1000\n2,b,3,4,1010\n"
    )
    return balance.reduce_day(balance.load_session(folder))


def test_a_silent_session_says_all_that_it_assumes(tmp_path):
    day = day_of(tmp_path)
    said = [*day_warnings(day), *assumptions(day)]
    assert [text.partition(":")[0] for text in said] == [
        "repeatability unknown",
        "stiffness exponent not stated",
        "grip exponent not stated",
        "front weight share stated without its uncertainty",
        "static margin at rest not stated",
        "limits not stated",
        "driven axle not stated",
        "height at which drag is reacted not stated",
        "facility's kind not stated",
        "facility's floor not stated",
        "frontal area not stated",
        "date not stated",
    ]


def test_nothing_is_said_twice(tmp_path):
    table = balance.assess(day_of(tmp_path))
    said = list(session_remarks(table))
    assert len(said) == len(set(said))


def test_drag_reacted_above_the_ground_moves_its_couple_to_the_axles(tmp_path):
    # 1000 N of drag held at 250 mm on a wheelbase of 2500 mm: 100 N off the front, on to the rear
    plain = day_of(tmp_path).readings
    held = day_of(tmp_path, session=SESSION + 'drag_reacted_at = "250 mm"\n').readings
    moved = (held.areas - plain.areas) * held.force_pressure[:, None]
    assert moved[0].round(9).tolist() == [-100.0, 100.0, 0.0]
    assert moved[1].round(9).tolist() == [-101.0, 101.0, 0.0]


def test_nothing_is_said_of_how_sure_before_it_is_worked_out(tmp_path):
    stated = '[repeatability]\nfront = "7 N"\nrear = "7 N"\ndrag = "4 N"\n'
    day = day_of(tmp_path, session=SESSION + stated)
    first, whole = balance.assess(day, drawn=False), balance.assess(day)
    for row in range(2):
        early = [
            *run_remarks(first, row),
            *(text for s in run_detail(first, row, Show()) for _, text in s.lines),
        ]
        assert not any("repeats" in text or "cannot tell" in text for text in early)
        assert "How sure: being worked out …" in early
        late = [text for s in run_detail(whole, row, Show()) for _, text in s.lines]
        assert any("% of draws" in text for text in late)
    unknown = balance.assess(day_of(tmp_path), drawn=False)
    assert any("No repeats and no stated repeatability" in text for text in run_remarks(unknown, 0))


def test_a_card_cautions_of_a_negative_static_margin(tmp_path):
    for margin, there in (("-2 %", True), ("2 %", False)):
        table = balance.assess(day_of(tmp_path, vehicle=f'{VEHICLE}[tyres]\nstatic_margin = "{margin}"\n'))
        assert ("diverges above some speed even without air" in run_card(table, 0, Show()).caution) is there


def test_the_detail_shows_the_surplus_with_drag_at_ground_level(tmp_path):
    # 1000 N of drag at 250 mm on 2500 mm is a couple of 100 N: without it front and rear hardly lift, by hand
    # (1 - 2/5296)^0.86/(1 - 1/6472)^0.86 - 1 = -0.0 %, with it (1 + 98/5296)^0.86/(1 - 101/6472)^0.86 - 1 = 3.0 %
    def lines(session):
        sections = run_detail(balance.assess(day_of(tmp_path, session=session)), 0, Show())
        return dict(line for section in sections if section.heading == "Balance" for line in section.lines)

    held = lines(f'{SESSION}drag_reacted_at = "250 mm"\n')
    assert held["with drag reacted at ground level"] == "grip balance 0.0 %"
    assert any(text.startswith("3.0 %") for text in held.values())
    assert "with drag reacted at ground level" not in lines(SESSION)
