"""The README's picture is the present home screen; `python -m tests.picture` makes it anew."""

from tests.picture import FILE, drawn


async def test_the_picture_in_the_readme_is_not_stale():
    assert FILE.read_text(encoding="utf-8") == await drawn()
