"""Skin on what she takes away: how it is shaded, the key, the plan file."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np
import pytest
from small import Tables, changed, flat, spreading_of, texts, write_design

from mockup.colour.conversion import read_colour
from mockup.colour.difference import ciede2000
from mockup.colour.ink import Ink
from mockup.colour.layering import coats, shading
from mockup.jobs.looks import key_of, look_of
from mockup.jobs.plan import plan_bytes
from mockup.jobs.planned import Spreading
from mockup.jobs.preview import preview_scene
from mockup.rendering.scene import Fill, Text, fingerprint
from mockup.sheets.caption import KeyEntry, caption, letters

TILED: Final[Tables] = {
    "": {"title": '"Small"'},
    "sheet": {"size": "[150, 140]", "margin": "12"},
    "pattern": {"motifs": '["gardener", "leaflet"]', "tile": "[60, 45]"},
    "colouring": {"ground": '"light"', "colour_repeat": "[2, 1]"},
}
TONES: Final = (("honey", "#e9bf98"), ("umber", "#6f4630"), ("chestnut", "#b97c50"))
SIDE: Final = '[[palette.side]]\nname = "skin"\n' + "".join(
    f'[[palette.side.ink]]\nname = "{name}"\ncolour = "{colour}"\n' for name, colour in TONES
)


def spread(folder: Path, **tables: dict[str, str]) -> Spreading:
    """Spread the inks of gardeners and leaflets, skin in three tones."""
    path = write_design(folder, changed(TILED, **tables))
    path.write_text(path.read_text() + SIDE)
    return spreading_of(path)


def test_skin_is_shaded_with_the_next_darker_value_of_its_set(tmp_path: Path) -> None:
    for pen in ("same", "darker"):
        found = spread(tmp_path, shading={"style": '"rim"', "pen": f'"{pen}"', "coats": "2"})
        skins = {ink.name: ink for ink in look_of(found.piece).inks[4:]}
        paper = found.piece.paper
        own = {name: Ink(name, read_colour(colour)) for name, colour in TONES}
        for name, darker in {"honey": "chestnut", "chestnut": "umber"}.items():
            over = tuple(shading(own[name], own[darker], n, paper).colour.hex for n in (1, 2))
            assert skins[name].coats == over
            assert ciede2000(read_colour(over[0]), own[darker].colour) < 8  # the base below it is light
        assert skins["umber"].coats == tuple(coats(own["umber"], n, paper).colour.hex for n in (2, 3))
    assert all(not ink.coats for ink in look_of(spread(tmp_path).piece).inks)


def test_ground_line_and_border_never_are_skin_unless_the_line_is_asked_to_be(tmp_path: Path) -> None:
    tones = {colour for _, colour in TONES}
    for ground in ("light", "dark"):
        look = look_of(
            spread(tmp_path, colouring={"ground": f'"{ground}"'}, border={"style": '"plain"'}).piece
        )
        assert look.border is not None
        assert {look.ground, look.line, look.border.colour}.isdisjoint(tones)
    assert look_of(spread(tmp_path, line={"ink": '"umber"'}).piece).line == "#6f4630"


def test_shapes_of_skin_are_filled_with_the_plan_s_skin_inks(tmp_path: Path) -> None:
    found = spread(tmp_path)
    fills = [
        item for item in flat(preview_scene(found).items) if isinstance(item, Fill) and "/" in item.title
    ]
    skin = {item.colour for item in fills if "/skin: " in item.title}
    assert skin == {TONES[ink - 4][1] for ink in found.skin.tolist()}
    assert {item.colour for item in fills if "/skin: " not in item.title}.isdisjoint(skin)


def test_the_key_lists_skin_apart_and_without_a_share(tmp_path: Path) -> None:
    found = spread(tmp_path)
    key = key_of(found)
    assert [entry.letter for entry in key] == list("ABCDEFG")
    assert [(entry.words, entry.side) for entry in key[4:]] == [(name, "skin") for name, _ in TONES]
    assert sum(entry.share for entry in key) == pytest.approx(1)
    lines = texts(preview_scene(found))
    at = lines.index("skin")
    assert not any("honey" in line for line in lines[:at])
    assert {"honey", "umber", "chestnut"} <= set(lines)


def test_a_side_palette_has_a_line_of_its_own_and_all_fits() -> None:
    entries = [KeyEntry("A", "clay", "dominant", 1.0, "#b9522b")]
    entries += [KeyEntry(sign, f"tone {sign}", "skin", 0.0, "#e9bf98", "skin") for sign in letters(30)[1:]]
    entries += [KeyEntry("Z", "fair", "hair", 0.0, "#e9bf98", "hair")]
    items = [item for item in caption(entries, ["note"], (0, 0, 90, 40)) if isinstance(item, Text)]
    rows = {item.text: item.y for item in items}
    assert (
        rows["clay, dominant 100%"]
        < rows["skin"]
        == rows["tone B"]
        < rows["tone AD"]
        < rows["hair"]
        == rows["fair"]
    )
    assert rows["hair"] < rows["note"] <= 40
    assert max(item.x for item in items) < 90


def test_letters_go_on_after_z() -> None:
    assert letters(54)[24:30] == ["Y", "Z", "AA", "AB", "AC", "AD"]
    assert len(set(letters(84))) == 84


@pytest.fixture(params=["[2, 1]", '"none"'])
def planned(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Spreading, dict[str, Any]]:
    found = spread(tmp_path, colouring={"colour_repeat": str(request.param)})
    return found, json.loads(plan_bytes(found, "made"))


def test_the_plan_file_tells_side_inks_in_its_head_and_side_at_their_regions(
    planned: tuple[Spreading, dict[str, Any]],
) -> None:
    found, plan = planned
    assert plan["mockup"]["side"] == [
        {"name": "skin", "inks": [{"name": name, "srgb": colour} for name, colour in TONES]}
    ]
    assert len(plan["mockup"]["inks"]) == 4
    tones = {name for name, _ in TONES}
    for feature in plan["features"]:
        own = feature["properties"]
        assert (own.get("side") == "skin") == own["label"].endswith("/skin") == (own["ink"] in tones)
        assert "side" not in own or own["side"] == "skin"
    nodes = {feature["properties"]["node"] for feature in plan["features"]}
    assert sorted(nodes) == list(range(len(found.rows)))


def test_a_plan_with_skin_is_followed(planned: tuple[Spreading, dict[str, Any]], tmp_path: Path) -> None:
    found, plan = planned
    skin = found.skin
    assert len(set(skin.tolist())) > 1
    turned = {name: TONES[(number + 1) % 3][0] for number, (name, _) in enumerate(TONES)}
    for feature in plan["features"]:
        if "side" in feature["properties"]:
            feature["properties"]["ink"] = turned[feature["properties"]["ink"]]
    (tmp_path / "chosen.geojson").write_text(json.dumps(plan))
    tiles = "[2, 1]" if found.plan.tiles else '"none"'
    again = spread(tmp_path, colouring={"plan": '"chosen.geojson"', "colour_repeat": tiles})
    assert (again.inks == found.inks).all()
    assert (again.skin == 4 + (skin - 4 + 1) % 3).all()


def test_recolouring_skin_changes_nothing_but_skin(tmp_path: Path) -> None:
    found = spread(tmp_path)
    other = replace(found, plan=replace(found.plan, inks=np.concatenate((found.inks, found.skin[::-1]))))
    assert set(found.skin.tolist()) == set(other.skin.tolist())
    assert fingerprint(preview_scene(other)) != fingerprint(preview_scene(found))
    assert key_of(other) == key_of(found)
