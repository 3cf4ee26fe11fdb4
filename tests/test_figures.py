"""Which skin parts of a drawing are one figure, and what such a figure is called."""

from builders import svg

from mockup.pattern.figures import figures, with_sides
from mockup.pattern.motif import Motif
from mockup.pattern.svg import read_svg

SKIN = '<circle data-part="skin" data-side="skin" cx="{x}" cy="5" r="2"/>'
CLOTH = '<rect data-part="cloth" x="{x}" y="8" width="4" height="4"/>'


def drawing(body: str) -> Motif:
    """Read a drawing in which {SKIN 5} stands for a skin part at x = 5, {CLOTH 5} for another."""
    for name, shape in (("SKIN", SKIN), ("CLOTH", CLOTH)):
        for x in range(0, 100, 5):
            body = body.replace(f"{{{name} {x}}}", shape.format(x=x))
    return read_svg(svg(100, 20, body).encode(), "beach", where="beach.svg")


def groups(motif: Motif, *, whole: bool = True) -> list[str]:
    """Groups of the skin parts, once the side palette is known."""
    return [part.group for part in with_sides(motif, {"skin"}, whole).parts if part.side]


def test_what_one_group_holds_beside_other_parts_is_a_figure() -> None:
    found = drawing(
        '<g id="girl">{SKIN 5}{CLOTH 5}<g>{SKIN 10}{SKIN 15}</g></g><g>{CLOTH 30}{SKIN 30}</g>{SKIN 50}{SKIN 60}'
    )
    assert groups(found) == ["girl-skin", "girl-skin", "girl-skin", "skin", "skin-2", "skin-2"]


def test_every_use_is_a_figure_of_its_own() -> None:
    found = drawing(
        '<defs><g id="girl">{SKIN 5}{CLOTH 5}{SKIN 10}</g></defs>'
        '<use href="#girl"/><use href="#girl" x="20"/><use href="#girl" x="40"/>'
    )
    own = groups(found)
    assert len(own) == 6
    assert [own[0], own[2], own[4]] == [own[1], own[3], own[5]]
    assert len(set(own)) == 3


def test_a_written_group_is_a_figure_wherever_its_parts_lie() -> None:
    part = SKIN.replace("<circle", '<circle data-group="ann"')
    found = drawing(f"<g>{part.format(x=5)}{{CLOTH 5}}</g><g>{part.format(x=25)}{{CLOTH 25}}</g>{{SKIN 50}}")
    own = groups(found)
    assert own[0] == own[1] == "ann-skin"
    assert own[2] == "skin"


def test_layers_of_skin_alone_are_no_figures() -> None:
    found = drawing("<g>{SKIN 5}{SKIN 15}</g><g>{CLOTH 5}{CLOTH 15}</g>")
    assert groups(found) == ["skin", "skin"]


def test_a_motif_is_one_figure_and_keeps_clear_of_a_part_of_that_name() -> None:
    found = drawing(
        '<rect data-part="skin" width="3" height="3"/><g>{SKIN 5}{CLOTH 5}</g><g>{SKIN 25}{CLOTH 25}</g>'
    )
    assert groups(found, whole=False) == ["skin-2", "skin-2"]
    other = [part.group for part in with_sides(found, {"skin"}).parts if not part.side]
    assert len(other) == len(set(other)) == 3


def test_sides_that_the_palette_does_not_have_fall_away_and_nothing_else_changes() -> None:
    found = drawing("<g>{SKIN 5}{CLOTH 5}{SKIN 10}</g>")
    bare = with_sides(found, set())
    assert [part.side for part in bare.parts] == ["", "", ""]
    assert [part.group for part in bare.parts] == [part.group for part in found.parts]
    plain = drawing("{CLOTH 5}{CLOTH 15}")
    assert with_sides(plain, {"skin"}) is plain


def test_figures_of_two_sides_are_told_apart() -> None:
    inside = [(1, "ann")]
    assert figures([("skin", "", inside), ("hair", "", inside), ("", "", inside)]) == ["ann", "ann", ""]
    assert figures([("skin", "", []), ("skin", "", [(3, "x")])]) == ["", ""]
