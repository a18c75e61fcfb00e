"""Whatever was typed fills as many cells as it is counted for, and obeys nobody."""

from unicodedata import category

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from tui.widgets.canvas import Canvas, to_text
from tui.widgets.plain import PLACEHOLDER, cut, needs_ascii, pack, plain


@pytest.mark.parametrize(
    "bad", ["\x1b", "\t", "\n", "\x7f", "\u200b", "\u200f", "\u202e", "\u2066", "\ufeff", "\u2028"]
)
def test_what_a_terminal_would_obey_or_hide_is_shown(bad):
    assert plain(f"a{bad}b") == f"a{PLACEHOLDER}b"


def test_markup_accents_and_wide_characters_stay():
    assert plain("[/] [b]é 日本 ±4°") == "[/] [b]é 日本 ±4°"
    assert plain("e\u0301") == "é"


@given(st.text())
def test_plain_text_holds_nothing_unseen(text):
    assert not {category(character) for character in plain(text)} & {"Cc", "Cf", "Zl", "Zp"}
    assert plain(plain(text)) == plain(text)


@given(st.text(), st.integers(0, 30))
def test_cut_text_fits(text, width):
    assert cell_len(cut(plain(text), width)) <= width


@given(st.text(max_size=12), st.integers(-3, 12), st.text(max_size=6), st.integers(-3, 12))
def test_a_canvas_keeps_its_width(first, x, second, other):
    canvas = Canvas(10, 1)
    canvas.put(x, 0, plain(first))
    canvas.put(other, 0, plain(second), "muted")
    assert sum(cell_len(character) for text, _ in canvas.lines()[0] for character in text) == 10


def test_text_has_no_spaces_at_the_ends_of_lines():
    canvas = Canvas(6, 2)
    canvas.put(1, 0, "ab")
    assert to_text(canvas.lines()) == " ab\n"


@pytest.mark.parametrize(("terminal", "ascii_only"), [("linux", True), ("xterm-256color", False)])
def test_the_console_without_braille_is_known(monkeypatch, terminal, ascii_only):
    monkeypatch.setenv("TERM", terminal)
    assert needs_ascii() is ascii_only


@given(st.lists(st.text(max_size=60), min_size=1, max_size=6), st.integers(10, 80))
def test_packed_lines_have_room(clauses, width):
    lines = pack(" · ".join(clauses), width)
    assert all(cell_len(line) <= width for line in lines)


def test_a_clause_too_long_for_a_line_is_broken_once_between_words():
    assert pack("one · front and rear and drag", 14) == ["one", "front and rear", "and drag"]
    assert pack("wing " * 60, 20) == ["wing wing wing wing", "wing wing wing wing…"]
