"""How many small changes to the core the quick tests notice: a sample made alike each time, and what went unnoticed.

Run by hand: python tests/bench/mutants.py --count 300 --seed 13

A first pass notes which lines of the core each test runs, and how long it takes; it is kept beside this file for as
long as nothing of the core or of the tests has changed. Then each change is made in a forked child of the process that
has collected the tests: the functions of the changed module get their changed code, the tests that run the changed
line are run, fastest first, and the first that fails has noticed it. Where none fails the change is listed.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import json
import os
import random
import re
import signal
import sys
import threading
import time
import types
from collections import Counter, defaultdict
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("reduce", "compare", "handling", "decide")
TESTS = (
    "tests/published",
    "tests/properties",
    "tests/contracts",
    "tests/tell",
    "tests/briefs",
    "tests/cli",
    "balance",
)
KEPT = Path(__file__).with_name(".axletrim-lines.json")

OPERATORS = {
    ast.Add: ("+", "-"), ast.Sub: ("-", "+"), ast.Mult: ("*", "/"), ast.Div: ("/", "*"), ast.Pow: ("**", "*"),
    ast.FloorDiv: ("//", "/"), ast.BitAnd: ("&", "|"), ast.BitOr: ("|", "&"),
}  # fmt: skip
COMPARISONS = {
    ast.Lt: ("<", ("<=", ">")), ast.LtE: ("<=", ("<", ">=")), ast.Gt: (">", (">=", "<")), ast.GtE: (">=", (">", "<=")),
    ast.Eq: ("==", ("!=",)), ast.NotEq: ("!=", ("==",)), ast.Is: ("is", ("is not",)), ast.IsNot: ("is not", ("is",)),
    ast.In: ("in", ("not in",)), ast.NotIn: ("not in", ("in",)),
}  # fmt: skip
NAMES = {
    "min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "nanmin": "nanmax", "nanmax": "nanmin",
    "any": "all", "all": "any", "argmin": "argmax", "argmax": "argmin", "floor": "ceil", "ceil": "floor",
    "front": "rear", "rear": "front", "FRONT": "REAR", "REAR": "FRONT",
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One small change: in a file, from one byte to another, the new text; `inside` a function, or of the module."""

    file: str
    line: int
    last: int
    start: int
    end: int
    old: str
    new: str
    kind: str
    inside: bool

    def __str__(self):
        short = [" ".join(text.split())[:60] for text in (self.old, self.new)]
        return f"{self.file}:{self.line}  {self.kind}: {short[0]}  ->  {short[1]}"

    def applied(self, source):
        return source[: self.start] + self.new.encode() + source[self.end :]


class _Changes(ast.NodeVisitor):
    """Every change that can be made to a file."""

    def __init__(self, file, source):
        self.file, self.source, self.depth, self.until, self.found = file, source, 0, 0, []
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def place(self, node):
        return (
            self.starts[node.lineno - 1] + node.col_offset,
            self.starts[node.end_lineno - 1] + node.end_col_offset,
        )

    def text(self, node):
        start, end = self.place(node)
        return self.source[start:end].decode()

    def add(self, node, new, kind, span=None):
        start, end = span or self.place(node)
        old = self.source[start:end].decode()
        if span:  # an operator alone says little: show the whole
            whole_start, whole_end = self.place(node)
            shown = [
                self.source[whole_start:start].decode() + middle + self.source[end:whole_end].decode()
                for middle in (old, new)
            ]
            kind = f"{kind} in `{' '.join(shown[0].split())[:90]}`"
        line = self.source[:start].count(b"\n") + 1
        self.found.append(
            Change(
                self.file, line, max(node.end_lineno, self.until), start, end, old, new, kind, self.depth > 0
            )
        )

    def between(self, node, left, right, old, new, kind):
        """Change the operator that stands between two operands."""
        start, end = self.place(left)[1], self.place(right)[0]
        found = re.search(rf"(?<![\w*/<>=!]){re.escape(old)}(?![\w*/<>=])", self.source[start:end].decode())
        if found:
            self.add(node, new, kind, (start + found.start(), start + found.end()))

    def visit_FunctionDef(self, node):
        self.depth += 1
        outer, self.until = self.until, node.end_lineno or 0  # a default is used by the lines of its function
        for part in (*node.args.defaults, *(d for d in node.args.kw_defaults if d)):
            self.visit(part)
        self.until = outer
        for part in node.body:
            self.visit(part)
        self.depth -= 1

    def visit_ClassDef(self, node):
        for part in node.body:
            self.visit(part)

    def visit_AnnAssign(self, node):
        if node.value is not None:
            self.visit(node.value)

    def visit_If(self, node):
        if self.text(node.test) != "TYPE_CHECKING":
            self.generic_visit(node)

    def visit_Expr(self, node):
        if not isinstance(node.value, ast.Constant):  # no docstring
            self.generic_visit(node)

    def visit_nothing(self, _node):
        """Leave what is said, and what is imported, as it is."""

    visit_Raise = visit_JoinedStr = visit_Import = visit_ImportFrom = visit_nothing  # noqa: N815 - the visitor's names

    def visit_BinOp(self, node):
        old, new = OPERATORS.get(type(node.op), ("", ""))
        if old:
            self.between(node, node.left, node.right, old, new, "operator")
            self.add(node, f"({self.text(node.left)})", "term dropped")
        if isinstance(node.op, ast.Add):
            self.add(node, f"({self.text(node.right)})", "term dropped")
        self.generic_visit(node)

    def visit_AugAssign(self, node):
        old, new = OPERATORS.get(type(node.op), ("", ""))
        if old:
            self.between(node, node.target, node.value, f"{old}=", f"{new}=", "operator")
        self.generic_visit(node)

    def visit_UnaryOp(self, node):
        if isinstance(node.op, ast.USub | ast.Not | ast.Invert):
            self.add(node, f"({self.text(node.operand)})", "turned")
        self.generic_visit(node)

    def visit_Compare(self, node):
        for left, op, right in zip((node.left, *node.comparators), node.ops, node.comparators, strict=False):
            old, turned = COMPARISONS[type(op)]
            for new in turned:
                self.between(node, left, right, old, new, "comparison")
        self.generic_visit(node)

    def visit_BoolOp(self, node):
        old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
        for left, right in zip(node.values, node.values[1:], strict=False):
            self.between(node, left, right, old, new, "and/or")
        self.generic_visit(node)

    def visit_Constant(self, node):
        value = node.value
        if isinstance(value, bool):
            self.add(node, str(not value), "constant")
        elif isinstance(value, int):
            self.add(node, str(value + 1), "constant")
            self.add(node, f"({value - 1})", "constant")
        elif isinstance(value, float):
            self.add(node, repr(value * 1.25 if value else 0.25), "constant")
        elif value in ("front", "rear"):
            self.add(node, repr(NAMES[value]), "front for rear")

    def visit_Name(self, node):
        self.swap(node, node.id, self.place(node)) if isinstance(node.ctx, ast.Load) else None

    def visit_Attribute(self, node):
        self.swap(node, node.attr, (self.place(node)[1] - len(node.attr), self.place(node)[1]))
        self.visit(node.value)

    def visit_keyword(self, node):
        if node.arg:
            start = self.place(node)[0]
            self.swap(node, node.arg, (start, start + len(node.arg)))
        self.visit(node.value)

    def swap(self, node, name, span):
        """Name the other axle, or the other end, where the file knows that name."""
        other = NAMES.get(name) or re.sub(
            r"(?<![a-z])(front|rear)(?![a-z])", lambda found: NAMES[found[1]], name
        )
        known = name in NAMES or re.search(rf"\b{other}\b".encode(), self.source)
        if other != name and known:
            self.add(
                node, other, "front for rear" if "r" in other and "re" in f"{name}{other}" else "end", span
            )


def changes_of(file):
    """Every change to a file that leaves it a program."""
    source = (ROOT / file).read_bytes()
    finder = _Changes(file, source)
    finder.visit(ast.parse(source))
    return [one for one in finder.found if _parses(one.applied(source))]


def _parses(source):
    try:
        ast.parse(source)
    except SyntaxError:
        return False
    return True


def sample(count, seed, only):
    """Draw changes without preference, from all that can be made to the core or to the files asked for."""
    files = sorted(
        str(p.relative_to(ROOT)) for room in ROOMS for p in (ROOT / "balance" / room).rglob("*.py")
    )
    found = [
        one for file in files if not only or any(part in file for part in only) for one in changes_of(file)
    ]
    drawn = random.Random(seed).sample(found, min(count, len(found)))  # noqa: S311 - no secret
    return sorted(drawn, key=lambda one: (one.file, one.start)), len(found)


class Lines:
    """Notes for each test the lines of the core that it runs, those of its fixtures with them, and its time."""

    def __init__(self, files):
        self.files = files
        self.prefix = tuple(str(ROOT / "balance" / room) for room in ROOMS)
        self.of_test, self.of_fixture, self.into = {}, defaultdict(set), set()

    def trace(self, frame, _event, _argument):
        code = frame.f_code
        if not code.co_filename.startswith(self.prefix):
            return None
        file, into = code.co_filename[len(str(ROOT)) + 1 :], self.into

        def lines(frame, event, _argument):
            if event == "line":
                into.add((file, frame.f_lineno))
            return lines

        into.add((file, frame.f_lineno))
        return lines

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items):
        items[:] = [item for item in items if item.nodeid.partition("::")[0] in self.files]

    @pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef):
        before, self.into = self.into, self.of_fixture[fixturedef.baseid, fixturedef.argname]
        yield
        before |= self.into
        self.into = before

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item):
        forget_caches()
        self.into = set()
        start = time.process_time()
        threading.settrace(self.trace)
        sys.settrace(self.trace)
        yield
        sys.settrace(None)
        threading.settrace(None)
        for name, fixtures in getattr(getattr(item, "_fixtureinfo", None), "name2fixturedefs", {}).items():
            for one in fixtures:
                self.into |= self.of_fixture[one.baseid, name]
        by_file = defaultdict(list)
        for file, line in sorted(self.into):
            by_file[file].append(line)
        self.of_test[item.nodeid] = {"seconds": time.process_time() - start, "lines": by_file}


def forget_caches():
    """Empty what functions remember, so that each test runs what it rests on."""
    for name, module in list(sys.modules.items()):
        if name.startswith(("balance", "tests")):
            for value in list(vars(module).values()):
                if hasattr(value, "cache_clear"):
                    value.cache_clear()


class Trial:
    """Runs, in place of the tests, each change against the tests that run its line."""

    def __init__(self, changes, of_test, seconds):
        self.changes, self.of_test, self.seconds, self.survivors, self.untested = (
            changes,
            of_test,
            seconds,
            [],
            [],
        )

    def pytest_runtestloop(self, session):
        users = defaultdict(list)  # file and line: tests, fastest first
        order = sorted(
            session.items, key=lambda item: self.of_test.get(item.nodeid, {"seconds": 1e9})["seconds"]
        )
        for item in order:
            for file, lines in self.of_test.get(item.nodeid, {"lines": {}})["lines"].items():
                users[file].append(item)
                for line in lines:
                    users[file, line].append(item)
        for number, change in enumerate(self.changes, 1):
            near = {
                id(item) for line in range(change.line, change.last + 1) for item in users[change.file, line]
            }
            items = [i for i in users[change.file] if id(i) in near or not change.inside]
            if not change.inside:  # a constant is read by other files
                items = [i for i in order if id(i) in {id(j) for j in items}] + [
                    i for i in order if i not in items
                ]
            start = time.monotonic()
            said = self.tried(change, items, session)
            if said is None:
                self.survivors.append((change, len(items)))
            took = time.monotonic() - start
            verdict = "UNNOTICED" if said is None else said
            print(
                f"{number:4d} {took:6.1f} s {len(items):5d} tests  {change}  [{verdict}]",
                file=sys.__stdout__,
                flush=True,
            )
        return True

    def tried(self, change, items, session):
        """Try a change in a child, and say what noticed it; nothing where none did."""
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            self.in_the_child(change, items, session, writing)
        os.close(writing)
        with os.fdopen(reading) as answer:
            said = answer.read()
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "ended by a signal: it never comes to its end"
        return said or None

    def in_the_child(self, change, items, session, writing):
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(nothing, stream)
        session.config.pluginmanager.unregister(name="terminalreporter")  # it holds a stream of its own
        signal.alarm(int(3 * self.seconds) + 60)  # an endless loop is noticed as well
        said = ""
        try:
            put_in(change)
        except Exception as fault:  # noqa: BLE001 - whatever an import can raise
            said = f"import: {fault!r}"
        end = time.process_time() + self.seconds
        for place, item in enumerate(items):
            if said or time.process_time() > end:
                break
            following = items[place + 1] if place + 1 < len(items) else None
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if session.testsfailed:
                said = item.nodeid
        os.write(writing, said.encode())
        os._exit(0)


def put_in(change):
    """Give the functions of the changed module their changed code, and changed values of a module to all who hold them."""
    name = change.file.removesuffix(".py").replace("/", ".")
    module = sys.modules[name]
    fresh = types.ModuleType(name)
    fresh.__file__, fresh.__package__ = module.__file__, module.__package__
    source = change.applied((ROOT / change.file).read_bytes())
    exec(compile(source, module.__file__, "exec"), fresh.__dict__)  # noqa: S102 - the point of it
    move_code(vars(module), vars(fresh), name)
    if change.inside:
        return
    for key, new in vars(fresh).items():
        old = vars(module).get(key)
        if (
            key.startswith("__")
            or isinstance(new, type | types.FunctionType | types.ModuleType)
            or old is new
        ):
            continue
        for other in [m for n, m in list(sys.modules.items()) if n.startswith(("balance", "tui", "tests"))]:
            if vars(other).get(key) is old:
                setattr(other, key, new)


def move_code(old, new, module):
    """Move code and defaults from each function of a namespace to its namesake, through wrappers and into classes."""
    for key, one in new.items():
        was = old.get(key)
        for a, b in zip(_functions(was), _functions(one), strict=False):
            if a.__module__ == module and a.__code__.co_freevars == b.__code__.co_freevars:
                a.__code__, a.__defaults__, a.__kwdefaults__ = b.__code__, b.__defaults__, b.__kwdefaults__
        if isinstance(one, type) and isinstance(was, type) and one.__module__ == module:
            move_code(vars(was), vars(one), module)
            for name, value in vars(one).items():
                if (
                    isinstance(value, int | float | str | tuple)
                    and not name.startswith("__")
                    and vars(was).get(name) != value
                ):
                    setattr(was, name, value)


def _functions(thing):
    """List the functions behind a name: of a property its getter, of a wrapper what it wraps."""
    found = [getattr(thing, name, None) for name in ("__func__", "fget", "func")]
    queue = [thing, *found]
    functions = []
    while queue:
        one = queue.pop(0)
        if isinstance(one, types.FunctionType):
            functions.append(one)
        if hasattr(one, "__wrapped__"):
            queue.append(one.__wrapped__)
    return functions


def noted_lines(tests):
    """Give the lines that each test runs: of files that have changed since they were noted, noted anew."""

    def digest(*files):
        return hashlib.sha256(b"".join(p.read_bytes() for p in sorted(files) if p.is_file())).hexdigest()

    shared = [*(ROOT / "balance").rglob("*.py"), *(ROOT / "vehicles").rglob("*.*")]
    others = [
        p
        for p in (ROOT / "tests").rglob("*.py")
        if not p.name.startswith("test_") and p.parent.name != "bench"
    ]
    core = digest(*shared, *others)
    kept = json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}
    if kept.get("core") != core:
        kept = {"core": core, "files": {}, "tests": {}}
    sources = [
        path
        for place in tests
        for path in ([ROOT / place] if place.endswith(".py") else (ROOT / place).rglob("*.py"))
    ]
    now = {str(path.relative_to(ROOT)): digest(path) for path in sources}
    changed = {file for file, known in now.items() if kept["files"].get(file) != known}
    noted = Lines(changed)
    if changed and pytest.main(["-q", "-p", "no:xdist", *tests], plugins=[noted]) not in (0, 5):
        sys.exit("the tests do not pass as they are")
    kept["tests"] = {
        n: t for n, t in kept["tests"].items() if n.partition("::")[0] not in changed
    } | noted.of_test
    kept["files"] |= {file: now[file] for file in changed}
    KEPT.write_text(json.dumps(kept), encoding="utf-8")
    return kept["tests"]


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--count", type=int, default=300, help="changes drawn")
    asked.add_argument("--seed", type=int, default=13)
    asked.add_argument(
        "--seconds", type=float, default=60.0, help="processor time after which a change is given up"
    )
    asked.add_argument("--only", action="append", help="change only files whose path holds this")
    asked.add_argument("--tests", nargs="*", default=TESTS, help="files and folders of tests")
    asked.add_argument("--part", default="1/1", help="of the sample, as 2/3: to try it in several processes")
    asked.add_argument("--list", action="store_true", help="print the sample alone")
    given = asked.parse_args()
    os.chdir(ROOT)
    changes, of = sample(given.count, given.seed, given.only)
    part, parts = (int(number) for number in given.part.split("/"))
    changes = changes[part - 1 :: parts]
    if given.list:
        print(*changes, sep="\n")
        return
    lines = noted_lines(given.tests)
    trial = Trial(changes, lines, given.seconds)
    pytest.main(["-q", "-p", "no:xdist", *given.tests], plugins=[trial])
    noticed = len(changes) - len(trial.survivors)
    print(
        f"\n{len(changes)} changes drawn of {of}, seed {given.seed}: {noticed} noticed, {noticed / len(changes):.1%}"
    )
    for kind, number in Counter(
        change.kind.partition(" in `")[0] for change, _ in trial.survivors
    ).most_common():
        print(f"  unnoticed {number:3d}  {kind}")
    for change, tests in trial.survivors:
        print(f"{change}  ({tests} tests run its line)")


if __name__ == "__main__":
    main()
