"""report.toml edited key by key: what is written is read back the same, and all else in it stays."""

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.formats.report import SECTIONS, read_brief, section_order
from balance.files.formats.report_edit import edited_brief, look_at_brief, save_brief, shortest_order
from balance.files.loader import load_session
from balance.model.errors import FileFaults

DAY = Path(__file__).resolve().parents[3] / "vehicles" / "brindlow_hatch" / "tunnel_day"
PLAIN = (DAY / "report.toml").read_text(encoding="utf-8")
words = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\r"), min_size=1)


@pytest.fixture
def session():
    return load_session(str(DAY))


@given(words)
def test_own_words_are_read_back_as_they_were_typed(typed):
    found = tomllib.loads(edited_brief(PLAIN, {"words.cost": typed}))
    assert found["words"].pop("cost").strip("\n") == typed.strip("\n")
    assert found == tomllib.loads(PLAIN)


@given(st.lists(words, unique=True))
def test_names_of_what_ifs_are_read_back_whatever_stands_in_them(names):
    found = tomllib.loads(edited_brief(PLAIN, {"what_ifs": tuple(names)}))
    assert found == {**tomllib.loads(PLAIN), "what_ifs": names}


@given(st.permutations(list(SECTIONS)))
def test_the_shortest_order_gives_the_whole_one(order):
    assert section_order(shortest_order(order)) == tuple(order)


def test_new_keys_stand_above_the_words_and_their_comment():
    lines = edited_brief(PLAIN, {"leave_out": "wing"}).splitlines()
    assert lines[lines.index('leave_out = ["wing"]') + 2].startswith("# Your own words")
    assert [line for line in lines if line != 'leave_out = ["wing"]'] == PLAIN.splitlines()


@pytest.mark.parametrize(
    "text",
    [
        "",
        '[words]\nanswer = "a"\n',
        '# only this\n[words]\nanswer = "a"\n',
        'words.answer = "a"\n',
        'words = { answer = "a" }\n',
        'title = """\n# no comment"""\n[words]\nanswer = "a"\n',
        'title = "a"\r\n\r\n[words]\r\nanswer = """a\r\nb"""\r\n',
        '[other]\nx = 1\n# mine\n[words]\nanswer = "a"\n',
    ],
)
def test_keys_are_added_to_any_file(text):
    changes = {"units": "us", "words.wing": "one\ntwo", "what_ifs": ("a, b",)}
    old, new = tomllib.loads(text), tomllib.loads(edited_brief(text, changes))
    expected = {**old, "units": "us", "what_ifs": ["a, b"]}
    expected["words"] = {**old.get("words", {}), "wing": "one\ntwo\n"}
    assert new == expected
    gone = tomllib.loads(edited_brief(edited_brief(text, changes), dict.fromkeys(changes)))
    assert {key: value for key, value in gone.items() if value} == old


def test_words_that_are_no_table_are_said():
    with pytest.raises(FileFaults, match="expected a table"):
        edited_brief("words = 5\n", {"words.wing": "less"})


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        ({"speed": "148"}, "without a unit"),
        ({"answer": "99"}, "run '99'"),
        ({"leave_out": "limits"}, "'limits'"),
        ({"words.wing": "\x1b[2J"}, "control characters"),
        ({"title": "\x1b[2J"}, "control characters"),
        ({"what_ifs": ("none",)}, "'none'"),
    ],
)
def test_what_is_at_fault_is_not_written(session, tmp_path, changes, found):
    with pytest.raises(Exception, match=found):
        save_brief(session, tmp_path, changes, seen={})
    assert not (tmp_path / "report.toml").exists()


def test_a_fault_elsewhere_in_the_file_does_not_stand_in_the_way(session, tmp_path):
    (tmp_path / "report.toml").write_text('colour = "red"\n', encoding="utf-8")
    save_brief(session, tmp_path, {"answer": "15"}, seen={})
    found = look_at_brief(session, tmp_path)
    assert [fault.column for fault in found.faults] == ["colour"]
    assert found.choices is None
    assert found.texts == {"colour": "red", "answer": "15"}


def test_halves_of_characters_do_no_harm(session, tmp_path):
    save_brief(session, tmp_path, {"words.wing": "a\ud800b"}, seen={})
    assert read_brief(session, tmp_path).words == {"wing": "a?b"}


@pytest.mark.parametrize("mark", ["", "\ufeff"], ids=["plain", "byte-order mark"])
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_saving_touches_the_lines_typed_alone(session, tmp_path, end, mark):
    (tmp_path / "report.toml").write_bytes((mark + PLAIN.replace("\n", end)).encode())
    seen = look_at_brief(session, tmp_path).texts
    changes = {"title": "Typed", "words.wing": 'Two\n\n"lines"', "leave_out": ("wing",), "words.answer": None}
    save_brief(session, tmp_path, {**changes, "what_ifs": None}, seen=seen)
    expected = re.sub('recommendation = "\\*\\*.*\n', "", PLAIN)
    expected = re.sub("(?m)^title = .*$", 'title = "Typed"', expected)
    expected = re.sub("(?m)^wing = .*$", 'wing = """\nTwo\n\n"lines"\n"""', expected, count=1)
    expected = expected.replace("what_ifs = [", "# what_ifs = [").replace(
        "\n\n# Your own words", '\nleave_out = ["wing"]\n\n# Your own words'
    )
    assert (tmp_path / "report.toml").read_bytes().decode() == mark + expected.replace("\n", end)


@pytest.mark.parametrize("name", ["recommendation", "answer"])
def test_a_key_is_saved_by_the_name_that_the_file_has(session, tmp_path, name):
    """The run arrived at, and the section too, have a newer and an older name."""
    file = tmp_path / "report.toml"
    file.write_text(f'{name} = "15"\n[words]\n{name} = "a"\n', encoding="utf-8")
    seen = look_at_brief(session, tmp_path).texts
    assert seen == {"answer": "15", "words.answer": "a"}
    save_brief(session, tmp_path, {"answer": "16", "words.answer": "b"}, seen=seen)
    found = tomllib.loads(file.read_text(encoding="utf-8"))
    assert found == {name: "16", "words": {name: "b"}}


def test_a_new_key_and_a_section_in_a_list_have_the_newer_name(session, tmp_path):
    changes = {"answer": "16", "words.answer": "b", "order": ("wing", "answer"), "leave_out": ("answer",)}
    save_brief(session, tmp_path, changes, seen={})
    found = tomllib.loads((tmp_path / "report.toml").read_text(encoding="utf-8"))
    assert found == {
        "recommendation": "16",
        "words": {"recommendation": "b"},
        "order": ["wing", "recommendation"],
        "leave_out": ["recommendation"],
    }
    seen = look_at_brief(session, tmp_path)
    assert (seen.texts["answer"], seen.sections[:2], seen.left_out) == ("16", ("wing", "answer"), {"answer"})


def test_the_file_of_the_old_name_is_read_and_saved_into(session, tmp_path):
    old = tmp_path / "brief.toml"
    old.write_text('answer = "15"\n', encoding="utf-8")
    seen = look_at_brief(session, tmp_path)
    assert seen.file == "brief.toml"
    assert read_brief(session, tmp_path).answer == "15"
    save_brief(session, tmp_path, {"answer": "16"}, seen=seen.texts)
    assert old.read_text(encoding="utf-8") == 'answer = "16"\n'
    assert not (tmp_path / "report.toml").exists()


def test_a_file_of_each_name_is_a_fault(session, tmp_path):
    (tmp_path / "brief.toml").write_text('answer = "15"\n', encoding="utf-8")
    (tmp_path / "report.toml").write_text('recommendation = "16"\n', encoding="utf-8")
    with pytest.raises(FileFaults, match=r"found brief\.toml beside it, expected one of both"):
        read_brief(session, tmp_path)
    assert [fault.found for fault in look_at_brief(session, tmp_path).faults] == ["brief.toml beside it"]


def test_a_fault_stands_beside_its_field_by_whatever_name_the_file_has(session, tmp_path):
    (tmp_path / "report.toml").write_text('recommendation = "99"\n', encoding="utf-8")
    assert [fault.column for fault in look_at_brief(session, tmp_path).faults] == ["answer"]


def test_the_screen_saves_no_more_words_than_it_takes(session, tmp_path):
    save_brief(session, tmp_path, {"words.wing": "x" * 600}, seen={})
    with pytest.raises(FileFaults, match="found 601 characters, expected at most 600 from the screen"):
        save_brief(session, tmp_path, {"words.parts": "x" * 601}, seen={})
