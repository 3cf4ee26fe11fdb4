"""Colours, inks and palettes; knows nothing of geometry."""
