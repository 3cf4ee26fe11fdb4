"""The command line; the only home of click."""
