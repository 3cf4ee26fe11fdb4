"""``check --accept``: the design has the better plan afterwards, and her file is as she left it otherwise."""

import json
import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import design_text, dots, piece, svg

from mockup.cli.main import run
from mockup.design.reading import read_design
from mockup.errors import FileError
from mockup.jobs import accept as job
from mockup.jobs.accept import accept, accepted_in_words
from mockup.jobs.check import as_data, check_design, in_plain_words
from mockup.jobs.exchanging import fixed_by, improved, steps_of
from mockup.jobs.piece import Piece, read_piece
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.spreading import spread_piece
from mockup.sheets import files
from mockup.sheets.files import mark

PLACES = [(x, y) for y in range(5, 60, 10) for x in range(5, 60, 10)]


def lumpy(spreading: Spreading) -> Spreading:
    """Crowd one ink without contact and without leaving the targets, until there is an exchange that helps."""
    for seed in range(60):
        found = crowded(spreading, np.random.default_rng(seed))
        if steps_of(found):
            return found
    raise AssertionError("no lumpy plan was found")


def crowded(spreading: Spreading, rng: np.random.Generator) -> Spreading:
    """Move one ink towards a place, as far as nothing that faces it is in its way."""
    own, crowd = spreading.problem, int(rng.integers(spreading.problem.inks))
    near = [set(found.tolist()) for found in own.neighbours()]
    for a, b in zip(own.doubtful.a.tolist(), own.doubtful.b.tolist(), strict=True):
        near[a].add(b)
        near[b].add(a)
    spot = rng.random(2) * spreading.cell
    weight = own.area * np.exp(-((np.hypot(*(own.place - spot).T) / 16) ** 2))
    inks = spreading.plan.inks.copy()
    for _ in range(1500):
        node, ink = int(rng.integers(own.count)), int(rng.integers(own.inks))
        if not own.allowed[node, ink] or any(inks[other] == ink for other in near[node]):
            continue
        new = inks.copy()
        new[node] = ink
        gain = weight[new == crowd].sum() - weight[inks == crowd].sum()
        if gain >= 0 and own.share_error(new) <= max(0.03, own.share_error(inks)):
            inks = new
    return replace(spreading, plan=replace(spreading.plan, inks=inks))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, bytes]:
    """The drawing of a design, and a plan of it that is lumpy."""
    folder = tmp_path_factory.mktemp("made")
    drawing = svg(60, 60, dots(PLACES, 3))
    path = write(folder, drawing)
    spread = lumpy(spread_piece(read_piece(read_design(path))))
    return drawing, plan_bytes(spread, mark("own"))


def write(folder: Path, drawing: str, plan: bytes | None = None) -> Path:
    (folder / "own.svg").write_text(drawing, encoding="utf-8")
    named = 'plan = "chosen.geojson"   # mine\n' if plan else ""
    wishes = f'ground = "paper"  # bare\n{named}colour_repeat = [2, 1]\n\n# the end'
    path = folder / "own.toml"
    path.write_text(design_text(5, 'file = "own.svg"\nrepeat = "straight"', wishes, drawing=True))
    if plan:
        (folder / "chosen.geojson").write_bytes(plan)
    return path


def without(path: Path, *keys: str) -> dict[str, object]:
    found = tomllib.loads(path.read_text())
    for key in keys:
        found["colouring"].pop(key, None)
    return found


def test_the_exchanges_are_told_with_labels_of_the_plan(made: tuple[str, bytes], tmp_path: Path) -> None:
    report = check_design(write(tmp_path, *made))
    assert report.steps
    told = [line.strip() for line in in_plain_words(report) if "falls from" in line]
    assert len(told) == len(report.steps)
    labels = {row.label for row in report.spreading.rows}
    assert as_data(report)["exchanges"]
    for step, line in zip(as_data(report)["exchanges"], told, strict=True):
        named = [label for one in step["exchanges"] for label in (*one["shapes"], *one["with"])]
        assert set(named) <= labels
        assert all(label in line for label in named)
        before, after = 100 * step["lump_max_before"], 100 * step["lump_max_after"]
        assert line.endswith(f"the heaviest place falls from {before:.0f} to {after:.0f} %")


def test_a_plan_that_is_followed_is_bettered_as_promised(made: tuple[str, bytes], tmp_path: Path) -> None:
    path = write(tmp_path, *made)
    before, said, data = path.read_text(), check_design(path), without(path)
    done = accept(path)
    assert done.promised == pytest.approx(said.steps[-1].after)
    assert done.reached == pytest.approx(done.promised)
    after = check_design(path)
    assert after.figures.lump_max == pytest.approx(done.promised)
    assert after.figures.conflicts <= said.figures.conflicts
    changed = {row.label for row, a, b in zip(after.spreading.rows, after.spreading.plan.inks, said.spreading.plan.inks, strict=True) if a != b}  # fmt: skip
    assert {place.replace("@1,1/", "/") for place in done.fixed} == changed
    assert without(path, "fixed") == data
    assert (
        path.read_text().replace(f"fixed = {path.read_text().split('fixed = ')[1].splitlines()[0]}\n", "")
        == before
    )
    assert set(done.written) == {path, tmp_path / "chosen.geojson"}


def test_a_design_without_a_plan_is_never_left_worse_than_promised(
    made: tuple[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is spread anew is lumpy here: so the plan is kept, and that is said."""
    path = write(tmp_path, made[0])
    first = lumpy(spread_piece(read_piece(read_design(path))))

    def lumpier(piece: Piece) -> Spreading:
        found = spread_piece(piece)
        free = found.problem.allowed[:, 2] & (found.problem.place[:, 0] < 40)
        return replace(found, plan=replace(found.plan, inks=np.where(free, 2, found.plan.inks)))

    monkeypatch.setattr("mockup.jobs.check.spread_piece", lambda _: first)
    monkeypatch.setattr(job, "spread_piece", lumpier)
    done = accept(path)
    monkeypatch.undo()
    assert done.plan == tmp_path / "own.geojson"
    assert done.alone is not None
    assert done.alone > done.promised
    assert check_design(path).figures.lump_max == pytest.approx(done.promised)
    assert tomllib.loads(path.read_text())["colouring"]["plan"] == "own.geojson"
    assert "the plan is kept in own.geojson" in accepted_in_words(done)[0]


def test_where_the_inks_spread_anew_as_well_only_the_design_is_changed(
    made: tuple[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(tmp_path, made[0])
    first = lumpy(spread_piece(read_piece(read_design(path))))
    monkeypatch.setattr("mockup.jobs.check.spread_piece", lambda _: first)
    monkeypatch.setattr(job, "SLACK", 1.0)
    done = accept(path)
    monkeypatch.undo()
    assert done.written == (path,)
    assert sorted(item.name for item in tmp_path.iterdir()) == ["own.svg", "own.toml"]
    after = check_design(path)
    assert after.figures.lump_max == pytest.approx(done.reached)
    inks = {row.label: after.spreading.piece.palette.inks[ink].name for row, ink in zip(after.spreading.rows, after.spreading.plan.inks, strict=True)}  # fmt: skip
    assert {place: inks[place.replace("@1,1/", "/")] for place in done.fixed} == done.fixed
    assert "spread anew round them" in accepted_in_words(done)[0]


def test_one_copy_of_several_is_named_with_its_tile(made: tuple[str, bytes], tmp_path: Path) -> None:
    report = check_design(write(tmp_path, *made))
    fixed = fixed_by(report.spreading, report.steps)
    assert fixed
    assert all("@" in place for place in fixed)
    better = improved(report.spreading, report.steps)
    names = [ink.name for ink in better.piece.palette.inks]
    told = {row.label: names[ink] for row, ink in zip(better.rows, better.plan.inks, strict=True)}
    assert all(told[place.replace("@1,1/", "/")] == ink for place, ink in fixed.items())


def test_nothing_to_accept_writes_nothing(made: tuple[str, bytes], tmp_path: Path) -> None:
    path = write(tmp_path, *made)
    while accept(path).fixed:
        pass
    before = path.read_bytes(), (tmp_path / "chosen.geojson").read_bytes()
    done = accept(path)
    assert done.written == ()
    assert accepted_in_words(done) == ["accepted  nothing: there is no exchange that helps clearly"]
    assert (path.read_bytes(), (tmp_path / "chosen.geojson").read_bytes()) == before


def test_a_plan_that_is_not_ours_is_not_replaced(made: tuple[str, bytes], tmp_path: Path) -> None:
    path = write(tmp_path, made[0], made[1].replace(mark("own").encode(), b"another"))
    before = path.read_bytes(), (tmp_path / "chosen.geojson").read_bytes()
    with pytest.raises(FileError, match="mockup did not write it"):
        accept(path)
    assert (path.read_bytes(), (tmp_path / "chosen.geojson").read_bytes()) == before
    assert accept(path, force=True).written


def test_a_file_that_she_changes_meanwhile_is_left_alone(
    made: tuple[str, bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write(tmp_path, *made)

    def meanwhile(*told: object, **more: object) -> None:
        path.write_text(path.read_text() + "# a thought\n")
        files.check_targets(*told, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(job, "check_targets", meanwhile)
    with pytest.raises(FileError, match="was changed meanwhile"):
        accept(path)
    assert path.read_text().endswith("# a thought\n")
    assert (tmp_path / "chosen.geojson").read_bytes() == made[1]


def test_the_command_says_what_it_did(made: tuple[str, bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    path = write(tmp_path, *made)
    assert run(["check", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert run(["check", str(path), "--accept", "--json"]) == 0
    done = json.loads(capsys.readouterr().out)
    assert done["exchanges"] == told["exchanges"]
    assert done["accepted"]["lump_max_now"] == pytest.approx(
        told["exchanges"][-1]["lump_max_after"], abs=1e-3
    )
    assert set(done["accepted"]["written"]) == {str(path), str(tmp_path / "chosen.geojson")}
    assert run(["check", str(path), "--accept"]) == 0
    assert "accepted  " in capsys.readouterr().out


def test_accepting_for_a_plan_from_elsewhere_is_refused(made: tuple[str, bytes], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:  # fmt: skip
    path = write(tmp_path, *made)
    assert run(["check", str(path), "--plan", str(tmp_path / "chosen.geojson"), "--accept"]) == 2
    assert 'write plan = "..." in [colouring] first' in capsys.readouterr().err
    assert run(["check", str(path), "--plan", str(tmp_path / "chosen.geojson")]) == 0
    assert capsys.readouterr().out.startswith("own, inked as in chosen.geojson: five inks on 72 shapes")


def test_a_tile_that_is_named_is_in_the_smallest_repeat(tmp_path: Path) -> None:
    (tmp_path / "own.svg").write_text(svg(40, 40, dots([(10, 10), (30, 30)], 5)), encoding="utf-8")
    head = 'file = "own.svg"\nrepeat = "straight"'
    free = spread_piece(piece(design_text(5, head, 'ground = "paper"', drawing=True), tmp_path))
    assert free.plan.tiles is not None
    named = (free.plan.tiles[0] + 1, free.plan.tiles[1])
    wish = f'ground = "paper"\nfixed = {{ "own-1@{named[0]},{named[1]}/d0" = "moss" }}'
    found = spread_piece(piece(design_text(5, head, wish, drawing=True), tmp_path))
    assert found.plan.tiles is not None
    assert found.plan.tiles[0] >= named[0]
    label = f"own-1@{named[0]},{named[1]}/d0"
    names = [ink.name for ink in found.piece.palette.inks]
    assert [
        names[ink] for row, ink in zip(found.rows, found.plan.inks, strict=True) if row.label == label
    ] == ["moss"]
