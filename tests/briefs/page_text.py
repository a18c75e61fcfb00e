"""The page read as text: its sentences section by section, and the figures in them."""

import re

HTML = "{http://www.w3.org/1999/xhtml}"
NUMBER = r"(?<![\w.,-])[+−]?(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]+)(?:\.[0-9]+)?(?![0-9]|[.,][0-9])"
UNIT = r"(?: ?(?:%|°|N|lbf|km/h|mph|kW|hp|deg|mm|in|kg/m³|lb/ft³|kg|lb|pt|points)(?![\w/]))?"
FIGURE = re.compile(rf"{NUMBER} to {NUMBER}{UNIT}|{NUMBER}{UNIT}")
FIXED = re.compile(
    r"(?:in|holds the truth in) (?:80|95) of 100 such days|\(80 % power\)|5 to 50 % of draws|at 3 values or more"
    r"|95 % intervals?|significant \(95 %\)|\+4: mean with 4 more runs"
)


def figures(text):
    """Find every figure of a text, an interval as one, with its unit where it has one."""
    return set(FIGURE.findall(FIXED.sub("", text.replace("\xa0", " "))))


def sentences(tree, key):
    """Read the sentences of a section: paragraphs, lines, captions; not tables, the engineer's words, the glossary."""
    (section,) = (e for e in tree.iter(f"{HTML}section") if e.get("id") == key)
    own = {id(e) for box in section.iter() if box.get("class") in ("own", "terms") for e in box.iter()}
    tags = {f"{HTML}{tag}" for tag in ("p", "li", "caption", "figcaption")}
    return ["".join(e.itertext()) for e in section.iter() if e.tag in tags and id(e) not in own]
