"""The command line in a place of its own, as a process or in this one, and a small session to bend."""

import io
import os
import subprocess
import sys
import traceback
from pathlib import Path

import pytest

from tests.small_session import Desk

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "vehicles" / "brindlow_hatch" / "tunnel_day"


class CommandLine:
    """Starts `axletrim` as a user's shell would, or runs it here, which spares the start of a process."""

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

    def process(self, *arguments, encoding="utf-8", **others):
        """Run a command as a process of its own, to its end."""
        process = self.start(*arguments, **others)
        out, err = process.communicate(timeout=120)
        decoded = [(stream or b"").decode(encoding) for stream in (out, err)]
        return subprocess.CompletedProcess(arguments, process.returncode, *decoded)

    def __call__(self, *arguments, **others):
        """Run a command in this process, with the streams, the folder and the environment of a process of its own.

        A command that needs a process gets one: where anything is said of its streams, its Python or its environment,
        and everywhere with `AXLETRIM_COMMANDS=process`. `test_processes.py` holds both ways alike for every command.
        """
        if others or os.environ.get("AXLETRIM_COMMANDS") == "process":
            return self.process(*arguments, **others)
        streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2)]
        with pytest.MonkeyPatch.context() as patched, Path(os.devnull).open(encoding="utf-8") as nothing:
            for name in set(os.environ) - set(self.environment):
                patched.delenv(name)
            for name, value in self.environment.items():
                patched.setenv(name, value)
            patched.chdir(self.folder)
            for name, stream in zip(("stdout", "stderr", "stdin"), (*streams, nothing), strict=True):
                patched.setattr(sys, name, stream)
            code = self._ended(arguments)
        out, err = (stream.buffer.getvalue().decode() for stream in streams)
        return subprocess.CompletedProcess(arguments, code, out, err)

    @staticmethod
    def _ended(arguments):
        """Run the command line as Python's own start would, and give what it exits with."""
        from tui.command_line.cli import main

        try:
            main([str(one) for one in arguments])
        except SystemExit as end:
            return end.code or 0
        except Exception:  # noqa: BLE001 - a process would print it and exit with 1
            traceback.print_exc()
            return 1
        return 0


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
