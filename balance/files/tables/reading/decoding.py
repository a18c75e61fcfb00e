"""Bytes of a foreign file into text: which encoding, and how that is known."""

from __future__ import annotations

import codecs

from balance.model.errors import FileFaults, InputError, quoted

_MARKS = (
    (codecs.BOM_UTF8, "utf-8", "UTF-8, by its byte-order mark"),
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32, by its byte-order mark"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32, by its byte-order mark"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16, by its byte-order mark"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16, by its byte-order mark"),
)
_SAMPLE = 100_000


def decode(raw: bytes, *, shown_as: str, encoding: str | None = None) -> tuple[str, str]:
    """Turn the bytes of a file into text.

    Examples
    --------
    >>> decode("a;b".encode("utf-16"), shown_as="x.csv")
    ('a;b', 'UTF-16, by its byte-order mark')
    >>> decode("wing 5 °".encode("cp1252"), shown_as="x.csv")
    ('wing 5 °', 'Windows-1252: it is not UTF-8')
    """
    if not raw.strip(b"\0 \t\r\n"):
        raise FileFaults.of(shown_as, "an empty file", "a table", "is it another file that was meant?")
    name, how = (encoding, "as given") if encoding else encoding_of(raw)
    try:
        text = raw.decode(name)
    except (UnicodeDecodeError, LookupError, UnicodeError):
        mend = "give its encoding with --encoding, as in --encoding cp1252"
        tried = encoding or how.split(",")[0].split(":")[0]
        if tried == "cp1252":
            mend = "is it a table at all? save it as CSV in UTF-8, or give another --encoding"
        raise FileFaults.of(shown_as, f"bytes that are not {tried} text", "text", mend) from None
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        raise FileFaults.of(shown_as, "zero bytes", "a table as text or XLSX", "save it again as CSV or XLSX")
    return text, f"{name} {how}" if encoding else how


def growing_text(raw: bytes, encoding: str | None = None) -> str:
    """Turn the bytes of a file that is still being written into text.

    Examples
    --------
    >>> growing_text("5 °C;é".encode()[:-1])
    '5 °C;'
    """
    whole = raw[: max(raw.rfind(b"\n"), raw.rfind(b"\r")) + 1]
    name = encoding or (encoding_of(whole)[0] if whole else "utf-8")
    try:
        b" ".decode(name, "replace")
    except LookupError:
        raise InputError(
            f"found the encoding {quoted(name)}, expected one of texts, such as cp1252"
        ) from None
    return codecs.getincrementaldecoder(name)(errors="replace").decode(raw).removeprefix("\ufeff")


def encoding_of(raw: bytes) -> tuple[str, str]:
    """Find the encoding of a text, as Python names it and in words that say how it is known."""
    for mark, name, how in _MARKS:
        if raw.startswith(mark):
            return name, how
    if (half := _utf_16_without_mark(raw)) is not None:
        return half, "UTF-16, by its zero bytes"
    try:
        raw.decode("utf-8")
    except UnicodeDecodeError:
        return _single_byte(raw)
    return "utf-8", "plain ASCII" if raw.isascii() else "UTF-8"


def _utf_16_without_mark(raw: bytes) -> str | None:
    sample = raw[: _SAMPLE - _SAMPLE % 2]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    most = len(sample) // 2 * 0.3
    if odd > most and odd > 10 * even:
        return "utf-16-le"
    return "utf-16-be" if even > most and even > 10 * odd else None


def _single_byte(raw: bytes) -> tuple[str, str]:
    """Take Windows-1252 where it fits the bytes; ask the detector where it does not."""
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError:
        text = ""
    if text and all(c.isprintable() or c in "\r\n\t\u00a0\u00ad" for c in text):
        return "cp1252", "Windows-1252: it is not UTF-8"
    from charset_normalizer import from_bytes  # noqa: PLC0415 - slow to load, and seldom needed

    best = from_bytes(raw[:_SAMPLE]).best()
    name = best.encoding if best else "cp1252"
    return name, f"{name}, as detected"
