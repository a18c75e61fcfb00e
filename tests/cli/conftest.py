"""The command line as a process of its own, in a place of its own, and a small session to bend."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_session import Desk

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "vehicles" / "brindlow_hatch" / "tunnel_day"


class CommandLine:
    """Starts `axletrim` as a user's shell would."""

    def __init__(self, folder, cache):
        self.folder = folder
        self.python = sys.executable
        kept = {k: v for k, v in os.environ.items() if k in ("PATH", "LANG", "LD_LIBRARY_PATH")}
        self.environment = {
            **kept,
            "HOME": str(folder),
            "XDG_CACHE_HOME": str(cache),
            "XDG_DATA_HOME": str(folder / "data"),
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm-256color",
        }

    def start(self, *arguments, stdout=subprocess.PIPE, python=("-m", "tui"), **environment):
        return subprocess.Popen(
            [sys.executable, *python, *map(str, arguments)],
            stdin=subprocess.DEVNULL,
            stdout=stdout,
            stderr=subprocess.PIPE,
            cwd=self.folder,
            env={**self.environment, **environment},
        )

    def __call__(self, *arguments, encoding="utf-8", **others):
        process = self.start(*arguments, **others)
        out, err = process.communicate(timeout=120)
        decoded = [(stream or b"").decode(encoding) for stream in (out, err)]
        return subprocess.CompletedProcess(arguments, process.returncode, *decoded)


@pytest.fixture(scope="session")
def unit_cache(tmp_path_factory):
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def axletrim(tmp_path, unit_cache):
    return CommandLine(tmp_path, unit_cache)


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path)


@pytest.fixture(scope="session")
def demo():
    return DEMO


@pytest.fixture(scope="session")
def spoken():
    """Require that a process refused its input in plain words, and give the words."""

    def check(result):
        assert result.returncode == 2, result.stderr
        assert "Traceback" not in result.stderr + result.stdout
        assert result.stderr.strip()
        return result.stdout + result.stderr

    return check
