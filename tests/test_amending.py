"""Adding to a design file: what she wrote stays, sign for sign, and nothing but what was asked for is added."""

import difflib
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mockup.design.amending import with_fixed
from mockup.errors import DesignError

FIXED = {"pear-3@2,1/body": "clay", 'fig-2/"skin"': "moss"}
TOP = 'title = "x"  # hers\n'
FILES = {
    "no table": TOP,
    "nothing": "",
    "an empty table": f"{TOP}[colouring]\n",
    "no end of line": f'{TOP}[colouring]\nground = "light"',
    "remarks": f'{TOP}[colouring] # how\nground = "light"  # oat\n# a note\n\n[line]\nwidth = 1\n',
    "an inline table": f'{TOP}[colouring]\nfixed = {{ "at 3,4" = "clay" }} # keep }}\nground = "light"\n',
    "an empty inline table": f"{TOP}[colouring]\nfixed = {{}}\n[line]\n",
    "braces in names": f'{TOP}[colouring]\nfixed = {{"a-1/}}" = "}} #"}}# }}\n',
    "a table of its own": f'{TOP}[colouring]\nground = "x"\n\n[colouring.fixed] # hers\n"a-1/b" = "clay"\n\n# next\n[line]\n',
    "only a table of its own": f'[colouring.fixed]\n"a-1/b" = "clay"\n{TOP.replace("title", "[x]" + chr(10) + "title")}',
    "the table of its own first": '[colouring.fixed]\n"a-1/b" = "clay"\n[colouring]\nground = "x"\n',
    "dotted names": f'{TOP}[colouring]\nfixed."a-1/b" = "clay"\nground = "x"\n',
    "a list over several lines": f'{TOP}[colouring]\n  only = {{ leaf = [\n "a", # one\n "b" ] }}\n\n',
    "a multi-line text": f'{TOP}[colouring]\nground = """\n[line]\nfixed = {{}}\n"""\n[line]\n',
    "tables inside": f'{TOP}[colouring]\nvariant = 2\n[colouring.only]\nleaf = ["a"]\n',
    "tables inside only": f'{TOP}[colouring.only]\nleaf = ["a"]\n',
}  # fmt: skip


@pytest.mark.parametrize("plan", [None, "own.geojson"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("name", FILES)
def test_what_was_there_stays_and_these_keys_come_to_it(name: str, end: str, plan: str | None) -> None:
    text = FILES[name].replace("\n", end)
    found = with_fixed(text, FIXED, plan=plan)
    wanted = tomllib.loads(text)
    wanted.setdefault("colouring", {}).setdefault("fixed", {}).update(FIXED)
    if plan:
        wanted["colouring"]["plan"] = plan
    assert tomllib.loads(found) == wanted
    changes = list(difflib.SequenceMatcher(None, text, found, autojunk=False).get_opcodes())
    assert {kind for kind, *_ in changes} <= {"equal", "insert"}
    assert found.count("\r\n") == (found.count("\n") if end == "\r\n" and text else 0)


def test_a_byte_order_mark_stays() -> None:
    assert with_fixed("\ufeff" + TOP, FIXED).startswith("\ufeff" + TOP)


@pytest.mark.parametrize(
    "text", ['colouring = { ground = "a" }\n', 'colouring.ground = "a"\n', '["colouring"]\nground = "a"\n']
)
def test_a_table_may_be_written_in_any_way(text: str) -> None:
    wanted = {"colouring": {"ground": "a", "fixed": FIXED, "plan": "own.geojson"}}
    assert tomllib.loads(with_fixed(text, FIXED, plan="own.geojson")) == wanted


@pytest.mark.parametrize("text", ["colouring = 3\n", "[[colouring]]\n", "[colouring]\nfixed = 1\n"])
def test_what_cannot_be_added_to_is_left_to_her(text: str) -> None:
    with pytest.raises(DesignError) as caught:
        with_fixed(text, FIXED, where="own.toml")
    assert str(caught.value) == (
        "own.toml: is written in a way that cannot be changed from here; "
        "write what is printed into it by hand"
    )


@given(
    st.dictionaries(
        st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1),
        st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"])),
        min_size=1,
        max_size=4,
    )
)
def test_any_names_can_be_added(fixed: dict[str, str]) -> None:
    found = with_fixed("[colouring]\n", fixed)
    assert tomllib.loads(found) == {"colouring": {"fixed": fixed}}
