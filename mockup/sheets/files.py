"""Writing what she takes away: whole or not at all, and never over a file that is not ours.

Every file that mockup writes for a design carries a mark with the design's name. A file with that mark is replaced;
any other is refused, unless forced.
"""

import hashlib
import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path

from mockup.errors import FileError

MARK = "mockup-made-for"


def mark(design: str) -> str:
    """Give the mark of a design by its name: letters, digits, dots and single hyphens, fit for any comment.

    A name that holds anything else is told apart by some digits of its SHA-256.
    """
    plain = re.sub(r"[^A-Za-z0-9.]+", "-", design) or "unnamed"
    if plain != design:
        plain += f".{hashlib.sha256(design.encode(errors='backslashreplace')).hexdigest()[:8]}"
    return f"{MARK}:{plain};"


def write(path: Path, content: bytes, made_for: str, *, force: bool = False) -> Path:
    """Write one file.

    Parameters
    ----------
    path : Path
        Target; its folder must exist.
    content : bytes
        What to write; it should carry the mark, so that it can be replaced next time.
    made_for : str
        The mark, from ``mark``.
    force : bool
        Replace whatever is there.

    Raises
    ------
    FileError
        The target is something else's, or cannot be written.
    """
    return write_all({path: content}, made_for, force=force)[0]


def write_all(contents: Mapping[Path, bytes], made_for: str, *, force: bool = False) -> list[Path]:
    """Write several files; all targets are checked, and all of it is on the disk, before the first is replaced.

    Raises
    ------
    FileError
        As for ``write``; then none of the targets is touched.
    """
    check_targets(contents, made_for, force=force)
    staged: list[tuple[Path, Path]] = []
    path = Path()
    try:
        for path, content in contents.items():
            target = Path(os.path.realpath(path))
            staged.append((_stage(target, content), target))
        for path, (temporary, target) in zip(contents, staged, strict=True):  # noqa: B007  a fault names it
            temporary.replace(target)
    except OSError as error:
        raise _unwritable(path, error) from None
    finally:
        for temporary, _ in staged:
            temporary.unlink(missing_ok=True)
    return list(contents)


def check_targets(contents: Mapping[Path, bytes | None], made_for: str, *, force: bool = False) -> None:
    """Find out whether files may be written, without touching any; None stands for content not known yet.

    Raises
    ------
    FileError
        One of them may not.
    """
    for path, content in contents.items():
        try:
            _check(path, content, made_for, force)
        except OSError as error:
            raise _unwritable(path, error) from None


def folder(path: Path) -> Path:
    """Make a folder where there is none."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise FileError("is a file, not a folder", where=str(path), remedy="name another folder") from None
    except OSError as error:
        raise _unwritable(path, error) from None
    return path


def _check(path: Path, content: bytes | None, made_for: str, force: bool) -> None:
    if path.is_dir():
        raise FileError("is a folder", where=str(path), remedy="name a file in it")
    if not path.parent.is_dir():
        raise FileError(
            "its folder does not exist", where=str(path), remedy="make the folder first, or name another"
        )
    if path.exists() and not path.is_file():
        raise FileError("is not an ordinary file", where=str(path), remedy="name another file")
    if os.path.lexists(path) and not force and not _is_ours(path, content, made_for):
        raise FileError(
            "exists, and mockup did not write it for this design",
            where=str(path),
            remedy="name another file, or use --force to replace it",
        )


def _is_ours(path: Path, content: bytes | None, made_for: str) -> bool:
    """Tell whether a file carries the mark, or holds just what is to be written."""
    try:
        there = path.read_bytes()
    except OSError:
        return False
    return made_for.encode() in there or there == content


def _stage(target: Path, content: bytes) -> Path:
    """Write beside the target, under a name of its own; whatever goes wrong, nothing half-written stays."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(0o666 & ~_umask())
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _unwritable(path: Path, error: OSError) -> FileError:
    reason = (error.strerror or "unknown reason").lower()
    return FileError(
        f"cannot be written: {reason}", where=str(path), remedy="choose a folder that you may write to"
    )
