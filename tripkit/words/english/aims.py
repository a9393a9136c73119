"""How an aim stands: what is missing, or what it is prepared by."""

SENTENCES = {
    "aims.not-there": "{horse} does not go to {show}",
    "aims.not-jumped": "{horse} does not jump {name} at {show}",
    "aims.any-class": "a class",
    "aims.points": "{missing:2} of {needed:2} points are missing in {series} before {day}",
    "aims.starts": "{missing} of {needed} starts are missing in {series} before {day}",
    "aims.unprepared": "no outing ends {low} to {high} days before {day}",
    "aims.wanting": "{wanting:*; }",
    "aims.start-on": "a start on {day}",
    "aims.prepared": "prepared by {by}",
    "aims.qualified": (
        "qualified in {series} with {points:2} points from {starts} starts, prepared by {by}"
    ),
}
