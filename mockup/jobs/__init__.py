"""The guts of each command, usable from Python; no parsing of options here."""
