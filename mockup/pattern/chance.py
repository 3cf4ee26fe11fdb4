"""Choices that hang on a seed alone: named, so that one more choice leaves all the others as they were."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeVar

T = TypeVar("T")
_PARTS: Final = 1 << 53


@dataclass(frozen=True, slots=True)
class Chance:
    """The choices of one seed; the same in every process and on every machine."""

    seed: int
    about: str = ""

    def share(self, what: str) -> float:
        """Give a number from 0 up to 1 for the choice called ``what``."""
        digest = hashlib.sha256(f"{self.about}/{what}/{self.seed}".encode()).digest()
        return (int.from_bytes(digest[:8], "big") >> 11) / _PARTS

    def between(self, what: str, low: float, high: float) -> float:
        """Give a number from ``low`` up to ``high``."""
        return low + (high - low) * self.share(what)

    def pick(self, what: str, options: Sequence[T]) -> T:
        """Give one of the options; one that is listed twice is twice as likely."""
        return options[int(self.share(what) * len(options))]
