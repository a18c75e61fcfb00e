"""Who may import whom: as written, by the import graph; as it happens, in a fresh interpreter."""

import ast
import pkgutil
import shutil
import subprocess
import sys
import tomllib
from graphlib import TopologicalSorter
from pathlib import Path

import grimp
import pytest

import balance
import tui

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


def test_no_module_imports_itself_by_way_of_others_not_even_for_types():
    graph = grimp.build_graph("balance", "tui", cache_dir=None, exclude_type_checking_imports=False)
    imports = {module: graph.find_modules_directly_imported_by(module) for module in graph.modules}
    assert len(imports) > 300
    TopologicalSorter(imports).prepare()  # raises CycleError, which names the circle


def test_every_part_of_model_and_interface_has_a_layer():
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    layers = {c["id"]: c["layers"] for c in contracts if c["type"] == "layers"}
    assert {*layers["layers"]} - {"tui"} == parts_of(balance)
    assert {*layers["interface"]} == parts_of(tui) - {"tui.__main__"}


def parts_of(package):
    return {f"{package.__name__}.{part.name}" for part in pkgutil.iter_modules(package.__path__)}


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


@pytest.mark.parametrize("room", CORE)
def test_the_core_starts_no_threads(room):
    """A pool's threads are waited for at the end: they held leaving up until a day of thousands was judged."""
    named = {
        part.split(".")[0]
        for path in (ROOT / "balance" / room).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for part in (
            [node.module or ""] if isinstance(node, ast.ImportFrom) else [one.name for one in node.names]
        )
    }
    assert "__future__" in named
    assert not named & {"threading", "concurrent", "multiprocessing", "asyncio", "subprocess"}
