"""From text to plain values with TOML's grammar; slips of it told in plain words, with the line."""

import re
import tomllib
from typing import Final, NamedTuple

from mockup.errors import DesignError

_PART: Final = r"""(?:[\w-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
_LONG_NAME: Final = re.compile(rf"(?:^|[\[{{,])[ \t]*{_PART}(?:[ \t]*\.[ \t]*{_PART}){{7}}", re.MULTILINE)
"""Eight names joined by points: no key of ours, and costly to read in great numbers."""
_AT: Final = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")
_OPEN: Final = "a quote is never closed"
_STRAIGHT: Final = re.compile(r'"[^"\n]*"|\'[^\'\n]*\'')


class Slip(NamedTuple):
    """A slip that can be seen in one line: what is wrong, and what to write."""

    what: str
    remedy: str


_SEEN: Final = (
    (
        r"(?:^|[=\[{,(])\s*[“”„«»‘’‚]|[“”„«»‘’‚]\s*(?:[,}\]#]|$)",
        Slip("curly quotes", 'write straight ones: "..."'),
    ),
    (
        r"[\u00a0\u2007\u202f\u200b\ufeff\u3000]",
        Slip("a space that is no ordinary one", "write an ordinary space"),
    ),
    (r"=\s*[\u2212\u2013\u2014]", Slip("a dash for a minus sign", "write - as on the keyboard")),
    (r"=\s*[+-]?\.\d", Slip("nothing before the point", "write 0.5")),
    (r"=\s*[+-]?\d+\.\s*(?:[,}#]|$)", Slip("nothing after the point", "write 5.0 or 5")),
    (r"=\s*[+-]?\d+,\d+\s*(?:[,}#]|$)", Slip("a decimal comma", "write a point: 3.5")),
    (r"=\s*#[0-9A-Fa-f]{3,8}\b", Slip("a colour without quotes", 'write "#b5532a"')),
    (
        r"=\s*(?:lab|rgb|hsl|lch|oklab|oklch|color)\w*\(",
        Slip("a colour without quotes", 'write "lab(50 20 30)"'),
    ),
    (r"=\s*(?:True|TRUE|False|FALSE)\b", Slip("true and false are in small letters", "write true or false")),
    (r"=\s*(?:yes|no|on|off)\b", Slip("yes and no are not understood", "write true or false")),
    (
        r"=\s*\d+(?:\.\d+)?\s*(?:mm|cm|in|pt|pc|px|q)\b",
        Slip("a length with a unit needs quotes", 'write "6cm"'),
    ),
    (r"=\s*\d+(?:\.\d+)?\s*%", Slip("per cent", "write a share of 1, such as 0.3")),
    (r"=\s*\d+\s*:\s*\d+", Slip("a scale needs quotes", 'write "1:4"')),
    (r"=\s*\d+\s*/\s*\d+\s*(?:[,}#]|$)", Slip("a fraction needs quotes", 'write "1/2"')),
    (r"=\s*\d{1,4}[./-]\d{1,2}[./-]\d{1,4}", Slip("no date", "write year-month-day: 2026-03-04")),
    (r"=\s*\[\s*[A-Za-z]", Slip("text without quotes", 'write ["a", "b"]')),
    (r"=\s*[A-Za-z][^=\[\]{}\"']*$", Slip("text without quotes", 'write it in quotes: "..."')),
    (r"=\s*$", Slip("nothing after =", "write a value, or leave the line out")),
    (r"^\s*[\w-]+\s*:\s", Slip("a colon after a name", "write =")),
    (
        r"(?:^|[{,])\s*(?:at\b|[\w-]+-\d+(?:@\d+,\d+)?/)",
        Slip("a place needs quotes", 'write "pear-3/body" = "clay"'),
    ),
    (r"^\s*(?://|/\*|--|;|')", Slip("a remark begins with #", "write #")),
)
_PLAIN: Final = (
    ("Unescaped '\\'", Slip("a backslash in double quotes", "write / in paths, or single quotes")),
    ("Escaped character", Slip("a backslash in double quotes", "write / in paths, or single quotes")),
    ("Invalid hex", Slip("a backslash in double quotes", "write / in paths, or single quotes")),
    ("Illegal character '\\n'", Slip(_OPEN, "close it")),
    ("Found invalid character '\\n'", Slip(_OPEN, "close it")),
    ("Unterminated string", Slip(_OPEN, "close it")),
    ("Expected \"'", Slip(_OPEN, "close it")),
    ("Expected \"'", Slip(_OPEN, "close it")),
    ("Unclosed array", Slip("a comma or ] is missing", 'write ["a", "b"]')),
    ("Unclosed inline table", Slip("a comma or } is missing", 'write { name = "a", turn = 15 }')),
    ("Expected ']", Slip("a table's heading is not closed", "write [sheet] or [[palette.ink]]")),
    ("Cannot overwrite", Slip("a name stands twice", "keep one of them")),
    ("Cannot mutate", Slip("a name stands twice", "keep one of them")),
    ("Cannot redefine", Slip("a name stands twice", "keep one of them")),
    ("Duplicate inline", Slip("a name stands twice", "keep one of them")),
    ("Invalid date", Slip("no such date", "write year-month-day: 2026-03-04")),
    ("Expected '='", Slip("a name without = and a value", "write NAME = VALUE")),
    ("Expected newline", Slip("more than one value", "write one NAME = VALUE a line, text in quotes")),
    ("Invalid value", Slip("no value", 'write "text", a number, true, false or [a, list]')),
    ("Illegal character", Slip("a sign that cannot be seen", "type the line again")),
    ("Found invalid character", Slip("a sign that cannot be seen", "type the line again")),
    ("Invalid statement", Slip("not a line of a design file", "write NAME = VALUE, [TABLE] or # remark")),
    ("Invalid initial", Slip("not a name", "write NAME = VALUE or [TABLE]")),
)


def read_toml(text: str, where: str) -> dict[str, object]:
    """Read TOML.

    Parameters
    ----------
    text : str
        The whole file, with lines ending in a line feed.
    where : str
        The file's name, for messages.

    Raises
    ------
    DesignError
        What is wrong in the first line that is.

    References
    ----------
    TOML 1.0.0.
    """
    long = _LONG_NAME.search(text)
    if long:
        line = text.count("\n", 0, long.end()) + 1
        raise DesignError(
            "too many names joined by points", where=f"{where}, line {line}", remedy="write NAME = VALUE"
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise _plainly(str(fault), text, where) from None
    except RecursionError:
        raise DesignError(
            "lists or tables lie too deep in each other", where=where, remedy="write fewer [ or {"
        ) from None
    except (ValueError, OverflowError):
        digits = re.search(r"[\d_]{1000}", text)
        place = f"{where}, line {text.count(chr(10), 0, digits.end()) + 1}" if digits else where
        raise DesignError("a number has too many digits", where=place, remedy="write fewer") from None


def _plainly(message: str, text: str, where: str) -> DesignError:
    """Turn the parser's message into plain words."""
    plain = next((slip for start, slip in _PLAIN if message.startswith(start)), None)
    opened = plain is not None and plain.what == _OPEN
    lines = text.rstrip("\n").split("\n")
    number = _line_of(message, lines, opened=opened)
    line = lines[number - 1]
    place = f"{where}, line {number}"
    twice = re.search(r"Cannot declare \((.*)\) twice", message)
    if twice:
        return _declared_twice(twice[1], place)
    seen = _seen_in(line, quotes_only=opened)
    at_end = message.endswith("(at end of document)")
    before, begun = (lines, "") if at_end else (lines[: number - 1], line)
    if message.startswith("Invalid value") and _list_left_open(before, begun):
        seen = Slip("a list before this is not closed", "write ]")
    slip = seen or plain or Slip(f"not understood ({_AT.sub('', message)})", "write NAME = VALUE")
    return DesignError(slip.what, where=place, remedy=slip.remedy)


def _line_of(message: str, lines: list[str], *, opened: bool) -> int:
    """Find the line of a slip; of a quote that is open to the end, the line that opens it."""
    found = _AT.search(message)
    if found and found[1]:
        return min(int(found[1]), len(lines))
    if opened:
        return next((n for n, line in enumerate(lines, 1) if re.search("[\"']", _bare(line))), len(lines))
    return len(lines)


def _list_left_open(before: list[str], line: str) -> bool:
    """Tell whether a line begins something new though the last one before it ends within a list."""
    last = next((_bare(one).strip() for one in reversed(before) if _bare(one).strip()), "")
    return last.endswith((",", "[")) and bool(re.match(r"\s*(?:[\w-]+\s*=|\[\[?[A-Za-z]|$)", line))


def _declared_twice(names: str, place: str) -> DesignError:
    """Tell that a table is begun twice, which is right only for those with two brackets."""
    path = ".".join(re.findall(r"'([^']*)'", names))
    if path in {"palette.ink", "palette.side", "palette.side.ink", "colourway"}:
        return DesignError(f"[{path}] stands twice", where=place, remedy=f"write [[{path}]] for each")
    return DesignError(f"[{path}] stands twice", where=place, remedy="put the two together")


def _seen_in(line: str, *, quotes_only: bool) -> Slip | None:
    """Find a well-known slip in a line, outside of straight quotes and remarks."""
    bare = _STRAIGHT.sub('""', line)
    bare = re.sub(r"([^=\s])\s*#.*$", r"\1", bare)
    for pattern, slip in _SEEN[:1] if quotes_only else _SEEN:
        if re.search(pattern, bare):
            return slip
    return None


def _bare(line: str) -> str:
    """Take closed texts and the remark out of a line."""
    return re.sub(r"#.*$", "", _STRAIGHT.sub("", line))
