"""Which names are one slip apart; examples made up for the purpose."""

import pytest

from balance.files.day.run_entry import name_meant

IN_USE = ["base", "splitter and wing", "canard A", "wing 4", "low nose"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("bsae", "base"),
        ("bas", None),
        ("bass", "base"),
        ("BASE", "base"),
        ("spliter and wing", "splitter and wing"),
        ("splitter  andwing", "splitter and wing"),
        ("splitter and flap", None),
        ("canard B", None),
        ("wing 8", None),
        ("high nose", None),
        ("base", None),
        ("", None),
    ],
)
def test_a_slip(typed, meant):
    assert name_meant(typed, IN_USE) == meant
