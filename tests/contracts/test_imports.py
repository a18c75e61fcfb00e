"""Who may import whom: as written, by the import graph; as it happens, in a fresh interpreter."""

import pkgutil
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import balance

ROOT = Path(__file__).parents[2]
CORE = ("reduce", "compare", "handling", "decide")
HEAVY = {"pint", "pandas", "scipy", "textual", "rich", "matplotlib", "jinja2", "markdown_it"}


def test_import_graph_keeps_its_contracts():
    lint = shutil.which("lint-imports", path=str(Path(sys.executable).parent))
    assert lint is not None
    done = subprocess.run(
        [lint, "--no-cache", "--no-logo"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_every_part_of_the_model_has_a_layer():
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    (layers,) = (c["layers"] for c in contracts if c["type"] == "layers")
    placed = {name.strip() for layer in layers for name in layer.split(":")} - {"tui"}
    assert placed == {f"balance.{part.name}" for part in pkgutil.iter_modules(balance.__path__)}


def modules_of(package):
    folder = str(ROOT / "balance" / package)
    return [part.name for part in pkgutil.walk_packages([folder], f"balance.{package}.") if not part.ispkg]


def loaded_after(statement):
    """Run a statement in a new interpreter and name the top-level packages that it loaded."""
    code = f"import sys\n{statement}\nprint(*sorted({{name.partition('.')[0] for name in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


@pytest.mark.parametrize("package", CORE)
def test_the_core_loads_numpy_and_nothing_heavier(package):
    loaded = loaded_after("\n".join(f"import {name}" for name in modules_of(package)))
    assert "numpy" in loaded
    assert not loaded & HEAVY


def test_the_model_loads_no_screens_and_nothing_heavy_at_its_top():
    names = [
        part.name
        for part in pkgutil.walk_packages(balance.__path__, "balance.", onerror=pytest.fail)
        if not part.ispkg
    ]
    assert len(names) > 20
    assert not loaded_after("\n".join(f"import {name}" for name in names)) & {*HEAVY, "tui"}


def test_the_package_itself_loads_nothing_heavy():
    assert not loaded_after("import balance") & {*HEAVY, "numpy"}


def test_public_names_come_from_their_homes():
    loaded = loaded_after("import balance\nassert callable(balance.assess)\nassert callable(balance.explain)")
    assert "numpy" in loaded
    assert not loaded & HEAVY
    for name in balance.__all__:
        assert callable(getattr(balance, name)), name
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = balance.nothing
