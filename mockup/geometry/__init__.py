"""Plane geometry in mm, y running down; knows nothing of colour. The only home of shapely."""
