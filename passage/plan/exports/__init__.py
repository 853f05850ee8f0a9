"""The plan for other programs: one open format a file, each ``export(outcome) -> bytes``."""
