"""Motifs, repeats and visible regions; paint slots here are names, not colours."""
