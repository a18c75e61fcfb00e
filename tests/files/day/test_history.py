"""Undo over a day: whatever was done, undone and done again, the journal tells the same states."""

from hypothesis import given
from hypothesis import strategies as st

from balance.files.day.durable import digest_of
from balance.files.day.history import History, step_between
from balance.files.day.journal import Journal, replay

TEXTS = st.text("ab\n,é😀", max_size=12)


@given(TEXTS, TEXTS)
def test_a_step_leads_from_one_text_to_the_other_and_back(old, new):
    step = step_between("x", old, new)
    assert (step.done(old), step.undone(new)) == (new, old)


@given(
    TEXTS, st.lists(TEXTS | st.sampled_from(["undo", "redo"]), max_size=30), st.integers(0, 40), st.booleans()
)
def test_the_journal_tells_the_states_again(base, acts, cut, twice):
    """Also when the journal was cut off by a crash, or a refusing disk made lines stand in it twice."""
    journal = Journal(())  # in memory alone
    journal.restart(base)
    states = [History(text=base)]
    for act in acts:
        now = states[-1]
        if act in ("undo", "redo"):
            if not (now.done if act == "undo" else now.undone):
                continue
            now = getattr(now, act)()
            journal.add(act, digest=digest_of(now.text.encode()))
        else:
            step = step_between("typed", now.text, act)
            now = now.with_step(step)
            journal.add_step(step, digest_of(now.text.encode()))
        states.append(now)
    told = replay(journal.lines)
    assert told.history == states[-1]
    assert len(told.unsaved_steps) == len(states) - 1
    kept = min(cut, len(journal.lines) - 1)
    lines = [*journal.lines[: kept + 1], journal.lines[kept][: cut % 20]]
    lines = [line for line in lines for _ in range(1 + twice)]
    assert replay(lines).history == states[kept]
    assert not replay(lines).damaged
