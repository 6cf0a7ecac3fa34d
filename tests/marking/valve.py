"""Answers to the problem of the solenoid valve, marked."""

from grader.marking.mark import mark_upload
from grader.uploads.upload import Upload, Written


def mark(key, **answers):
    """Mark answers given by item id; the marks by item id."""
    written = tuple(
        Written(problem="valve", item=item, text=text[0], unit=text[1])
        if isinstance(text, tuple)
        else Written(problem="valve", item=item, text=text)
        for item, text in answers.items()
    )
    marked = mark_upload(key, Upload(file="u.txt", digest="", student="S1", answers=written))
    return {mark.item: mark for mark in marked.marks}


RIGHT = {
    "before": "1.636 A",
    "start": "1.64 A",
    "final": "2 A",
    "seen": "8 ohm",
    "tau": "10 ms",
    "i": "2 - 0.364e^(-100t) A",
    "energy": "139 mJ",
}
