"""Invented hulls of usual proportions for the tests of speed; nothing here is a real boat."""

from __future__ import annotations

from passage.inputs.boat import Hull


def hull(length_overall_m: float = 10.0, **changes: object) -> Hull:
    """Waterline, beam, draught, displacement and sail of the published hulls' median proportions."""
    volume_m3 = 5.65 * length_overall_m**3 / 1025.0
    usual = {
        "name": "invented",
        "length_overall_m": length_overall_m,
        "waterline_length_m": 0.83 * length_overall_m,
        "beam_m": 0.336 * length_overall_m,
        "draught_m": 0.183 * length_overall_m,
        "displacement_kg": 1025.0 * volume_m3,
        "sail_area_m2": 19.4 * volume_m3 ** (2 / 3),
    }
    return Hull.model_validate(usual | changes, by_name=True, by_alias=False)
