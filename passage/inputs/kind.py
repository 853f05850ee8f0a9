"""What makes a week kind to a small crew: ``[kind]`` of voyage.toml, by the hours that they mind.

Limits are shares of the hours at sea, so that long and short passages are measured alike. None has a source: common
practice, the taste of two people, and yours is as good.
"""

from __future__ import annotations

from typing import Annotated

from passage.inputs.toml import Measured, Section

HourShare = Annotated[float, Measured("share", 0, 1)]


class Kind(Section):
    """At most so much of her time: wind of 28 kn and more; hard on the wind; calm; air colder than ``cold_below_c``;
    air so damp over so cold a sea that fog is likely. ``counts`` false: weeks are marked by length alone.
    """

    counts: bool = True
    strong_wind_share: HourShare = 0.02
    hard_on_wind_share: HourShare = 0.2
    calm_share: HourShare = 0.15
    cold_share: HourShare = 0.1
    cold_below_c: Annotated[float, Measured("temperature", -5, 30)] = 10.0
    fog_share: HourShare = 0.1
