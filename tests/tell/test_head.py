"""What stands over every table: what was left out of the verdicts, what scatter rests on, and whose units are shown."""

import pytest

from balance.decide.day.assessment import assess
from balance.decide.day.day import reduce_day
from balance.files.loader import load_session
from balance.tell.figures import show_of
from balance.tell.head import state_line
from tests.small_session import HEAD, SESSION, VEHICLE, Desk


def head_of(desk):
    table = assess(reduce_day(load_session(desk.session)))
    return state_line(table, show_of(table.day.session))


def test_a_day_without_a_driven_axle_says_that_verdicts_leave_power_out(tmp_path):
    """Under power the driven axle has less grip left: a verdict without it may be too kind."""
    desk = Desk(tmp_path)
    assert "! driven axle not stated: verdicts leave power out" in head_of(desk)
    desk.replace(vehicle=f'{VEHICLE}[drive]\ndriven = "rear"\n')
    assert "driven" not in head_of(desk)


@pytest.mark.parametrize(("repeats", "few"), [(2, True), (3, True), (4, False)])
def test_a_scatter_from_few_repeats_is_said_to_be_hardly_known(tmp_path, repeats, few):
    """n repeats have n - 1 degrees of freedom: GUM, JCGM 100:2008, G.3.3."""
    rows = "".join(f"{k + 1},base,{84 + 5 * k},{260 - 4 * k},{1150 + 3 * k}\n" for k in range(repeats))
    desk = Desk(tmp_path)
    desk.replace(runs=f"{HEAD}{rows}9,splitter,-140,275,1162\n")
    assert ("too few to be sure of it" in head_of(desk)) is few


def test_a_day_is_shown_in_the_units_that_it_was_written_down_in(tmp_path):
    """Pounds read in the tunnel are not to come back as newtons; what the session states stands above that."""
    desk = Desk(tmp_path)
    assert show_of(load_session(desk.session)).unit("force") == "N"
    desk.replace(runs=HEAD.replace("[N]", "[lbf]") + "1,base,19,58,259\n")
    session = load_session(desk.session)
    assert (show_of(session).unit("force"), show_of(session, "kgf").unit("force")) == ("lbf", "kgf")
    desk.replace(session=f'{SESSION}[shown]\nforce = "N"\n')
    assert show_of(load_session(desk.session)).unit("force") == "N"
