"""What to say at the change of the watch, in the order of a card by the companionway. Common practice, own words."""

from __future__ import annotations

from passage.tell.records import Record, told


class CardLine(Record):
    """One line of the card."""

    heading: str = told("heading of a line")
    say: str = told("what is said under it")


CALL = CardLine(
    "Call",
    "Call a quarter of an hour before. Wait for an answer in words. Nothing urgent is asked of anyone in the first "
    "15 to 30 minutes awake: the one relieved stays until the eyes are used to the dark.",
)

CARD: tuple[CardLine, ...] = (
    CardLine("Who", "How I am: awake, cold, sick? How you are: fit to take the watch? If not, I stay and we say so."),
    CardLine(
        "Ships",
        "Every light or echo in sight: bearing, whether it changes, what it is doing, what I mean to do about it.",
    ),
    CardLine(
        "Where",
        "Position and time in the log. Course to steer, course made good, anything ahead before the next change.",
    ),
    CardLine(
        "Weather",
        "Wind now and in the last hours, barometer, squalls seen, what the forecast says, when the next one comes.",
    ),
    CardLine(
        "Sails", "What is set, what is reefed, preventer, vang and pole; the wind at which the next reef goes in."
    ),
    CardLine(
        "Gear", "Self-steering, lights, alarms set and how far out; battery; bilge looked at; anything chafed or odd."
    ),
    CardLine(
        "Wake me",
        "When to wake me without asking: a closing bearing, a wind shift, more wind, any sound not known, any doubt.",
    ),
    CardLine("Clip", "Lifejacket on and clipped before you come up; I unclip only below."),
    CardLine("Yours", 'Say it aloud: "I have the watch." Look all round with me once before I go below.'),
)
