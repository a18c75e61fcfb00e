"""A TOML text written from nothing: whatever is in it is read back, and tables stand under heads."""

import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from balance.files.toml.tree import prose_of, written_toml

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=8) | st.sampled_from(
    ['"', "\\", "'''", "\x7f"]
)
plain = texts | st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False) | st.dates()
values = plain | st.lists(texts, max_size=3)
trees = st.recursive(
    st.dictionaries(texts, values, max_size=3),
    lambda inner: st.dictionaries(texts, values | inner | st.lists(inner, max_size=3), max_size=3),
    max_leaves=8,
)


@given(trees)
def test_any_tree_is_read_back(tree):
    assert tomllib.loads(written_toml(tree)) == tree


@given(st.text(st.sampled_from('a"\\\n\t\x01\x7f\x85é'), max_size=12))
def test_words_are_read_back_whatever_stands_in_them(words):
    assert tomllib.loads(f"x = {prose_of(words)}")["x"].strip("\n") == words.strip("\n")


def test_tables_stand_below_values_each_under_its_head():
    tree = {"a": {"b": {"c d": 1}, "e": {}}, "day": date(2026, 5, 14), "runs": [{"line": 1}, {}], "none": []}
    assert written_toml(tree) == (
        'day = 2026-05-14\nnone = []\n\n[a.b]\n"c d" = 1\n\n[a.e]\n\n[[runs]]\nline = 1\n\n[[runs]]\n'
    )


def test_what_does_not_read_back_is_not_written():
    with pytest.raises(ValueError, match="do not read back"):
        written_toml({"pair": (1, 2)})
