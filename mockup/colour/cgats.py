"""An ink box as CGATS.17 text, the exchange form of measuring programs and printers.

Read are sample names and CIELAB or XYZ under D50; from files of ours also paper, day, nib, bleed and coats, which stand
in columns whose names begin with INK and are declared by KEYWORD, as the form asks. A coat is a sample of its own.

References
----------
CGATS.17 and ISO 28178, "Exchange format for colour and process control data using XML or ASCII text".
Keywords and layout from memory.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mockup.colour.boxtable import Row, boxed, placed, row_of, swatch_of
from mockup.colour.conversion import Colour, lab_d50
from mockup.colour.inkbox import InkBox, Swatch
from mockup.errors import DesignError

_OWN: Final = {
    "INK_COLOUR": "colour",
    "INK_PAPER": "paper",
    "INK_DATE": "date",
    "INK_TIP": "tip",
    "INK_BLEED": "bleed",
    "INK_UNCERTAINTY": "uncertainty",
    "INK_NOTE": "note",
}
_COAT: Final = "INK_COAT"
_WORD: Final = re.compile(r'"([^"]*(?:""[^"]*)*)"|#.*|(\S+)')
"""A word, in quotes or not; or a remark, which is none. A quote within quotes is written twice."""
_LIGHT: Final = re.compile(r"\bILLUMINA(?:NT|TION)\W+(D\d\d|[AC]|F\d+)\b", re.IGNORECASE)
_PART: Final = re.compile(r"^[ \t]*BEGIN_DATA_FORMAT\b", re.MULTILINE)
_AGREES: Final = 0.01
"""A written colour counts where it is the measured one within this, CIELAB."""


@dataclass(frozen=True)
class _Sheet:
    """The words of a file: of its head by keyword, and its samples by field, each with its line."""

    head: dict[str, str]
    samples: tuple[tuple[int, dict[str, str]], ...]


def is_cgats(text: str) -> bool:
    """Tell whether a text is of this form."""
    return _PART.search(text) is not None


def read_cgats(text: str, where: str = "") -> InkBox:
    """Read a box; samples of one name and paper are its coats.

    Raises
    ------
    DesignError
        What is wrong, with file and line.
    """
    sheet = _parsed(text, where)
    for word in ("WEIGHTING_FUNCTION", "MEASUREMENT_SOURCE"):
        light = _LIGHT.search(sheet.head.get(word, ""))
        if light and light[1].upper() != "D50":
            raise DesignError(f"is measured under {light[1]}", where=where, remedy="write it out under D50")
    inks: dict[tuple[str, str], dict[str, str]] = {}
    lines: dict[tuple[str, str], int] = {}
    for line, sample in sheet.samples:
        with placed(where, line):
            row, coat = _row(sample)
            key = (row["name"].casefold(), row.get("paper", "").casefold())
            if coat == 1:
                if key in inks:
                    raise DesignError(f"{row['name']!r} comes twice", remedy="keep the newest")
                inks[key], lines[key] = row, line
            elif key not in inks:
                raise DesignError(
                    f"coat {coat} of {row['name']!r} comes before the first",
                    remedy="write the coats one after another",
                )
            elif f"coat {coat}" in inks[key]:
                raise DesignError(f"coat {coat} of {row['name']!r} comes twice", remedy="keep the newest")
            else:
                inks[key][f"coat {coat}"] = row["colour"]
    swatches = []
    for key, row in inks.items():
        with placed(where, lines[key]):
            swatches.append((lines[key], swatch_of(row)))
    return boxed(swatches, where)


def write_cgats(box: InkBox) -> str:
    """Write a box; columns of her own are left out."""
    samples = [sample for swatch in box.swatches for sample in _samples(swatch)]
    own = [name for name in (_COAT, *_OWN) if any(name in sample for sample in samples)]
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B", *own]
    lines = [
        "CGATS.17",
        'ORIGINATOR "mockup"',
        'DESCRIPTOR "ink box"',
        'WEIGHTING_FUNCTION "ILLUMINANT, D50"',
        *(f'KEYWORD "{name}"' for name in own),
        f"NUMBER_OF_FIELDS {len(fields)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(fields),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(samples)}",
        "BEGIN_DATA",
    ]
    for number, sample in enumerate(samples, 1):
        lines.append("\t".join([str(number), *(sample.get(name, '""') for name in fields[1:])]))
    return "\n".join([*lines, "END_DATA", ""])


def _samples(swatch: Swatch) -> list[dict[str, str]]:
    """Give the samples of one swatch: its first coat with all that is known, then the others."""
    row, found = row_of(swatch), []
    for coat, colour in enumerate((swatch.ink.colour, *swatch.ink.coats), 1):
        known = row if coat == 1 else {"paper": swatch.stock}
        own = {name: _quoted(known[key]) for name, key in _OWN.items() if known.get(key)}
        lightness, a, b = lab_d50(colour)
        values = (min(max(lightness, 0.0), 100.0), a, b)
        lab = dict(zip(("LAB_L", "LAB_A", "LAB_B"), map(_figure, values), strict=True))
        name = {"SAMPLE_NAME": _quoted(swatch.ink.name), _COAT: str(coat)}
        found.append(name | lab | own | {"INK_COLOUR": _quoted(colour.written.strip())})
    return found


def _figure(value: float) -> str:
    return f"{value:.9f}"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def _row(sample: Row) -> tuple[dict[str, str], int]:
    """Give a sample as a row of a box, and which coat it is."""
    row = {key: sample[name] for name, key in _OWN.items() if sample.get(name)}
    row["name"] = sample.get("SAMPLE_NAME") or sample.get("SAMPLE_ID", "")
    written = row.pop("colour", "")
    row |= _measured(sample)
    if written:
        with_text = swatch_of({"name": "ink", "colour": written}).ink.colour
        if _near(with_text, swatch_of({**row, "name": "ink"}).ink.colour):
            row = {key: value for key, value in row.items() if key not in {"L", "a", "b"}}
            row["colour"] = written
    if "colour" not in row:
        row["colour"] = swatch_of({**row, "name": "ink"}).ink.colour.written
        row = {key: value for key, value in row.items() if key not in {"L", "a", "b"}}
    coat = sample.get(_COAT, "1")
    if not re.fullmatch("[1-9]", coat):
        raise DesignError(f"{_COAT} is {coat!r}", remedy="write 1 for the first coat, 2 for the second")
    return row, int(coat)


def _near(one: Colour, other: Colour) -> bool:
    return all(abs(a - b) < _AGREES for a, b in zip(one.lab, other.lab, strict=True))


def _measured(sample: Row) -> dict[str, str]:
    """Give the colour of a sample as columns of a box."""
    lab = [sample.get(f"LAB_{axis}") for axis in "LAB"]
    if all(lab):
        return dict(zip(("L", "a", "b"), map(str, lab), strict=True))
    xyz = [sample.get(f"XYZ_{axis}") for axis in "XYZ"]
    if not all(xyz):
        raise DesignError("there is no colour in it", remedy="write out LAB_L, LAB_A and LAB_B, or XYZ")
    try:
        parts = [float(str(value)) / 100 for value in xyz]
    except ValueError:
        told = " ".join(map(str, xyz))[:40]
        raise DesignError(
            f"XYZ is no number: {told!r}", remedy="write figures with a decimal point"
        ) from None
    return {"colour": f"color(xyz-d50 {' '.join(map(repr, parts))})"}


def _words(line: str) -> list[str]:
    """Split a line at blanks; what stands in quotes is one word, and what follows # is none."""
    found = (word for word in _WORD.finditer(line) if word[1] is not None or word[2] is not None)
    return [word[2] if word[1] is None else word[1].replace('""', '"') for word in found]


def _parsed(text: str, where: str) -> _Sheet:
    """Read the words of a file.

    Raises
    ------
    DesignError
        A part is missing, or a sample has other than as many words as there are fields.
    """
    head: dict[str, list[str]] = {}
    fields: list[str] = []
    words: list[tuple[int, str]] = []
    part = ""
    for number, line in enumerate(text.removeprefix("\ufeff").split("\n"), 1):
        own = _words(line)
        if not own:
            continue
        if own[0] in {"BEGIN_DATA_FORMAT", "BEGIN_DATA"}:
            part = own[0]
        elif own[0] in {"END_DATA_FORMAT", "END_DATA"}:
            part = "" if part == "BEGIN_DATA_FORMAT" else own[0]
            if part:
                break
        elif part == "BEGIN_DATA_FORMAT":
            fields += [word.upper() for word in own]
        elif part == "BEGIN_DATA":
            words += [(number, word) for word in own]
        else:
            head.setdefault(own[0].upper(), []).extend(own[1:])
    if part != "END_DATA":
        raise DesignError("breaks off before END_DATA", where=where, remedy="write it out again")
    _check(fields, words, where)
    samples = []
    for start in range(0, len(words), len(fields)):
        own_words = words[start : start + len(fields)]
        samples.append((own_words[0][0], dict(zip(fields, (word for _, word in own_words), strict=True))))
    return _Sheet({key: "; ".join(told) for key, told in head.items()}, tuple(samples))


def _check(fields: Sequence[str], words: Sequence[tuple[int, str]], where: str) -> None:
    """Refuse a file without names of fields or samples, or with a sample cut short."""
    if not fields:
        raise DesignError("names no fields", where=where, remedy="write them after BEGIN_DATA_FORMAT")
    if not words:
        raise DesignError("holds no samples", where=where, remedy="write them after BEGIN_DATA")
    if len(words) % len(fields):
        counts = Counter(line for line, _ in words)
        odd = next(line for line, count in counts.items() if count % len(fields))
        with placed(where, odd):
            raise DesignError(
                f"{counts[odd]} word{'s' * (counts[odd] != 1)} where the format names {len(fields)} fields",
                remedy="put what holds a blank in quotes, and leave no field out",
            )
