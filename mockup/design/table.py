"""One table of the design file while it is read: its keys are known, its values checked, its place told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeVar

from mockup.design.keys import TABLES, TOP, Table
from mockup.design.lines import KeyPath, line_of
from mockup.design.mistakes import is_american, nearest
from mockup.design.values import Reader, WrongValueError, quoted, said
from mockup.errors import DesignError

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Source:
    """The file that is read: its name, and the lines of its keys."""

    name: str
    lines: Mapping[KeyPath, int]

    def where(self, path: KeyPath, label: str) -> str:
        """Say where something stands: file, line, heading and key."""
        line = line_of(path, self.lines)
        return ", ".join(part for part in (self.name, f"line {line}" if line else "", label) if part)


@dataclass(frozen=True, slots=True)
class Written:
    """A table as she wrote it.

    Attributes
    ----------
    values : mapping
        What TOML gave.
    known : Table
        What may stand in it.
    source : Source
        The file.
    path : tuple
        Names and numbers from the top.
    label : str
        How messages call it: "[sheet]", "[[palette.ink]] 2".
    """

    values: Mapping[str, object]
    known: Table
    source: Source
    path: KeyPath = ()
    label: str = ""

    def __post_init__(self) -> None:
        """Refuse names that do not belong here."""
        for name in self.values:
            if name not in self.known.names:
                raise self._unknown(name)

    def get(self, key: str, read: Reader[T], usual: T) -> T:
        """Read a value; ``usual`` where it is left out."""
        if key not in self.values:
            return usual
        return self.need(key, read)

    def need(self, key: str, read: Reader[T]) -> T:
        """Read a value that may not be left out."""
        if key not in self.values:
            raise self.wrong(f"{key} is missing", f"write such as {self._example(key)}")
        try:
            return read(self.values[key])
        except WrongValueError as fault:
            remedy = fault.remedy.replace("{key}", key) or f"write such as {self._example(key)}"
            raise self.wrong(fault.what, remedy, key) from None

    def table(self, name: str, known: Table) -> Written:
        """Give a table inside; an empty one where it is left out."""
        value = self.values.get(name, {})
        if not isinstance(value, dict):
            double = isinstance(value, list)
            what = (
                f"{name} has two brackets where one is needed"
                if double
                else f"{name} is a table, not {said(value)}"
            )
            raise self.wrong(what, f"begin it with {known.heading}", name)
        return Written(value, known, self.source, (*self.path, name), known.heading)

    def tables(self, name: str, known: Table, most: int) -> tuple[Written, ...]:
        """Give the tables of a name that may come several times."""
        value = self.values.get(name, [])
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            single = isinstance(value, dict)
            what = (
                f"{name} has one bracket where two are needed" if single else f"{name} is no list of tables"
            )
            raise self.wrong(what, f"begin each with {known.heading}", name)
        if len(value) > most:
            over = (*self.path, name, most)
            where = self.source.where(over, f"{known.heading} {most + 1}")
            raise DesignError(
                f"expected {most} at most, not {len(value)}", where=where, remedy="leave some out"
            )
        return tuple(self.entry(name, place, one, known) for place, one in enumerate(value))

    def entry(self, name: str, place: int, values: Mapping[str, object], known: Table) -> Written:
        """Give one of the tables of a name, by its place from 0."""
        label = f"{known.heading} {place + 1}"
        return Written(values, known, self.source, (*self.path, name, place), label)

    def wrong(self, what: str, remedy: str, key: str = "") -> DesignError:
        """Make the error for a key of this table, or for the table."""
        label = " ".join(part for part in (self.label, key) if part)
        return DesignError(
            what, where=self.source.where((*self.path, key) if key else self.path, label), remedy=remedy
        )

    def _example(self, key: str) -> str:
        known = self.known.key(key)
        return f"{key} = {known.example}" if known else key

    def _unknown(self, name: str) -> DesignError:
        names = self.known.names
        where = self.source.where((*self.path, name), self.label)
        kind = "table" if isinstance(self.values[name], (dict, list)) and not self.path else "key"
        what = f"unknown {kind} {quoted(name)}"
        if is_american(name, names):
            near = nearest(name, names)
            return DesignError(
                f"{quoted(name)} is the American spelling", where=where, remedy=f"write {near}"
            )
        homes = _homes(name, inside=isinstance(self.values[name], (dict, list)))
        near = nearest(name, names)
        if homes:
            return DesignError(what, where=where, remedy=homes)
        if near:
            return DesignError(what, where=where, remedy=f"did you mean {near}?")
        return DesignError(what, where=where, remedy=f"known here: {', '.join(names)}")


def _homes(name: str, *, inside: bool) -> str:
    """Say where a name belongs; nothing where there is no such place or too many."""
    begun = [table for table in TABLES if table.path.split(".")[-1] == name and "." in table.path]
    if inside and begun:
        return f"begin it with {begun[0].heading}"
    homes = [table for table in TABLES if name in table.names]
    if TOP in homes:
        return (
            f"{name} belongs at the top, before the first [table]"
            if TOP.key(name)
            else f"begin it with [{name}]"
        )
    if not 1 <= len(homes) <= 3:
        return ""
    return f"{name} belongs in " + " or ".join(table.heading for table in homes)
