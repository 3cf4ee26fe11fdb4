"""The draw list and the writers that turn it into pixels, SVG and PDF; never sees a graph."""
