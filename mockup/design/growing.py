"""Reading what motifs grow from, and what they are called: no two different ones alike."""

from collections.abc import Sequence
from pathlib import PurePath
from typing import Final

from mockup.design import keys
from mockup.design.records import MotifSpec
from mockup.design.table import Written
from mockup.design.values import WrongValueError, length, number, quoted, text, whole, word
from mockup.pattern.grown import DEPTH, LAYERS, LIMITS, PETALS, SEED, SIZE, Growth

_LABEL: Final = text(40)


def grown(written: Written) -> Growth | None:
    """Read what a motif grows from; None where it is drawn.

    Raises
    ------
    DesignError
        Numbers for a motif that does not grow.
    """
    if "grow" not in written.values:
        for key in LIMITS:
            if key in written.values:
                raise written.wrong(
                    f"{key} is for motifs that grow", 'write such as grow = "rosette" in place of name', key
                )
        return None
    usual = Growth("rosette")
    return Growth(
        kind=written.need("grow", word(keys.GROWS)),
        petals=written.get("petals", whole(*PETALS), usual.petals),
        layers=written.get("layers", whole(*LAYERS), usual.layers),
        depth=written.get("depth", number(*DEPTH), usual.depth),
        size=written.get("size", length(*SIZE), usual.size),
        seed=written.get("seed", whole(*SEED), usual.seed),
    )


def grown_name(written: Written, growth: Growth) -> str:
    """Read what a motif that grows is called, if she calls it anything.

    Raises
    ------
    DesignError
        The name is one of a file: either that is meant or one that grows.
    """
    name = written.get("name", _label, growth.name)
    if name.lower().endswith(".svg"):
        raise written.wrong(
            "name is a file, and grow makes another motif", "leave out one of the two", "name"
        )
    return name


def _label(value: object) -> str:
    name = _LABEL(value)
    if "/" in name or "\\" in name:
        raise WrongValueError("has a slash, which no name of a motif may have", "write it without")
    return name


def refuse_shared_names(
    written: Written, specs: Sequence[MotifSpec], tables: Sequence[str | Written]
) -> None:
    """Refuse a name that a motif that grows shares with a different motif.

    Raises
    ------
    DesignError
        Tells where the later of the two stands.
    """
    known: dict[str, MotifSpec] = {}
    for spec, table in zip(specs, tables, strict=True):
        name = spec.name if spec.grow else PurePath(spec.name.replace("\\", "/")).stem
        if known.setdefault(name, spec).grow != spec.grow:
            place, key = (written, "motifs") if isinstance(table, str) else (table, "name")
            raise place.wrong(
                f"two different motifs are called {quoted(name)}", "give the one that grows another name", key
            )
