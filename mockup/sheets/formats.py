"""A scene as the bytes of a PNG, SVG or PDF file, with the mark of the design it was made for."""

from pathlib import Path

from mockup.errors import FileError
from mockup.rendering.canvas import pdf, pixels
from mockup.rendering.grain import grained
from mockup.rendering.png import encode
from mockup.rendering.scene import Scene
from mockup.rendering.svgwriter import svg

ENDINGS = (".png", ".svg", ".pdf")


def check_ending(path: Path) -> str:
    """Give a target's ending in small letters.

    Raises
    ------
    FileError
        It is none that a sheet can be written to.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        what = f"a sheet cannot be written as {ending!r}" if ending else "the name has no ending"
        raise FileError(what, where=str(path), remedy="end the name in .png, .svg or .pdf")
    return ending


def as_file(
    scene: Scene,
    ending: str,
    made_for: str,
    dpi: float = 300.0,
    *,
    written: tuple[float, float] | None = None,
    grain: bool = False,
) -> bytes:
    """Write a scene as the bytes of a file.

    Parameters
    ----------
    scene : Scene
        What is to be seen.
    ending : str
        One of ``ENDINGS``.
    made_for : str
        The mark, from ``files.mark``.
    dpi : float
        Pixels an inch of a PNG.
    written : (float, float), optional
        Pixels an inch that a PNG says it has, across and down, where its size had to be rounded.
    grain : bool
        Lay the grain of paper over a PNG; vectors have none.
    """
    if ending == ".svg":
        return f"{svg(scene).rstrip()}\n<!-- {made_for} -->\n".encode()
    if ending == ".pdf":
        return pdf(scene) + f"%{made_for}\n".encode()
    texts = {"Software": "mockup", "Comment": made_for}
    if scene.title:
        texts["Title"] = scene.title
    picture = pixels(scene, dpi)
    if grain:
        grained(picture, (dpi, dpi))
    return encode(picture, written or dpi, texts)
