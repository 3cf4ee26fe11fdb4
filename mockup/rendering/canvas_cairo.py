"""The one door to the cairo library, with a plain word where the machine lacks it.

References
----------
cairo 1.16 manual, "Paths" (``cairo_path_t``) and "Font Faces" (the toy text calls).
"""

from typing import Final

from mockup.errors import SetupError

try:
    import cairocffi
except OSError as fault:
    raise SetupError(
        "the cairo graphics library is not on this machine",
        remedy="install it: libcairo2 (Debian, Ubuntu), cairo (Fedora), brew install cairo (macOS)",
    ) from fault

FAMILY: Final = "DejaVu Sans"
"""The typeface of every sheet; it comes with cairo on Linux."""

__all__ = ["FAMILY", "cairocffi"]
