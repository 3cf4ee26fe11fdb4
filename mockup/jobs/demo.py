"""The guts of ``demo``: a preview, three colourways and a client page of an invented kitchen linen; two sheets more."""

from dataclasses import dataclass
from pathlib import Path

from mockup.design.reading import parse_design
from mockup.jobs import compare, shadings
from mockup.jobs.inks import palette_of, sheet_of
from mockup.jobs.looks import key_of, look_of
from mockup.jobs.piece import Piece, ground_of, read_piece, recoloured
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.jobs.progress import Tell, quiet
from mockup.jobs.spreading import replan, spread_piece
from mockup.rendering.canvas import pixels
from mockup.rendering.png import encode
from mockup.resources import data
from mockup.sheets.cautions import FOR_A_CLIENT
from mockup.sheets.files import folder, mark, write_all
from mockup.sheets.formats import as_file
from mockup.sheets.page import Page, PageColourway, in_words, page_file
from mockup.sheets.preview import picture
from mockup.units import MM_PER_INCH, both_sides

WAYS = (("A", "larder", "Larder"), ("B", "lamplight", "Lamplight"), ("C", "washday", "Wash-day"))
"""Letter, file stem and name of each colourway; the first is hers."""

SKETCH = ("sketch.jpg", "sketch-tinted.jpg", "jug.toml")
"""A pen drawing as it comes off a scanner, a roughly tinted copy of it, and a design for it."""

PICTURE_PIXELS = 1400
_NAME = "larder"


@dataclass(frozen=True, eq=False, slots=True)
class Way:
    """One colourway of the demo: its letter, stem and name, its design as text, and the plan in its inks."""

    letter: str
    stem: str
    name: str
    text: str
    spreading: Spreading


def make_demo(target: Path, *, force: bool = False, tell: Tell = quiet) -> list[Path]:
    """Write the demo into a folder.

    Returns
    -------
    list of Path
        What was written: the client page first.

    Raises
    ------
    FileError
        The folder or a file in it cannot be written, or holds what is not ours.
    """
    if target.exists():
        folder(target)
    tell("spreading the inks", 0.05)
    ways = demo_ways()
    first = ways[0]
    made_for = mark(_NAME)
    tell("drawing the sheet", 0.3)
    sheet = preview_scene(first.spreading)
    contents: dict[Path, bytes] = {}
    pages = []
    for number, way in enumerate(ways):
        tell(f"drawing {way.name}", 0.4 + 0.15 * number)
        shown, content = _picture(way)
        contents[target / shown.picture] = content
        pages.append(shown)
    piece = first.spreading.piece
    facts = (
        ("design", piece.design.designer),
        ("for", piece.design.client),
        ("date", piece.design.date.isoformat() if piece.design.date else ""),
        ("repeat", _repeat(piece)),
    )
    page = Page(piece.design.title, facts, tuple(pages), FOR_A_CLIENT, made_for)
    tell("comparing", 0.85)
    more = _sheets(target, made_for)
    tell("writing", 0.95)
    head = {
        target / "index.html": page_file(page),
        target / "larder.png": as_file(sheet, ".png", made_for, 200),
        target / "larder.pdf": as_file(sheet, ".pdf", made_for),
    }
    tail = {target / f"{way.stem}.toml": way.text.encode() for way in ways}
    plan = {target / "larder.geojson": plan_bytes(first.spreading, made_for)}
    folder(target)
    return write_all(head | contents | plan | tail | more, made_for, force=force)


def _sheets(target: Path, made_for: str) -> dict[Path, bytes]:
    """Draw the sheets of comparison and of shadings; give them with their designs, and a pen drawing to be scanned."""
    return {
        target / "compare.png": compare.compare_file(compare.compare_demo(), made_for),
        target / f"{compare.DESIGN}.toml": compare.demo_text().encode(),
        target / "shading.png": shadings.shadings_file(made_for),
        target / f"{shadings.DESIGN}.toml": shadings.posy_text().encode(),
        **{target / name: (data("gallery") / "demo" / name).read_bytes() for name in SKETCH},
    }


def demo_ways() -> list[Way]:
    """Spread the inks of the demo once, and give the same plan in the inks of each colourway."""
    ways: list[Way] = []
    for letter, stem, name in WAYS:
        text = (data("gallery") / "demo" / f"{stem}.toml").read_text(encoding="utf-8")
        design = parse_design(text, where=f"{stem}.toml", file=Path(f"{stem}.toml"))
        if not ways:
            spreading = spread_piece(read_piece(design))
        else:
            first = ways[0].spreading
            palette = palette_of(design, sheet_of(design))
            ground = ground_of(design.colouring.ground, palette)
            spreading = replan(first, recoloured(first.piece, palette, ground))
        ways.append(Way(letter, stem, name, text, spreading))
    return ways


def _picture(way: Way) -> tuple[PageColourway, bytes]:
    """Draw a colourway as cloth: three tiles high, as wide as its colours repeat."""
    piece = way.spreading.piece
    lattice = piece.tile.lattice
    across = way.spreading.plan.tiles[0] if way.spreading.plan.tiles else 1
    width, height = lattice.width * across, lattice.height * 3
    dpi = PICTURE_PIXELS / max(width, height) * MM_PER_INCH
    title = f"{piece.design.title}: {way.name}"
    scene = picture(piece.tile, way.spreading.plan, look_of(piece), width, height, title=title)
    drawn = pixels(scene, dpi)
    key = tuple(key_of(way.spreading))
    shown = PageColourway(
        way.letter,
        way.name,
        f"colourway-{way.letter.lower()}.png",
        drawn.shape[1],
        drawn.shape[0],
        f"{both_sides(width, height)} of cloth",
        in_words(way.name, key, piece.ground_name, [one.motif.name for one in piece.layout.placed]),
        key,
        (("ground", piece.ground_name), ("inks", str(len(key)))),
    )
    return shown, encode(drawn, dpi, {"Software": "mockup", "Comment": mark(_NAME), "Title": title})


def _repeat(piece: Piece) -> str:
    lattice = piece.tile.lattice
    return f"{piece.layout.repeat}, {both_sides(lattice.width, lattice.height)}"
