"""Passages one after another through a year, by the same luck from port to port."""
