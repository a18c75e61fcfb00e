"""What is printed without --full keeps what decides: dangers first, eight notes at most, and where the rest can be read."""

import pytest

from balance.tell.words import CAUTIONS
from tui.printing.lines import foot

CAUTION = (
    "Estimates. One change at a time, speed in steps; oversteer is the dangerous side (axletrim cautions)"
)
COMMANDS = {
    "table": (),
    "parts": (),
    "speeds": ("15",),
    "compare": ("4", "15"),
    "trim": ("--from", "16", "--setting", "wing_angle"),
    "what-if": ("--set", "from=16", "--set", "wing_angle=9 deg"),
}


def notes(text):
    """List the notes of a printed page, each in one line."""
    body = text.partition("\nNotes\n")[2].partition("\n\n")[0]
    return [line.removeprefix("- ") for line in body.splitlines() if line.startswith("- ")]


@pytest.mark.parametrize("command", COMMANDS)
def test_one_line_of_caution_names_where_all_are(axletrim, demo, command):
    ask = (command, demo, *COMMANDS[command], "--width", "1000")
    short, full = axletrim(*ask).stdout, axletrim(*ask, "--full").stdout
    assert short.splitlines()[-1] == CAUTION
    assert not [caution for caution in CAUTIONS if caution in short]
    assert not [caution for caution in CAUTIONS if f"- {caution}\n" not in full]
    assert "(axletrim cautions)" not in full
    assert "--full" not in full
    said = axletrim("cautions", "--width", "1000").stdout
    assert said.splitlines() == ["Cautions", *(f"- {caution}" for caution in CAUTIONS)]


@pytest.mark.parametrize("command", ["table", "parts", "speeds"])
def test_at_most_eight_notes_and_the_rest_is_counted(axletrim, demo, command):
    ask = (command, demo, *COMMANDS[command], "--width", "1000")
    short, full = axletrim(*ask).stdout, axletrim(*ask, "--full").stdout
    kept, every = notes(short), notes(full)
    assert 0 < len(kept) <= 8
    assert every[: len(kept)] == kept
    sentences = full.partition("\nNotes\n")[0].count("\n- ")  # those of each part stand above the notes
    assert f"\n{len(every) - len(kept) + sentences} more notes: --full\n" in short


def test_a_table_keeps_its_dangers_doubts_and_voids_and_leaves_facts(axletrim, demo):
    kept = notes(axletrim("table", demo, "--width", "1000").stdout)
    assert kept[0] == "runs 1 to 5: warning: past the oversteer limit in more than 99 % of draws"
    assert kept[1].startswith("run 9: warning: past the oversteer limit in ")
    assert "run 5: suspect: left canard found turned by 4 mm after the run" in kept
    assert "run 8: void, excluded: tape let go and the spoiler lifted during the run" in kept
    assert any(one.startswith("† beyond ") for one in kept)
    assert not [one for one in kept if "not stated" in one]


def test_a_danger_against_speed_stands_first(axletrim, demo):
    kept = notes(axletrim("speeds", demo, "1", "--width", "1000").stdout)
    assert kept[0].startswith("warning: past the oversteer limit in 5 % of draws or more from ")
    assert len(kept) > 1


def test_a_danger_is_kept_before_what_is_none_and_counted_where_it_has_no_room():
    plain, dangers = [f"fact {k}" for k in range(9)], [f"run {k}: warning: {k}" for k in range(10)]
    mixed = [one for pair in zip(plain, dangers[:9], strict=True) for one in pair] + dangers[9:]
    short = foot(mixed, ["assumed"], 100, full=False)
    assert short[1:10] == ["Notes", *(f"- {one}" for one in dangers[:8])]
    assert short[10] == "12 more notes, 2 of them warnings: --full"
    full = foot(mixed, ["assumed"], 100, full=True)
    assert [one for one in full if "warning" in one] == [f"- {one}" for one in dangers]
    assert full[1:22] == ["Notes", *(f"- {one}" for one in (*dangers, *plain, "assumed"))]
    assert not [one for one in full if "--full" in one]


def test_without_a_note_that_decides_the_rest_is_still_counted():
    assert foot([], ["assumed"], 100, full=False)[:3] == ["", "1 more note: --full", ""]
    assert foot([], [], 100, full=False) == ["", CAUTION]
