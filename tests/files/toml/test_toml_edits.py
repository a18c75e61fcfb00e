"""Any edit of any field of a file, however it is laid out: exactly that changes, and nothing else."""

import tomllib
from collections import Counter
from functools import partial

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from balance.files.day.stated_disk import stated_texts
from balance.files.formats.report import BRIEF
from balance.files.formats.report_edit import edited_brief
from balance.files.formats.session import SESSION
from balance.files.formats.vehicle import VEHICLE
from balance.files.toml.edit import edited_toml
from balance.files.toml.fields import asked_fields, field_called, toml_value
from balance.files.toml.lines import layout
from balance.files.toml.splice import put
from balance.model.errors import InputError

OTHERS = {  # what a field may be changed to, beside its example: by key, else by kind
    "total": ["1310 kg", "2844 lb"], "mass": ["310 kg", "776 lb"], "cg_height": ["19 in"], "wheelbase": ["101.4 in"],
    "length": ["0.9 m", "60 in"], "fraction": ["11 %"], "area": ["21 ft^2"], "power": ["300 hp"], "speed": ["115 mph"],
    "density": ["0.075 lb/ft^3"], "force": ["2 lbf"], "load_index": ["92"], "degrees_of_freedom": ["12"],
    "front_ride_height": ["0.1 m"], "rear_ride_height": ["4 in"], "friction": ["1.2"], "front_share": ["61 %"], "number": ["0.5", "{ front = 0.7, rear = 0.8 }"], "date": ["2026-12-01"], "texts": ["a, b", ("one, two", "three")],
    "text": ['odd # "one"', "a = [b]", "über\\n", "'"],
    "prose": ["Less **wing**.", 'Two\n\nlines "of" """ \\', "# [no]\n# table = 1", "\nend"],
}  # fmt: skip
WORDS = ["\"Less 'wing'.\"", '"""\nTwo\n\n# lines\n"""', "'''a\n[no]\nb = \"\"\"'''"]
REMARKS = st.sampled_from(["", "", "  # by hand", " #x = [", '     # "told" by the owner'])


def keys_of(fields):
    """Name every key of a file that can be edited, its own words among them, with an example."""
    prose = [
        (f"{one.key}.{inner.key}", "") for one in fields for inner in one.fields if inner.kind == "prose"
    ]
    return [*((one.key, one.example) for one in asked_fields(fields)), *prose]


def laid_out(draw, tables):
    """Write tables with their pairs (a mark where one stands as a comment, name, value) in one style or another."""
    for table in [one for one in tables if len(one) > 1 and draw(st.booleans())]:
        live = [f"{name} = {value}" for mark, name, value in tables.pop(table) if not mark]
        if live:  # in braces, on a line of the table above
            tables.setdefault(table[:1], []).append(("", table[1], f"{{ {', '.join(live)} }}"))
    lines = []
    for table in sorted(tables, key=bool):
        pairs = tables[table]
        live = [(name, value) for mark, name, value in pairs if not mark]
        style = draw(st.sampled_from(["head", "head", "braces", "dots"])) if table else "root"
        if style in ("braces", "dots") and (any(line.startswith("[") for line in lines) or not live):
            style = "head"  # what has no head has to stand above the first head
        if style == "braces" and sum(one[:1] == table[:1] for one in tables) > 1:
            style = "dots"
        if style == "braces":
            inside = ", ".join(f"{name} = {value}" for name, value in live)
            lines.append(f"{'.'.join(table)} = {{{inside}}}{draw(REMARKS)}")
            continue
        if style == "head":
            mark = "" if live else "# "
            lines.append(f"{mark}[{'.'.join(table)}]{draw(REMARKS)}")
        before = ".".join((*table, "")) if style == "dots" else ""
        for mark, name, value in pairs:
            between = draw(st.sampled_from(["", "", "\n", "# a word\n", "\n# two\n# words\n"]))
            spaces = draw(st.sampled_from([" = ", "=", "  =  "]))
            lines.append(f"{between}{mark}{before}{name}{spaces}{value}{draw(REMARKS)}")
        lines.append(draw(st.sampled_from(["", "# below", "\n"])))
    return lines


@st.composite
def documents(draw, fields):
    """Lay out a file with some of its fields: tables under heads, in braces or with dots, remarks, either line end."""
    known = keys_of(fields)
    chosen = draw(st.sets(st.sampled_from([key for key, _ in known]), max_size=9))
    shut = draw(st.sets(st.sampled_from([key for key, _ in known]), max_size=4)) - chosen
    tables = {}
    for key, example in known:
        if key in chosen | shut:
            *above, name = key.split(".")
            words = field_called(fields, key).kind == "prose"
            value = draw(st.sampled_from(WORDS[: 1 if key in shut else None])) if words else literal_of(fields, key, example)  # fmt: skip
            tables.setdefault(tuple(above), []).append(("# " * (key in shut), name, value))
    lines = laid_out(draw, tables)
    if fields is SESSION:
        lines = with_places(draw, lines, draw(st.integers(0, 3)))
    text = "\n".join(lines) + draw(st.sampled_from(["\n", ""]))
    assume(is_toml(text))  # a table cannot have both dots above it and a head
    text = draw(st.sampled_from(["", "", "\ufeff"])) + text
    return text.replace("\n", "\r\n") if draw(st.booleans()) else text


def with_places(draw, lines, count):
    """Add places: under heads, in brackets above the first head, or none and an example that stands as a comment."""
    if draw(st.integers(0, 3)) == 0:
        inside = ", ".join(
            f'{{ name = "no {number}", speed = "{100 + number} km/h" }}' for number in range(count)
        )
        return [f"places = [{inside}{draw(st.sampled_from(['', ' ']))}]{draw(REMARKS)}", *lines]
    if count == 0 and draw(st.booleans()):
        return [*lines, "# Where it matters", "# [[places]]", '# name = "fast left"', '# speed = "160 km/h"']
    places = [
        f"[[places]]{draw(REMARKS)}\nname = 'no {number}'\n  speed = \"{100 + number} km/h\""
        for number in range(count)
    ]
    return [*lines, *places]


def is_toml(text):
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def literal_of(fields, key, text):
    value = toml_value(field_called(fields, key), text)
    if field_called(fields, key).kind in ("date", "texts"):
        return text
    return repr(value).replace("'", '"') if isinstance(value, int | float) else f'"{text}"'


@st.composite
def edits(draw, fields, text):
    keys = [key for key, _ in keys_of(fields)]
    count = len(tree_of(text).get("places", ()))
    changes = {}
    for key in draw(st.lists(st.sampled_from(keys), max_size=4, unique=True)):
        one = field_called(fields, key)
        known = one.choices or OTHERS.get(one.key, OTHERS.get(one.kind, ()))
        changes[key] = draw(st.sampled_from([None, *(known or [one.example])]))
    for drawn in draw(st.sets(st.integers(0, 4), max_size=2)) if fields is SESSION else ():
        number = min(drawn, count)  # a new one comes after the others
        if number == count:
            changes |= {f"places.{number}.name": "new, one", f"places.{number}.speed": "99 mph"}
        elif draw(st.booleans()):
            changes |= {f"places.{number}.name": None, f"places.{number}.speed": None}
        else:
            changes[f"places.{number}.speed"] = "44 m/s"
    return changes


def tree_of(text):
    return tomllib.loads(text.removeprefix("\ufeff"))


def changed(fields, tree, changes):
    for key, typed in changes.items():
        *above, name = [int(part) if part.isdecimal() else part for part in key.split(".")]
        here = tree
        for part in above:
            if isinstance(part, int):
                here.extend({} for _ in range(part - len(here) + 1))
                here = here[part]
            else:
                here = here.setdefault(part, [] if part == "places" and here is tree else {})
        one = field_called(fields, key)
        if typed is None:
            here.pop(name, None)
        else:
            here[name] = read_back(one, typed)
    return pruned(tree)


def read_back(one, typed):
    if isinstance(typed, tuple):
        return list(typed)
    if one.kind == "prose":
        words = typed.strip("\n")
        return f"{words}\n" if "\n" in words else words
    return tomllib.loads(f"x = {typed}")["x"] if one.kind == "date" else toml_value(one, typed)


def pruned(tree):
    """Leave out what is empty: a table without a key says nothing."""
    if isinstance(tree, dict):
        kept = {key: pruned(value) for key, value in tree.items()}
        return {key: value for key, value in kept.items() if value not in ({}, [])}
    return [pruned(one) for one in tree if one != {}] if isinstance(tree, list) else tree


@pytest.mark.parametrize(
    ("fields", "edited"),
    [
        (VEHICLE, partial(edited_toml, VEHICLE)),
        (SESSION, partial(edited_toml, SESSION)),
        (BRIEF, edited_brief),
    ],
    ids=["car", "session", "brief"],
)
@given(data=st.data())
def test_any_edit_changes_exactly_that_and_keeps_every_other_line(fields, edited, data):
    text = data.draw(documents(fields))
    changes = data.draw(edits(fields, text))
    new = edited(text, changes)
    assert pruned(tree_of(new)) == changed(fields, tree_of(text), changes)
    assert new.startswith("\ufeff") == text.startswith("\ufeff")
    assert ("\r\n" in text and "\n" in new.replace("\r\n", "")) is False
    old_lines, new_lines = (one.removeprefix("\ufeff").splitlines() for one in (text, new))
    gone = Counter(old_lines) - Counter(new_lines)
    names = {part for key in changes for part in key.split(".")}
    mine = values_of(text, changes)
    for line in (
        gone
    ):  # a line of a key that was changed, or that names it or its table; or the blank line of a place
        assert not line.strip() or line in mine or names & set(line.replace("[", " ").replace("]", " ").replace("=", " ").replace(".", " ").split()), line  # fmt: skip
    if not any(typed is None for typed in changes.values()):
        assert comments(text) <= comments(new)
    assert edited(text, {}) == text


def values_of(text, changes):
    """List the lines of the values that were changed, and of the braces that they stand in."""
    plain = text.removeprefix("\ufeff")
    places = {".".join(map(str, path)): place for path, place in layout(plain).values.items()}
    around = {key.rpartition(".")[0] for key in changes}
    spans = [[plain.count("\n", 0, end) for end in places[key]] for key in {*changes, *around} & {*places}]
    return {line for first, last in spans for line in plain.splitlines()[first : last + 1]}


def comments(text):
    """Words of a hand behind values and between lines, but for keys that stand as comments."""
    found = ("# by hand", "#x = [", '# "told" by the owner', "# a word", "# two", "# words", "# below")
    return {(word, text.count(word)) for word in found}


@given(data=st.data())
def test_what_is_told_of_a_file_can_be_typed_into_it_again(data):
    fields = data.draw(st.sampled_from([VEHICLE, SESSION]))
    text = data.draw(documents(fields)).removeprefix("\ufeff")
    asked = {one.key for one in asked_fields(fields)}
    told = {
        key: typed for key, typed in stated_texts(text).items() if key in asked or key.startswith("places.")
    }
    assert pruned(changed(fields, tree_of(text), told)) == pruned(tree_of(text))
    assert edited_toml(fields, text, told).count("\n") == text.count("\n")


def test_a_place_that_would_leave_a_gap_is_refused():
    with pytest.raises(
        InputError, match=r"places: found 1 of them, expected at least 2; look at the file again"
    ):
        edited_toml(
            SESSION,
            '[[places]]\nname = "a"\nspeed = "99 mph"\n',
            {"places.2.name": "b", "places.2.speed": "9 m/s"},
        )


def test_what_only_looks_like_a_table_in_a_comment_is_left_alone():
    """A text of several lines may look like a head that stands as a comment: the key then comes in elsewhere."""
    text = 'name = "a"\nnote = """\n# [drive]\n# power = 1\n"""\n'
    assert edited_toml(VEHICLE, text, {"drive.power": "230 kW"}) == f'{text}\n[drive]\npower = "230 kW"\n'


@pytest.mark.parametrize(
    ("fields", "text", "changes", "words"),
    [
        (SESSION, "places = 1", {"places.0.speed": "99 mph"}, "places: found 1, expected a table"),
        (VEHICLE, "mass = []", {"mass.total": "1290 kg"}, "mass: found a list, expected a table"),
        (
            VEHICLE,
            "mass.corners = 'x'",
            {"mass.corners.rear_left": "290 kg"},
            "mass.corners: found 'x', expected",
        ),
    ],
)
def test_what_is_no_table_is_said(fields, text, changes, words):
    with pytest.raises(InputError) as caught:
        edited_toml(fields, text, changes)
    assert str(caught.value).startswith(words)


@pytest.mark.parametrize(
    "text",
    [
        "",
        '[hours]\nstart = "09:00"  # sharp\n',
        '[expected.wing]\n"50 mm" = { front = "1 N" }  # mine\n[other]\nx = 1\n',
        '[expected]\nwing = { "50 mm" = "so" }\n',
        'expected.wing."50 mm" = "so"  # mine\n',
        '# [expected.wing]\n# "60 mm" = "from library"  # seven cars\n',
        '[expected.wing]\n"60 mm" = "other"  # mine\n',
    ],
)
def test_a_key_that_needs_quotation_marks_is_put_in_like_any_other(text):
    path = ("expected", "wing", "60 mm")
    after = put(text, path, '{ from_library = "Wing, \\"60\\"" }')
    before = tomllib.loads(text)
    wanted = before.get("expected", {}).get("wing", {}) | {"60 mm": {"from_library": 'Wing, "60"'}}
    assert tomllib.loads(after) == before | {"expected": {"wing": wanted}}
    remarks = [line.partition("#")[2] for line in text.splitlines() if line.partition("#")[2].startswith(" ")]
    assert all(remark.strip() in after for remark in remarks if "[" not in remark and "=" not in remark)
