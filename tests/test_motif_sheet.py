"""The motif library as a list and as sheets: every motif, at its natural size or at three sizes."""

from pathlib import Path

import numpy as np
import pytest

from mockup.cli.main import run
from mockup.geometry import shapes
from mockup.geometry.affine import IDENTITY
from mockup.jobs.motifs import motif_table, write_motif_sheet
from mockup.pattern.motif_library import entries, library_motif
from mockup.rendering.scene import Fill, Item, Scene, Text
from mockup.sheets.caption import INK
from mockup.sheets.motifs import BACKDROP, Shown, motif_items, motif_sheet, sizes_sheet

NAMES = [entry.name for entry in entries()]


@pytest.fixture(scope="module")
def shown() -> list[Shown]:
    return [Shown(library_motif(entry.name), entry.size, entry.family) for entry in entries()]


def _box(items: "tuple[Item, ...]", name: str) -> list[tuple[float, float]]:
    """Width and height of what lies together in one motif's layer, in runs."""
    runs: list[list[np.ndarray[tuple[int, int], np.dtype[np.float64]]]] = []
    inside = False
    for item in items:
        own = not isinstance(item, Text) and getattr(item, "layer", "") == name
        if own and not inside:
            runs.append([])
        if own and isinstance(item, Fill):
            runs[-1] += item.rings
        inside = own
    return [tuple(np.ptp(np.concatenate(run), axis=0).tolist()) for run in runs]


def _texts(scene: Scene) -> list[Text]:
    return [item for item in scene.items if isinstance(item, Text)]


def test_the_list_names_all_with_family_size_and_groups(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["motifs", "list"]) == 0
    out, err = capsys.readouterr()
    lines = out.splitlines()
    assert not err
    assert len(NAMES) >= 60
    assert [line.split()[0] for line in lines] == ["name", *NAMES]
    starts = {
        line.index("mm" if number == 0 else line.split("  ")[0]) for number, line in enumerate(lines[1:], 1)
    }
    assert starts == {0}
    for line, entry in zip(motif_table()[1:], entries(), strict=True):
        motif = library_motif(entry.name)
        assert f"{motif.width:.0f} x {motif.height:.0f}" in line
        assert line.endswith(", ".join(motif.groups))
        assert entry.family in line
        assert entry.size in line


def test_the_sheet_shows_every_motif_at_its_natural_size(shown: list[Shown]) -> None:
    scene = motif_sheet(shown)
    assert scene.width <= 297
    for one in shown:
        (box,) = _box(scene.items, one.motif.name)
        x0, y0, x1, y1 = one.motif.box
        assert box == pytest.approx((x1 - x0, y1 - y0), abs=0.02)
    names = [text.text for text in _texts(scene) if text.weight == "bold"]
    assert names == NAMES
    families = [text.text for text in _texts(scene) if text.text in {one.family for one in shown}]
    # a family that is wider than a line has its name over each of its lines
    assert list(dict.fromkeys(families)) == list(dict.fromkeys(one.family for one in shown))


@pytest.mark.parametrize("width", [60.0, 120.0, 210.0, 297.0])
def test_nothing_of_a_sheet_lies_on_anything_else_or_beyond_its_edge(
    shown: list[Shown], width: float
) -> None:
    scene = motif_sheet(shown, width)
    boxes = []
    for one in shown:
        rings = [r for i in scene.items if isinstance(i, Fill) and i.layer == one.motif.name for r in i.rings]
        points = np.concatenate(rings)
        boxes.append((*points.min(axis=0), *points.max(axis=0)))
    for number, (a, b, c, d) in enumerate(boxes):
        assert min(a, b) > 10
        assert c < scene.width - 10
        assert d < scene.height - 10
        for e, f, g, h in boxes[:number]:
            assert c <= e or g <= a or d <= f or h <= b


def test_the_sheet_of_sizes_shows_each_motif_three_times(shown: list[Shown]) -> None:
    scene = sizes_sheet(shown)
    labels = [text.text for text in _texts(scene)]
    assert labels.count("12") == labels.count("25") == labels.count("60") == len(NAMES)
    for one in shown[:5]:
        x0, y0, x1, y1 = one.motif.box
        longer = max(one.motif.width, one.motif.height)
        rings = [i for i in scene.items if isinstance(i, Fill) and i.layer == one.motif.name]
        parts = len(rings) // 3
        for number, size in enumerate((12.0, 25.0, 60.0)):
            points = np.concatenate(
                [r for fill in rings[number * parts : (number + 1) * parts] for r in fill.rings]
            )
            assert np.ptp(points, axis=0) == pytest.approx(
                np.array([x1 - x0, y1 - y0]) * size / longer, abs=0.02
            )


def test_every_group_has_a_tint_and_the_line_one_width() -> None:
    items = motif_items(library_motif("pear"), IDENTITY)
    tints = {item.title: item.colour for item in items if isinstance(item, Fill)}
    assert len(set(tints.values())) == len(library_motif("pear").groups)
    assert {item.width for item in items if not isinstance(item, Fill | Text) and hasattr(item, "width")} == {
        0.4
    }


def test_sheets_stand_on_one_light_grey(shown: list[Shown]) -> None:
    for scene in (motif_sheet(shown), sizes_sheet(shown)):
        first = scene.items[0]
        assert isinstance(first, Fill)
        assert first.colour == BACKDROP
        assert shapes.box_of([shapes.rectangle(0, 0, scene.width, scene.height)])[2:] == pytest.approx(
            first.rings[0].max(axis=0)
        )
        assert _texts(scene)[0].colour == INK


@pytest.mark.parametrize("sizes", [False, True])
def test_a_sheet_is_written_again_over_itself_only(sizes: bool, tmp_path: Path) -> None:
    path = tmp_path / "motifs.svg"
    first = write_motif_sheet(path, sizes=sizes).read_bytes()
    assert write_motif_sheet(path, sizes=sizes).read_bytes() == first
    assert run(["motifs", "sheet", "-o", str(path), *(["--sizes"] if sizes else [])]) == 0
    path.write_bytes(b"hers")
    assert run(["motifs", "sheet", "-o", str(path)]) == 1
    assert path.read_bytes() == b"hers"
