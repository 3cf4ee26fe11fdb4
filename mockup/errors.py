"""The errors that a user can cause, one kind a meaning.

``MockupError``
    the root; never raised itself
``DesignError``
    the design file says something that cannot be followed
``DrawingError``
    a motif or a drawing cannot be read
``UnknownNameError``
    a motif, an ink, a part or a size that nobody knows by that name
``SpreadError``
    the inks cannot be spread as asked
``FileError``
    a file cannot be read, written or replaced
``SetupError``
    the machine lacks something that mockup needs

Each prints as one plain line: where it is, what is wrong, what to do.
"""


class MockupError(Exception):
    """Root of everything that is told to the user as one line.

    Parameters
    ----------
    what : str
        What is wrong, in plain words, without a full stop.
    where : str, optional
        The file and the place in it ("rose.toml, [sheet] size").
    remedy : str, optional
        What to do about it.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(what, where, remedy)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __str__(self) -> str:
        """Give the one line: place, fault, remedy; control characters made harmless."""
        line = f"{self.where}: {self.what}" if self.where else self.what
        if self.remedy:
            line += f"; {self.remedy}"
        return "".join(sign if sign.isprintable() else " " for sign in line)


class DesignError(MockupError):
    """The design file says something that cannot be followed."""


class DrawingError(MockupError):
    """A motif or a drawing cannot be read."""


class UnknownNameError(MockupError):
    """A motif, an ink, a part or a size that nobody knows by that name."""


class SpreadError(MockupError):
    """The inks cannot be spread as asked."""


class FileError(MockupError):
    """A file cannot be read, written or replaced."""


class SetupError(MockupError):
    """The machine lacks something that mockup needs."""
