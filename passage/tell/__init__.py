"""Telling: records that know what each of their figures means, and the blocks and renderers that print them.

Nothing here knows of sailing. A fact is declared once, as a field of a ``Record``; JSON, the page of keys, frames, CSV
and every printed figure are readings of that one declaration.
"""
