"""Every word that the dashboard shows, in one place.

Sentences with `{}` are filled by `str.format`; figures come in already written.
"""

from __future__ import annotations

TITLE = "Season card"
SEASON = "{first} to {last}"
TODAY = "planned as of {today}"
HORSES_AND_SHOWS = "{horses} horses, {shows} shows on offer"

ABOVE = "Above the line"
BELOW = "Under the line"
GOAL = "Goal"
STATUS = "Answer"
WORTH = "Worth"
BOUND = "Bound"
COST = "Cost"
ROAD = "Road driven"
NIGHTS = "Nights away"
AIMS = "Aims met"
SPARE = "Spare days"
NO_FIGURE = "none"
MINUS = "\N{MINUS SIGN}"

STATUS_IN_WORDS = {
    "proved best": "proved best: nothing better keeps every rule",
    "within bound": "as good as the bound allows",
    "best in time": "best found in the time given",
    "none exists": "none keeps every rule",
    "none in time": "none found in the time given",
}
GOAL_IN_WORDS = {
    "most worth": "the most worth",
    "least road": "the least road",
    "least cost": "the least cost",
    "most rest": "the most rest",
    "alternative": "an alternative",
}
TOUR_GOAL = "the {name} tour"

CONTENTS = "Parts of this card"
STRIPS = "Week by week"
STRIPS_HINT = (
    "Each horse has one line. \u201c{left}\u201d stands on it, \u201c{right}\u201d hangs under it. "
    "Where the two agree, the picture mirrors itself."
)
STRIPS_READOUT = "Point at a day, or step here with Tab and walk the days with the arrow keys."
STRIPS_TOUCH = "Touch a day to read it; push the strips sideways for the rest of the season."
STRIPS_LABEL = "Days of every horse. Arrow keys: left and right by day, up and down by strip."
KEY = "How to read it"
KEY_WORDS = (
    ("show", "class day"),
    ("grounds", "on the grounds"),
    ("travel", "on the road"),
    ("window", "days without jumping"),
    ("school", "school"),
    ("flat", "flat"),
    ("hack", "hack"),
    ("turnout", "turnout"),
    ("day off", "day off, rest"),
    ("vet check", "vet check"),
    ("vaccination", "vaccination"),
    ("aim", "aim: half filled on the side that meets it"),
    ("today", "today"),
)

DIFFERENCES = "What differs"
VERDICT_NONE = "Two circuits, face to face: what one gains and what it pays will stand here."
VERDICT_SAME = "Above and under the line stands the same circuit. Choose another to compare."

VERDICT_MORE = "{count} more points, horse by horse and owner by owner"
DIFFERENCE = "Difference"
IN_ALL = "The season in all"
BY_OWNER = "What each owner pays"
BY_HORSE = "Horse by horse"
CLOSINGS = "Entries still to be sent"
OUTINGS = "Outings"
COST_CHANGE = "Cost, difference"
HORSE_HOURS = "Hours on the road"
OWNER = "Owner"
YARD_PAYS = "the yard"
ONLY = "Only in {name}"
IN_BOTH = "In both"
SHOW = "Show"
CLOSES = "Closes"
NO_CLOSING = "no closing date"
LATE = "{day}, late, {fee}"
SAME = "same"
CHANGE = "{left} \N{RIGHTWARDS ARROW} {right}"
CHANGED = "{show} ({what})"
OTHER_CLASSES = "other classes"
OTHER_RIDER = "other rider"
OTHER_DAYS = "other days"
ENTRIES = "{horses} ({count} classes)"
ONE_ENTRY = "{horses} (one class)"

DIARY = "One horse"
HORSE = "Horse"
DIARY_OF = "Diary of"
DAY_BY_DAY = "{horse} day by day, in \u201c{circuit}\u201d"
WEEK_OF = "Week of {day}"
AWAY = "away"
ON_THE_GROUNDS = "{kinds}, on the grounds of {show}"
NO_JUMPING = "{kinds}; no jumping after {show}"
AWAY_BECAUSE = "{kinds}; away ({reason})"
DOWNLOAD = "Take {horse}'s calendar (.ics)"
DOWNLOAD_HINT = (
    "A file for any calendar program, from \u201c{circuit}\u201d. It holds the days as planned now."
)
DOWNLOAD_FAILED = "The calendar could not be made: {reason}"

PLANNING = "Plan"
PLAN = "Plan again"
PLAN_FIRST = "Plan the season"
STOP = "Stop and keep what is found"
PLANNING_NOW = "Planning. You can go on reading; the page stays yours."
PLANNING_FIRST = "Planning the season. The circuits will stand here as soon as they are found."
STOPPING = "Stopping after the step at hand."
PLANNED = "Planned: {count} circuits in {seconds} s, {proved}."
PLANNED_ONE = "Planned: one circuit in {seconds} s, {proved}."
ALL_PROVED = "all proved best"
SOME_PROVED = "{count} of them proved best"
NONE_PROVED = "none of them proved best"
STOPPED = "Stopped. What was found stands above, beside what stood there before."
STOPPED_EARLY = "Stopped before anything was found."
PLANNED_NONE = "No circuit keeps every rule. The reasons stand below."
NOT_PLANNED = "Nothing is planned yet."
SAVED = "These circuits were read from {file}."
PROGRESS_ALL = "{seconds} s of at most {limit} s"
PROGRESS_DONE = "How the search went"
SEARCHING = "searching"
FOUND = "{objective} found"
AT_MOST = "at most {bound} possible"
AT_LEAST = "at least {bound} needed"
AS_GOOD_AS_CAN_BE = "{objective} found, as good as can be"
WORTH_OF = "{worth} of worth"
HORSE_HOURS_OF = "{hours} hours of horses on the road"
WITHOUT_PLAN = "No plan for {goal}: {status}"
PLAN_FAILED = "Planning stopped: {reason}"
PLAN_FAILED_DO = (
    "What stands on the page is unharmed. Correct the yard folder if the reason names a row, "
    "then plan again; in a terminal, tripkit plan {folder} says it in full."
)
NO_PLANNER = "The planner is not installed: {reason}"
NO_PLANNER_DO = "Install tripkit with its dependencies and open this page again."

YARD_WRONG = "The yard folder needs {count}"
CORRECTION = "one correction"
CORRECTIONS = "{count} corrections"
YARD_WRONG_DO = (
    "Nothing was planned. Correct these rows in {folder}, save, and press the button below."
)
READ_AGAIN = "Read the folder again"
YARD_FAILED = "The yard folder cannot be read: {reason}"
CIRCUITS_WRONG = "The saved circuits in {file} were left aside: {reason}"
COMPARE_FAILED = "The two circuits cannot be compared: {reason}"

CAUTIONS_TITLE = "Before anything is sent"
CAUTIONS = (
    "Whether a horse is fit to travel and to jump is for a vet to decide, on the day.",
    "The current rule book of the show's federation and the local law rule; "
    "this card does not replace either.",
    "Rest, schools and travel recovery follow common practice, with the yard's own numbers "
    "where it gave some. They are no medical advice.",
)
