"""The commands of the README's section on the library, as they stand there, and the figures that it says they give."""

import re
import shlex
from pathlib import Path

import pytest

README = Path(__file__).parents[2] / "README.md"
SAID = {"mean": r"102 N on average \((70) to (133)\)", "next": r"(2) to (200) N expected of the next car"}


@pytest.fixture
def section():
    text = README.read_text(encoding="utf-8")
    return text.partition("## Many days, many cars\n")[2].partition("\n## ")[0]


def test_its_commands_give_what_it_says(axletrim, section, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    block = section.partition("```sh\n")[2].partition("```")[0]
    copied, shown, added = [axletrim(*shlex.split(line)[1:]) for line in block.splitlines()]
    for result in (copied, shown, added):
        assert (result.returncode, result.stderr) == (0, "")
    assert len({Path(line).parent for line in copied.stdout.splitlines()}) == 6
    words = " ".join(section.split())
    mean, following = (re.search(pattern, words).groups() for pattern in SAID.values())
    printed = " ".join(shown.stdout.split())
    assert f"102 ({mean[0]} to {mean[1]})" in printed
    assert f"{following[0]} to {following[1]}" in printed
    assert "5 cars, 6 days" in printed
    assert added.stdout.count("added: ") == 7
    options = re.findall(r"`(--(?:body|floor|sort)[^`]*)`", words)
    assert len(options) == 3
    part = shlex.split(block.splitlines()[1])[1:]
    for option in options:
        result = axletrim(*part, *option.split())
        assert (result.returncode, result.stderr) == (0, "")
