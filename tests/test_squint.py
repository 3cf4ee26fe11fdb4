"""The squint sheet: what it says, that it fits, and that its pictures are those of the plan."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, piece
from small import DRAWN, changed, flat, texts, write_design

from mockup.cli.main import run
from mockup.colour.coding import linear_from_srgb, srgb_from_linear
from mockup.jobs.check import Report, report_on
from mockup.jobs.spreading import spread_piece
from mockup.jobs.squint import from_afar, squint_scene
from mockup.rendering.canvas import pixels
from mockup.rendering.canvas_text import text_width
from mockup.rendering.scene import Fill, Scene, Text, fingerprint
from mockup.sheets.preview import picture
from mockup.sheets.squintlayout import HEIGHT, MARGIN, WIDTH, places


@pytest.fixture(scope="module")
def report() -> Report:
    pattern = 'repeat = "half-drop"\ntile = [50, 60]\ngrid = [1, 2]\nmotifs = ["pear", "moth"]'
    return report_on(spread_piece(piece(design_text(5, pattern, 'ground = "light"'))))


@pytest.fixture(scope="module")
def sheet(report: Report) -> Scene:
    return squint_scene(report)


def test_every_ink_has_its_map_and_its_figures(report: Report, sheet: Scene) -> None:
    said = texts(sheet)
    for letter, ink, share, target in zip("ABCDE", report.spreading.piece.palette.inks, report.figures.shares, report.figures.target, strict=True):  # fmt: skip
        assert f"{letter}  {ink.name}" in said
        assert ink.role in said
        assert f"{100 * share:.1f} %, target {100 * target:.1f} %" in said
    worst = report.figures.worst[0]
    assert any(
        line.startswith(f"{100 * worst.excess:.0f} % over at {worst.x:.0f}, {worst.y:.0f} mm")
        for line in said
    )
    assert said[0] == "Test piece"
    assert re.search(r"pictures 1:[\d.]+   maps 1:[\d.]+", said[1])


def test_all_of_it_lies_on_the_sheet(sheet: Scene) -> None:
    for item in flat(sheet.items):
        if isinstance(item, Text):
            assert item.x >= MARGIN
            assert item.x + text_width(item.text, item.size_mm, item.weight) <= WIDTH - MARGIN / 2
            assert item.y <= HEIGHT - MARGIN / 2


def test_a_map_is_darkest_where_its_ink_is_heaviest(report: Report, sheet: Scene) -> None:
    """The dark ink's map, read as light."""
    spreading = report.spreading
    dark = next(n for n, ink in enumerate(spreading.piece.palette.inks) if ink.role == "dark")
    laid = places(spreading.cell, 5, True)
    x0, y0, x1, y1 = laid.maps[dark]
    tints = [
        i
        for i in flat(sheet.items)
        if isinstance(i, Fill) and i.layer == spreading.piece.palette.inks[dark].name
    ]
    spots = np.array(
        [[ring[0].mean(axis=0)[0], ring[0].mean(axis=0)[1]] for ring in (i.rings for i in tints)]
    )
    light = np.array([sum(int(i.colour[n : n + 2], 16) for n in (1, 3, 5)) for i in tints])
    darkest = spots[light == light.min()]
    assert ((darkest > [x0 - 2, y0 - 2]) & (darkest < [x1 + 2, y1 + 2])).all()
    from mockup.jobs.squint import _maps

    x, y, _ = _maps(report)[dark].worst
    scale = (x1 - x0) / (spreading.cell[0] * laid.times[0])
    cell = np.array(spreading.cell) * scale
    way = darkest - [x0 + x * scale, y0 + y * scale]
    way -= np.round(way / cell) * cell
    assert np.hypot(*way.T).min() < 0.25 * cell.max()


def test_from_afar_is_the_mock_up_blurred(report: Report) -> None:
    """The drawn mock-up without lines and shading, averaged in light, has the light of the view."""
    from mockup.jobs.looks import look_of

    spreading = report.spreading
    look = replace(look_of(spreading.piece), line=None, shade=None, outline=False)
    drawn = pixels(picture(spreading.piece.tile, spreading.plan, look, *spreading.cell), 100) / 255
    seen = from_afar(spreading, 30.0)
    assert srgb_from_linear(linear_from_srgb(drawn).mean(axis=(0, 1))) == pytest.approx(
        srgb_from_linear(linear_from_srgb(seen).mean(axis=(0, 1))), abs=0.01
    )


def test_a_smaller_blur_shows_more(report: Report) -> None:
    ranges = [
        float(np.ptp(from_afar(report.spreading, blur), axis=(0, 1)).max()) for blur in (1.0, 5.0, 25.0)
    ]
    assert ranges == sorted(ranges, reverse=True)
    assert ranges[0] > 3 * ranges[2]


@pytest.mark.parametrize("cell", [(60, 60), (186, 61.5), (40, 240), (178, 265), (900, 40), (2000, 2000)])
@pytest.mark.parametrize("maps", [1, 2, 4, 7, 12])
@pytest.mark.parametrize("wraps", [True, False])
def test_nothing_on_the_sheet_lies_on_anything_else(
    cell: tuple[float, float], maps: int, wraps: bool
) -> None:
    laid = places(cell, maps, wraps)
    boxes = [*laid.pictures, *laid.maps]
    assert len(laid.maps) == maps
    for number, (x0, y0, x1, y1) in enumerate(boxes):
        assert (MARGIN - 1e-6 <= x0 < x1 <= WIDTH - MARGIN + 1e-6, y0 < y1 <= HEIGHT - MARGIN) == (True, True)
        for a0, b0, a1, b1 in boxes[:number]:
            assert x0 >= a1 or a0 >= x1 or y0 >= b1 or b0 >= y1
    assert laid.times == (1, 1) or wraps
    window = cell[0] * laid.times[0], cell[1] * laid.times[1]
    for x0, y0, x1, y1 in boxes:
        assert (x1 - x0) / (y1 - y0) == pytest.approx(window[0] / window[1])


def test_the_command_writes_any_form_and_says_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = write_design(tmp_path)
    for ending, start in ((".png", b"\x89PNG"), (".svg", b"<"), (".pdf", b"%PDF")):
        target = tmp_path / f"afar{ending}"
        assert run(["check", str(path), "--squint", str(target)]) == 0
        assert capsys.readouterr().out.splitlines()[-1] == str(target)
        assert target.read_bytes().startswith(start)
    assert run(["check", str(path), "--squint", str(tmp_path / "afar.txt")]) == 1
    assert "a sheet cannot be written as '.txt'" in capsys.readouterr().err
    (tmp_path / "hers.png").write_bytes(b"hers")
    assert run(["check", str(path), "--squint", str(tmp_path / "hers.png")]) == 1
    assert "mockup did not write it" in capsys.readouterr().err
    assert (tmp_path / "hers.png").read_bytes() == b"hers"


def test_the_sheet_is_the_same_every_time(tmp_path: Path) -> None:
    from small import spreading_of

    tables = changed(DRAWN, colouring={"variant": "3"})
    prints = {
        fingerprint(squint_scene(report_on(spreading_of(write_design(tmp_path, tables))))) for _ in range(2)
    }
    assert len(prints) == 1
