"""Text files that she may change by hand: one that is still as it was written is replaced, a changed one is hers."""

import hashlib
from pathlib import Path

from mockup.sheets.files import MARK, mark, write

_XML = ("<!-- ", " -->")


def write_changeable(
    target: Path, text: str, kind: str, *, force: bool = False, signs: tuple[str, str] = _XML
) -> Path:
    """Write a text with a mark in its last line that tells by some digits whether it is as it was written.

    Parameters
    ----------
    target : Path
        Where to.
    text : str
        What to write; it ends its last line.
    kind : str
        What wrote it, in the mark.
    force : bool
        Replace whatever is there.
    signs : (str, str)
        What stands before and after a remark in such a text.

    Raises
    ------
    FileError
        The target holds anything else, or was changed since; or it cannot be written.
    """
    content = _marked(text, kind, signs)
    return write(target, content, content.decode(), force=force or _untouched(target, kind, signs))


def _marked(text: str, kind: str, signs: tuple[str, str]) -> bytes:
    digits = hashlib.sha256(text.encode()).hexdigest()[:16]
    return f"{text}{signs[0]}{mark(f'{kind}.{digits}')}{signs[1]}\n".encode()


def _untouched(target: Path, kind: str, signs: tuple[str, str]) -> bool:
    """Tell whether nobody has changed a file since it was written."""
    try:
        there = target.read_bytes()
        text = there.decode()
    except (OSError, UnicodeDecodeError):
        return False
    return there == _marked(text[: max(text.rfind(signs[0] + MARK), 0)], kind, signs)
