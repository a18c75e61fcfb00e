"""The line of every key, however the file is laid out."""

import tomllib

from balance.files.toml.lines import key_lines

ODD = '''\
# a [comment] = 1
a.b . "c.d" = """x
[no]
k = 1 \\""" """
'e#' = { f = "}", g = [1, { h = 2 }] } # tail

[ t . 'u' ]
v = [
  "]", # ]
  \'\'\'[w]
x = 1\'\'\',
  { y = 1 },
]
when = 1979-05-27 07:32:00
[[p]]
n = 1
[p.q]
r = 1
[[p]]
[[p.s]]
z = ""
""""" = 1
'''.replace('""""" = 1\n', "")


def test_keys_are_found_in_an_odd_layout():
    tomllib.loads(ODD)
    assert key_lines(ODD) == {
        ("a",): 2, ("a", "b"): 2, ("a", "b", "c.d"): 2,
        ("e#",): 5, ("e#", "f"): 5, ("e#", "g"): 5, ("e#", "g", 1, "h"): 5,
        ("t", "u"): 7, ("t", "u", "v"): 8, ("t", "u", "v", 2, "y"): 12, ("t", "u", "when"): 14,
        ("p", 0): 15, ("p", 0, "n"): 16, ("p", 0, "q"): 17, ("p", 0, "q", "r"): 18,
        ("p", 1): 19, ("p", 1, "s", 0): 20, ("p", 1, "s", 0, "z"): 21,
    }  # fmt: skip


def test_text_with_quotation_marks_at_its_end():
    text = 'a = """x"""""\nb = \'\'\'y\'\'\'\'\'\nc = """"""\nd = ""\ne = \'\'\nf = 1'
    assert list(tomllib.loads(text)) == [*"abcdef"]
    assert key_lines(text) == {(name,): line for line, name in enumerate("abcdef", start=1)}
