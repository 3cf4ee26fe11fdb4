"""Readers of single values: each takes what TOML gave and gives what a record holds, or says why not.

A reader knows neither the file nor the key; ``table`` adds the place, and the key where a remedy has
``{key}``.
"""

import json
import math
import re
from collections.abc import Callable, Sequence
from typing import TypeVar

from mockup.design.mistakes import is_american, nearest
from mockup.units import millimetres, plain

T = TypeVar("T")
Reader = Callable[[object], T]
"""Takes a value of TOML; raises `WrongValueError`."""


class WrongValueError(Exception):
    """One value cannot be taken: what is wrong, and what to write."""

    def __init__(self, what: str, remedy: str = "") -> None:
        super().__init__(what, remedy)
        self.what = what
        self.remedy = remedy


def said(value: object) -> str:
    """Write a value as it came, briefly."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, int) and abs(value) >= 10**15:
        return "a huge number"
    if isinstance(value, (int, float)):
        return f"{value:.10g}"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    return "a table" if isinstance(value, dict) else str(value)


def quoted(word: str) -> str:
    """Write a word in quotes, cut where it is long."""
    return json.dumps(word if len(word) <= 40 else word[:37] + "...", ensure_ascii=False)


def wrong(expected: str, value: object, remedy: str = "") -> WrongValueError:
    """Say what was expected and what came."""
    return WrongValueError(f"expected {expected}, not {said(value)}", remedy)


def text(most: int = 200, least: int = 1) -> Reader[str]:
    """Read one line of text of so many signs; blanks at its ends are dropped."""

    def read(value: object) -> str:
        if not isinstance(value, str):
            raise wrong("text in quotes", value)
        trimmed = value.strip()
        if not trimmed.isprintable():
            raise WrongValueError(
                "has a line break, a tab or another sign that cannot be seen", "write one line"
            )
        if len(trimmed) < least:
            raise WrongValueError("is empty", "write it, or leave the line out")
        if len(trimmed) > most:
            raise WrongValueError(f"is longer than {most} signs", "shorten it")
        return trimmed

    return read


def flag(value: object) -> bool:
    """Read true or false."""
    if not isinstance(value, bool):
        raise wrong("true or false", value, "write {key} = true or {key} = false, without quotes")
    return value


def word(words: Sequence[str], kind: str = "", listed: str = "") -> Reader[str]:
    """Read one of the words; where they are many, ``kind`` and ``listed`` say in short what they are."""
    expected = listed or ", ".join(words[:-1]) + " or " + words[-1]

    def read(value: object) -> str:
        if not isinstance(value, str):
            none = value is False and "none" in words
            raise wrong(expected, value, 'write {key} = "none"' if none else "")
        if value.strip() in words:
            return value.strip()
        near = nearest(value, words)
        if near and is_american(value, words):
            raise WrongValueError(f"{quoted(value)} is the American spelling", f'write {{key}} = "{near}"')
        raise wrong(kind if kind and near else expected, value, f'write {{key}} = "{near}"' if near else "")

    return read


def number(least: float, most: float, kind: str = "a number") -> Reader[float]:
    """Read a number within bounds."""

    def read(value: object) -> float:
        return _within(_finite(value, kind), least, most, value, "")

    return read


def share(least: float = 0.001, most: float = 1.0) -> Reader[float]:
    """Read a share of 1."""

    def read(value: object) -> float:
        amount = _finite(value, "a share")
        if most < amount <= 100 and amount / 100 >= least:
            remedy = f"write {{key}} = {amount / 100:.4g}"
            raise wrong(f"a share of 1 ({least:g} to {most:g})", value, remedy)
        return _within(amount, least, most, value, "")

    return read


def whole(least: int, most: int) -> Reader[int]:
    """Read a whole number within bounds."""

    def read(value: object) -> int:
        amount = _finite(value, "a whole number")
        if amount != int(amount):
            raise wrong("a whole number", value)
        return int(_within(amount, least, most, value, ""))

    return read


def length(least: float, most: float) -> Reader[float]:
    """Read a length in mm, or text in CSS units; give mm."""

    def read(value: object) -> float:
        if not isinstance(value, str):
            return _within(_finite(value, "a length"), least, most, value, " mm")
        if re.fullmatch(r"\s*[+-]?[\d.]+\s*", value):
            remedy = f'write {{key}} = {value.strip()}, or "{value.strip()}mm"'
            raise WrongValueError(f"{quoted(value)} has no unit", remedy)
        try:
            mm = millimetres(value)
        except ValueError as fault:
            what, _, remedy = str(fault).partition("; ")
            raise WrongValueError(what if len(value) <= 40 else "is no length", remedy) from None
        return _within(mm, least, most, value, " mm")

    return read


def _finite(value: object, kind: str) -> float:
    if isinstance(value, str):
        comma = re.fullmatch(r"\s*([+-]?\d+),(\d+)\s*", value)
        if comma:
            raise WrongValueError(
                f"{quoted(value)} has a decimal comma", f"write {{key}} = {comma[1]}.{comma[2]}"
            )
        bare = re.fullmatch(r"\s*[+-]?\d+(?:\.\d+)?\s*", value)
        raise wrong(kind, value, f"write {{key}} = {value.strip()}, without quotes" if bare else "")
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise wrong(kind, value)
    if abs(value) > 1e15 or not math.isfinite(value):
        raise wrong(kind, value)
    return float(value)


def _within(amount: float, least: float, most: float, value: object, unit: str) -> float:
    if not least <= amount <= most:
        raise wrong(f"{plain(least, 3)} to {plain(most, 3)}{unit}", value)
    return amount


def pair(read_one: Reader[T], expected: str) -> Reader[tuple[T, T]]:
    """Read a list of two."""

    def read(value: object) -> tuple[T, T]:
        if isinstance(value, list) and len(value) == 2:
            return read_one(value[0]), read_one(value[1])
        split = isinstance(value, list) and len(value) == 4 and all(type(part) is int for part in value)
        raise wrong(expected, value, "a decimal comma is written as a point: 3.5" if split else "")

    return read


def listing(read_one: Reader[T], most: int, expected: str, least: int = 0) -> Reader[tuple[T, ...]]:
    """Read a list of so many."""

    def read(value: object) -> tuple[T, ...]:
        if isinstance(value, (str, dict)):
            remedy = f"write {{key}} = [{quoted(value)}]" if isinstance(value, str) else ""
            raise wrong(f"a list of {expected}", value, remedy)
        if not isinstance(value, list) or not least <= len(value) <= most:
            raise wrong(f"a list of {least} to {most} {expected}", value)
        return tuple(_numbered(read_one, one, place) for place, one in enumerate(value, 1))

    return read


def _numbered(read_one: Reader[T], value: object, place: int) -> T:
    try:
        return read_one(value)
    except WrongValueError as fault:
        raise WrongValueError(f"number {place}: {fault.what}", fault.remedy.replace("{key} = ", "")) from None


def mapping(
    read_name: Reader[str], read_one: Reader[T], expected: str, most: int = 2000
) -> Reader[dict[str, T]]:
    """Read a table whose names are hers."""

    def read(value: object) -> dict[str, T]:
        if not isinstance(value, dict):
            raise wrong(f"a table of {expected}", value)
        if len(value) > most:
            raise WrongValueError(f"has more than {most} entries", "leave some out")
        found: dict[str, T] = {}
        for name, one in value.items():
            try:
                tidy = read_name(name)
                if tidy in found:
                    raise WrongValueError("stands twice", "keep one of them")
                found[tidy] = read_one(one)
            except WrongValueError as fault:
                remedy = fault.remedy.replace("{key}", quoted(name))
                raise WrongValueError(f"{quoted(name)}: {fault.what}", remedy) from None
        return found

    return read
