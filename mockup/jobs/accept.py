"""The guts of ``check --accept``: the exchanges that were told are written into the design file as ``fixed``."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mockup.design.amending import with_fixed
from mockup.design.reading import parse_design
from mockup.errors import MockupError
from mockup.jobs.check import Report, check_design, figures_of, report_on
from mockup.jobs.exchanging import fixed_by, improved
from mockup.jobs.followed import Chosen
from mockup.jobs.handing import refuse_changed, source
from mockup.jobs.piece import Piece, read_piece
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.smallest import SHARE_SLACK
from mockup.jobs.spreading import follow_plan, spread_piece
from mockup.jobs.targets import beside
from mockup.sheets.files import check_targets, mark, write_all
from mockup.sheets.planfile import parse_plan

SLACK = 0.005
"""The heaviest place may hold so much more than was promised; it is told in whole per cent."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """What ``accept`` did.

    ``report`` is that of the plan before, ``after`` that of the plan that the design has now; ``fixed`` the entries
    that were written, ``promised`` and ``reached`` the heaviest place as it was told and as the design now has it;
    ``alone`` the same where only ``fixed`` would have been written, None where that is what was done or it cannot be
    done; ``plan`` the plan file that is followed from now on, or None; ``written`` all files.
    """

    report: Report
    after: Report
    fixed: dict[str, str]
    promised: float
    reached: float
    alone: float | None
    plan: Path | None
    written: tuple[Path, ...]


def accept(path: Path, *, force: bool = False, tell: Tell = quiet) -> Accepted:
    """Carry out the exchanges that ``check`` tells, and write them into the design file as ``fixed``.

    Where the inks, spread anew round what is fixed then, lie less evenly than was promised, the plan itself is kept: it
    is written beside the design, which names it. A design that names a plan already has that file replaced.

    Parameters
    ----------
    path : Path
        The design file.
    force : bool
        Replace a plan file that is not ours.
    tell : callable
        Hears how far the job is.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, or a file that cannot be written; then none is.
    """
    text = source(path)
    report = check_design(path, tell=tell)
    spreading, steps = report.spreading, report.steps
    if not steps:
        level = report.figures.lump_max
        return Accepted(report, report, {}, level, level, None, None, ())
    fixed, better = fixed_by(spreading, steps), improved(spreading, steps)
    promised, named = figures_of(better).lump_max, spreading.piece.design.colouring.plan
    if named is None:
        tell("spreading anew", 0.85)
        amended = with_fixed(text, fixed, where=path.name)
        anew = _anew(path, amended)
        if anew is not None and anew.figures.lump_max <= promised + SLACK and _as_good(anew, report):
            _write(path, text, {path: amended.encode()}, spreading.piece)
            return Accepted(report, anew, fixed, promised, anew.figures.lump_max, None, None, (path,))
        target = beside(path, ".geojson")
        amended = with_fixed(text, fixed, plan=target.name, where=path.name)
    else:
        anew, target = None, spreading.piece.design.beside(named)
        amended = with_fixed(text, fixed, where=path.name)
    content = plan_bytes(better, mark(spreading.piece.name))
    check_targets({target: None}, mark(spreading.piece.name), force=force)
    after = report_on(_followed(path, amended, content, target.name))
    _write(path, text, {target: content, path: amended.encode()}, spreading.piece)
    alone = anew.figures.lump_max if anew else None
    return Accepted(report, after, fixed, promised, after.figures.lump_max, alone, target, (path, target))


def accepted_in_words(done: Accepted) -> list[str]:
    """Say what was done, for a reader."""
    if not done.fixed:
        return ["accepted  nothing: there is no exchange that helps clearly"]
    what = f"accepted  {len(done.fixed)} shapes are fixed in the design file"
    if done.plan is None:
        return [
            f"{what}; the rest is spread anew round them, the heaviest place holds {done.reached:.0%} too much"
        ]
    lines = [
        f"{what}; the plan is kept in {done.plan.name}, the heaviest place holds {done.reached:.0%} too much"
    ]
    if done.alone is not None:
        lines.append(
            f"          (spread anew round them, it would hold {done.alone:.0%}, not {done.promised:.0%};"
        )
        lines.append("          take the line `plan` out of the design to have it spread anew all the same)")
    return lines


def accepted_as_data(done: Accepted) -> dict[str, Any]:
    """Give it as plain data for JSON."""
    return {
        "accepted": {
            "fixed": done.fixed,
            "lump_max_promised": round(done.promised, 4),
            "lump_max_now": round(done.reached, 4),
            "plan": done.plan.name if done.plan else None,
            "written": [str(path) for path in done.written],
        }
    }


def _anew(path: Path, amended: str) -> Report | None:
    """Measure the plan when all else is spread anew; None where that cannot be."""
    try:
        return report_on(spread_piece(_piece(path, amended)))
    except MockupError:
        return None


def _as_good(anew: Report, before: Report) -> bool:
    """Tell whether a plan has no more contact than another, nor shares that are further off."""
    off = anew.figures.share_error > max(SHARE_SLACK, before.figures.share_error)
    return anew.figures.conflicts <= before.figures.conflicts and not off


def _piece(path: Path, text: str) -> Piece:
    return read_piece(parse_design(text, where=path.name, file=path))


def _followed(path: Path, amended: str, content: bytes, name: str) -> Spreading:
    """Follow a plan that is not written yet, to be sure that the design will."""
    return follow_plan(_piece(path, amended), Chosen(parse_plan(content, name), path.name))


def _write(path: Path, text: str, contents: dict[Path, bytes], piece: Piece) -> None:
    """Write all or nothing; not over what she changed meanwhile."""
    refuse_changed(path, text)
    write_all(contents, mark(piece.name), force=True)
