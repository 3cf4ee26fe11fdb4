"""Benchmarks: each prints a table when it is run as a program."""
