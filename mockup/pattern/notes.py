"""What was left out of a drawing: one plain line a kind, counted."""

from dataclasses import dataclass


@dataclass(slots=True)
class _Note:
    text: str
    line: int
    count: int = 0


class Notes:
    """Gathers notes; those of one kind are told once, with the first one's words and line."""

    def __init__(self) -> None:
        self._notes: dict[str, _Note] = {}

    def add(self, text: str, line: int, kind: str = "") -> None:
        """Note what was left out at a line of the file; ``kind`` joins notes whose words differ."""
        note = self._notes.setdefault(kind or text, _Note(text, line))
        note.count += 1

    def lines(self) -> tuple[str, ...]:
        """Give all notes in the order in which their kinds were first met."""
        return tuple(
            f"line {note.line}: {note.text}" + (f" ({note.count} times in all)" if note.count > 1 else "")
            for note in self._notes.values()
        )
