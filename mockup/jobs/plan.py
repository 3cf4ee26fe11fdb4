"""The guts of ``plan``: the plan of a design as GeoJSON."""

from pathlib import Path

from mockup.errors import FileError
from mockup.jobs.colourway import spread_file
from mockup.jobs.planned import Spreading
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.targets import beside, suffix
from mockup.sheets.files import mark, write
from mockup.sheets.plan import PlanHead, PlanInk, PlanNode, PlanSide, plan_file

ENDINGS = (".geojson", ".json")


def write_plan(
    path: Path,
    target: Path | None = None,
    *,
    way: str | None = None,
    force: bool = False,
    tell: Tell = quiet,
) -> Path:
    """Spread the inks of a design file and write the plan, in the inks of the colourway with the code ``way``.

    Raises
    ------
    MockupError
        Whatever of the design cannot be followed, or a target that cannot be written.
    """
    target = target or beside(path, f"{suffix(way)}.geojson")
    if target.suffix.lower() not in ENDINGS:
        raise FileError(
            f"a plan cannot be written as {target.suffix!r}",
            where=str(target),
            remedy="end the name in .geojson",
        )
    spreading = spread_file(path, way, tell=tell)
    tell("writing", 0.9)
    made_for = mark(spreading.piece.name)
    return write(target, plan_bytes(spreading, made_for), made_for, force=force)


def plan_bytes(spreading: Spreading, made_for: str) -> bytes:
    """Write the plan of a piece whose inks are spread."""
    piece = spreading.piece
    inks, lattice = piece.palette.inks, piece.tile.lattice
    head = PlanHead(
        cell=spreading.cell,
        wraps=spreading.plan.tiles is not None,
        reach=spreading.facing.reach,
        ground=piece.ground_name,
        inks=tuple(
            PlanInk(ink.name, piece.shown(ink).hex, ink.role, float(share))
            for ink, share in zip(inks, spreading.targets.reachable, strict=True)
        ),
        made_for=made_for,
        repeat=piece.layout.repeat,
        tile=lattice.tile,
        drop=str(lattice.drop or lattice.step),
        colour_repeat=spreading.tiles,
        side=tuple(
            PlanSide(
                own.name,
                tuple((ink.name, piece.shown(ink).hex) for ink in own.inks),
            )
            for own in piece.palette.side
        ),
    )
    nodes = [
        PlanNode(
            row.label,
            piece.tile.nodes[row.node].motif,
            piece.tile.nodes[row.node].part,
            piece.palette.every[int(ink)].name,
            bool(pinned),
            row.seen,
            piece.tile.nodes[row.node].side,
        )
        for row, ink, pinned in zip(spreading.rows, spreading.plan.inks, spreading.rules.pinned, strict=True)
    ]
    return plan_file(head, nodes)
