"""Shows a short palette of inks on a repeat pattern, evenly spread and at true size, before ink is used."""

__version__ = "0.1.0"
