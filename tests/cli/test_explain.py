"""`axletrim explain`: the glossary on the command line."""


def test_a_known_term_by_any_of_its_names(axletrim):
    texts = {
        axletrim("explain", *words).stdout
        for words in (
            ["grip", "balance"],
            ["grip", "surplus"],
            ["grip_surplus"],
            ["Grip-Surplus"],
            ["grip R−F"],
        )
    }
    assert len(texts) == 1
    text = texts.pop()
    assert text.startswith("grip balance")
    for part in ("unit: ", "sign: ", "source: "):
        assert f"\n{part}" in text


def test_an_unknown_term_is_answered_with_the_near_one(axletrim, spoken):
    result = axletrim("explain", "aero", "balnce")
    assert "did you mean 'aero balance'?" in spoken(result)
    assert result.stdout == ""


def test_all_terms(axletrim):
    result = axletrim("explain")
    assert result.returncode == 0
    names = [line.split("  ")[0] for line in result.stdout.splitlines() if not line.startswith(" ")]
    assert {"aero balance", "grip balance", "added load, front axle"} < set(names)
    assert names == sorted(names, key=str.casefold)


def test_lines_fit(axletrim):
    for words in ((), ("grip", "balance")):
        for width in (40, 100):
            lines = axletrim("explain", *words, "--width", width).stdout.splitlines()
            assert max(map(len, lines)) <= width
