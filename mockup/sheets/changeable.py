"""Text files that she may change by hand: one that is still as it was written is replaced, a changed one is hers."""

import hashlib
from pathlib import Path

from mockup.sheets.files import mark, write


def write_changeable(target: Path, text: str, kind: str, *, force: bool = False) -> Path:
    """Write a text that allows XML comments, with a mark that tells by some digits whether it is as it was written.

    Parameters
    ----------
    target : Path
        Where to.
    text : str
        Without any comment.
    kind : str
        What wrote it, in the mark.
    force : bool
        Replace whatever is there.

    Raises
    ------
    FileError
        The target holds anything else, or was changed since; or it cannot be written.
    """
    content = _marked(text, kind)
    return write(target, content, content.decode(), force=force or _untouched(target, kind))


def _marked(text: str, kind: str) -> bytes:
    digits = hashlib.sha256(text.encode()).hexdigest()[:16]
    return f"{text}<!-- {mark(f'{kind}.{digits}')} -->\n".encode()


def _untouched(target: Path, kind: str) -> bool:
    """Tell whether nobody has changed a file since it was written."""
    try:
        there = target.read_bytes()
        text = there.decode().partition("<!--")[0]
    except (OSError, UnicodeDecodeError):
        return False
    return there == _marked(text, kind)
