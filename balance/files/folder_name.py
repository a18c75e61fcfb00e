"""A name for a folder, of a title that somebody has typed."""


def folder_name(text: str) -> str:
    """Make a folder's name of a title.

    Examples
    --------
    >>> folder_name("Spring tunnel day (invented)")
    'spring_tunnel_day_invented'
    """
    kept = "".join(character if character.isalnum() else " " for character in text.casefold())
    return "_".join(kept.split())[:60]
