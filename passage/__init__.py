"""Passage planning for a small boat: the same thousand crossings decide time, stores, power and watches."""

__all__ = ["__version__"]
__version__ = "0.1.0"
