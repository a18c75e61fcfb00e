"""plan.toml as steps of the day: exact to the byte, also where there was none, over restarts and after a kill."""

import pytest

from balance.files.day import day_steps
from balance.files.day.opening import open_day
from balance.files.formats.plan_edit import edited_plan, look_at_plan
from balance.model.errors import FileFaults, InputError, OutsideChange
from tests.open_days import add

pytestmark = pytest.mark.usefixtures("own_data")

HOURS = {("hours", "start"): "09:00", ("hours", "end"): "17:00"}


def plan(desk):
    path = desk.session / "plan.toml"
    return path.read_text(encoding="utf-8") if path.exists() else None


def edit(day, changes, what="plan.toml: hours"):
    seen = look_at_plan(day.session, day.folder).text
    day.edit_plan(what, edited_plan(seen, changes), seen=seen)


def test_a_plan_is_begun_changed_undone_and_done_again_over_restarts(desk):
    with open_day(desk.session) as day:
        edit(day, HOURS)
        begun = plan(desk)
        add(day)
        edit(day, {("hours", "end"): "18:00"})
        changed = plan(desk)
    assert '"18:00"' in changed
    with open_day(desk.session) as day:
        day.undo()
        assert plan(desk) == begun
        day.undo()
        assert day.can_undo == "plan.toml: hours"
        day.undo()
        assert plan(desk) is None
        assert look_at_plan(day.session, day.folder).plan.hours is None
        for _ in range(3):
            day.redo()
        assert plan(desk) == changed


def test_a_wrong_text_is_refused_and_somebody_elses_change_stays(desk):
    with open_day(desk.session) as day:
        with pytest.raises(FileFaults):
            edit(day, {("hours", "start"): "19:00", ("hours", "end"): "17:00"})
        assert plan(desk) is None
        seen = look_at_plan(day.session, day.folder).text
        (desk.session / "plan.toml").write_text("# mine\n", encoding="utf-8")
        with pytest.raises(OutsideChange):
            day.edit_plan("plan.toml: hours", edited_plan(seen, HOURS), seen=seen)
        assert plan(desk) == "# mine\n"
        edit(day, HOURS)
        (desk.session / "plan.toml").write_text("# theirs\n", encoding="utf-8")
        with pytest.raises(InputError, match="nothing was overwritten"):
            day.undo()
        assert plan(desk) == "# theirs\n"


def test_a_kill_between_journal_and_file_leaves_no_step(desk, monkeypatch):
    """The journal has the step, the file does not say it: the file decides."""

    def killed(*_):
        raise KeyboardInterrupt

    day = open_day(desk.session)
    with monkeypatch.context() as patched:
        patched.setattr(day_steps, "write_atomically", killed)
        with pytest.raises(KeyboardInterrupt):
            edit(day, HOURS)
    day.close()
    assert plan(desk) is None
    with open_day(desk.session) as day:
        assert day.can_undo == ""
        assert day.can_redo == "plan.toml: hours"
        day.redo()
        assert '"17:00"' in plan(desk)
