"""The README's tour: every example runs, in order, as it stands."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from conftest import Ran
from PIL import Image

ROOT = Path(__file__).resolve().parent.parent
BLOCK = re.compile(r"^```(sh|toml)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def tour() -> list[tuple[str, str]]:
    return BLOCK.findall((ROOT / "README.md").read_text(encoding="utf-8"))


def as_script(kind: str, text: str) -> str:
    """A block of TOML is written under [colouring] in meadow.toml, as the tour says."""
    if kind == "sh":
        return text
    return f"""python - <<'END'
from pathlib import Path
path = Path("meadow.toml")
lines = path.read_text().splitlines()
row = next(n for n, line in enumerate(lines) if line.startswith("[colouring]"))
path.write_text("\\n".join([*lines[: row + 1], {text!r}, *lines[row + 1 :]]))
END
"""


@pytest.fixture(scope="module")
def toured(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    folder = tmp_path_factory.mktemp("tour")
    script = "set -euo pipefail\n" + "".join(as_script(*block) for block in tour())
    env = {**os.environ, "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"}
    done = subprocess.run(
        ["bash", "-c", script], cwd=folder, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return Ran(folder, done.stdout, done.stderr)


def test_every_example_of_the_tour_runs(toured: Ran) -> None:
    said = [line for line in toured.err.splitlines() if not line.endswith(" of the picture")]
    ways = [line for line in said if re.match(r"[A-D]  |   ", line)]
    assert [line[:3] for line in ways if line[0] != " "] == ["A  ", "B  ", "C  ", "D  "]
    said = [line for line in said if line not in ways]
    assert [line for line in said if not line.startswith("sketch.jpg: ")] == said[:1]
    assert said[0].startswith("tile of ")
    assert said[1] == "sketch.jpg: 148.0 x 105.0 mm"
    made = {path.name for path in toured.folder.iterdir()}
    wanted = {"demo", "meadow.toml", "meadow.png", "meadow.pdf", "meadow.svg", "meadow-names.png"}
    assert (
        wanted
        | {
            "palettes.png",
            "meadow-palette.png",
            "inks.csv",
            "kite.toml",
            "kite.png",
            "motifs.png",
            "meadow.geojson",
            "meadow-squint.png",
        }
        <= made
    )
    told = toured.out.splitlines()
    assert "demo/index.html" in told
    plan = json.loads((toured.folder / "meadow.geojson").read_text(encoding="utf-8"))
    inks = {f["properties"]["label"]: f["properties"]["ink"] for f in plan["features"]}
    assert inks["wren-1/wing"] == "coral"
    assert {ink for label, ink in inks.items() if label.endswith("/eye")} <= {"shell", "marigold"}
    assert "contact   none: no two facing shapes share an ink" in told


def test_every_command_is_in_the_tour() -> None:
    from mockup.cli.main import COMMANDS

    told = "".join(text for _, text in tour())
    assert [name for name in COMMANDS if f"mockup {name} " not in told] == []


def test_the_picture_is_what_the_program_draws(tmp_path: Path) -> None:
    from mockup.jobs.preview import preview_design

    target = tmp_path / "larder.png"
    preview_design(ROOT / "gallery" / "demo" / "larder.toml", target, dpi=100)
    drawn = np.asarray(Image.open(target), dtype=float)
    shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / "larder.png"), dtype=float)
    assert drawn.shape == shown.shape
    assert np.abs(drawn - shown).mean() < 0.2  # without its shading it is off by 0.38


def test_the_sheet_of_shadings_is_what_the_program_draws(toured: Ran) -> None:
    drawn = np.asarray(Image.open(toured.folder / "demo" / "shading.png"), dtype=float)
    shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / "shading.png"), dtype=float)
    assert drawn.shape == shown.shape
    assert np.abs(drawn - shown).mean() < 0.2
    for sheet in (drawn, shown):
        high, wide = sheet.shape[0] // 2, sheet.shape[1] // 2
        quarters = [sheet[:high, :wide], sheet[:high, -wide:], sheet[-high:, :wide], sheet[-high:, -wide:]]
        top = quarters[0][150 : high - 120, 80 : wide - 60]
        below = quarters[2][150 : high - 120, 80 : wide - 60]
        assert np.abs(top - quarters[1][150 : high - 120, 80 : wide - 60]).mean() > 0.3
        assert np.abs(below - quarters[3][150 : high - 120, 80 : wide - 60]).mean() > 0.3


def test_the_picture_of_a_palette_is_what_the_program_draws(tmp_path: Path) -> None:
    from mockup.cli.main import run

    target = tmp_path / "palette.png"
    assert run(["palette", "check", str(ROOT / "gallery" / "demo" / "larder.toml"), "-o", str(target)]) == 0
    drawn = np.asarray(Image.open(target), dtype=float)
    shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / "palette.png"), dtype=float)
    assert drawn.shape == shown.shape
    assert np.abs(drawn - shown).mean() < 1.0


def test_the_sheet_of_repeats_is_what_the_program_draws(toured: Ran) -> None:
    drawn = np.asarray(Image.open(toured.folder / "repeats.png"), dtype=float)
    shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / "repeats.png"), dtype=float)
    assert drawn.shape == shown.shape
    # other processors may round otherwise and toss a little otherwise; that concerns four of the pictures
    assert np.abs(drawn - shown).mean() < 6


def test_the_sheet_of_colourways_is_what_the_program_draws(tmp_path: Path) -> None:
    from mockup.cli.main import run

    design = str(ROOT / "gallery" / "demo" / "larder.toml")
    assert run(["colourways", design, "-o", str(tmp_path), "--dpi", "90"]) == 0
    drawn = np.asarray(Image.open(tmp_path / "sheet.png").convert("RGB"), dtype=float)
    shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / "colourways.png").convert("RGB"), dtype=float)
    assert drawn.shape == shown.shape
    assert np.abs(drawn - shown).mean() < 0.5


def test_the_picture_of_a_scan_and_the_piece_made_of_it_are_what_the_program_draws(toured: Ran) -> None:
    from mockup.jobs.preview import preview_design

    demo = toured.folder / "demo"
    preview_design(demo / "jug.toml", toured.folder / "jug-small.png", dpi=100)
    for made, name in ((demo / "jug-found.png", "found.png"), (toured.folder / "jug-small.png", "jug.png")):
        drawn = np.asarray(Image.open(made).convert("RGB"), dtype=float)
        shown = np.asarray(Image.open(ROOT / "gallery" / "sample" / name).convert("RGB"), dtype=float)
        assert drawn.shape == shown.shape
        # other processors may round otherwise: one region more gives others other numbers, tints and inks (about 12)
        assert np.abs(drawn - shown).mean() < 20
