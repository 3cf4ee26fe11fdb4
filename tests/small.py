"""Small designs that are drawn in a moment, for tests of the commands and sheets."""

from collections.abc import Mapping
from pathlib import Path

from mockup.design.reading import parse_design
from mockup.jobs.piece import read_piece
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.jobs.spreading import spread_piece
from mockup.rendering.scene import Clip, Cloth, Fill, Item, Scene, Stroke, Text

INKS = (("oat", "#f1e4c8"), ("clay", "#b9522b"), ("moss", "#73834f"), ("night", "#25313f"))

BLOCKS = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">
<rect data-part="a" x="4" y="4" width="16" height="16"/>
<rect data-part="b" x="20" y="4" width="16" height="16"/>
<rect data-part="c" x="4" y="20" width="16" height="16"/>
<rect data-part="d" x="20" y="20" width="16" height="16"/>
<path d="M6 6L18 18" fill="none" stroke="#000"/>
</svg>
"""
"""Four squares that share their edges, and one line in the first."""

Tables = Mapping[str, Mapping[str, str]]
DRAWN: Tables = {
    "": {"title": '"Blocks"', "date": "2026-03-04"},
    "sheet": {"size": "[72, 80]", "margin": "8"},
    "drawing": {"file": '"blocks.svg"'},
    "colouring": {"ground": '"paper"'},
}
"""One sheet with a drawing of four squares."""


def toml(tables: Tables, inks: tuple[tuple[str, str], ...] = INKS) -> str:
    """Write a design file: values stand as TOML writes them."""
    lines = [f"{key} = {value}" for key, value in tables.get("", {}).items()]
    for name, colour in inks:
        lines += ["[[palette.ink]]", f'name = "{name}"', f'colour = "{colour}"']
    for table, values in tables.items():
        if table:
            lines += [f"[{table}]", *(f"{key} = {value}" for key, value in values.items())]
    return "\n".join(lines) + "\n"


def changed(tables: Tables, **tables_changed: Mapping[str, str]) -> Tables:
    """Give the tables with some of their keys changed."""
    names = dict.fromkeys([*tables, *tables_changed])
    return {name: {**tables.get(name, {}), **tables_changed.get(name, {})} for name in names}


def write_design(
    folder: Path, tables: Tables = DRAWN, inks: tuple[tuple[str, str], ...] = INKS, name: str = "blocks.toml"
) -> Path:
    """Write a design and the drawing of four squares into a folder."""
    (folder / "blocks.svg").write_text(BLOCKS, encoding="utf-8")
    path = folder / name
    path.write_text(toml(tables, inks), encoding="utf-8")
    return path


def spreading_of(path: Path) -> Spreading:
    """Spread the inks of a design file."""
    return spread_piece(
        read_piece(parse_design(path.read_text(encoding="utf-8"), where=path.name, file=path))
    )


def scene_of(path: Path, *, names: bool = False) -> Scene:
    """Compose the sheet of a design file."""
    return preview_scene(spreading_of(path), names=names)


def flat(items: tuple[Item, ...]) -> list[Fill | Stroke | Text]:
    """Give all items, those inside clips too."""
    found: list[Fill | Stroke | Text] = []
    for item in items:
        found += flat(item.items) if isinstance(item, Clip | Cloth) else [item]
    return found


def texts(scene: Scene) -> list[str]:
    """Give every line of type on a sheet."""
    return [item.text for item in flat(scene.items) if isinstance(item, Text)]
