"""Every word of the page itself, in one place: labels, hints, heads, what it says of its work.

Sentences with `{}` are filled by `str.format`; figures come in already written.
"""

from __future__ import annotations

TITLE = "Season card"
SEASON = "{first} to {last}"
TODAY = "planned as of {today} ({said_by})"
OVER = "the season is over: every show is past"
HORSES_AND_SHOWS = "{horses}, {shows} on offer"
ONE_HORSE = "one horse"
SOME_HORSES = "{count} horses"
ONE_SHOW = "one show"
SOME_SHOWS = "{count} shows"

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
TIGHTEST = "Fewest spare days"
MISSING = "Outings missing"
WANTED = "Outings wanted"
WANTED_SPAN = "{least} to {most}"
WANTED_LEAST, WANTED_MOST = "at least {least}", "at most {most}"
LEFT_OUT = "Not in the proof"
NO_FIGURE = "none"
MINUS = "\N{MINUS SIGN}"

STATUS_IN_WORDS = {
    "proved best": "proved best: nothing better keeps every rule",
    "within bound": "as good as the bound allows",
    "best in time": "best found in the time given",
    "best of its kind": "best of its kind: nothing better keeps every rule",
    "none exists": "none keeps every rule",
    "none in time": "none found in the time given",
}

DROPPED = "Sent or paid and lost in this circuit"
NOBODY_DIFFERS = "No horse goes anywhere in these circuits, so nothing differs."

CONTENTS = "Parts of this card"
STRIPS = "Week by week"
STRIPS_HINT = (
    "Each horse has one line. \u201c{left}\u201d stands on it, \u201c{right}\u201d hangs under it. "
    "Where the two agree, the picture mirrors itself."
)
STRIPS_READOUT = (
    "Point at a day, or step here with Tab and walk the days with the arrow keys. Strips wider "
    "than the window go on sideways."
)
STRIPS_TOLD = "{told}. Rule: {rule}."
STRIPS_TOUCH = "Touch a day to read it; push the strips sideways for the rest of the season."
STRIPS_LABEL = "Days of every horse. Arrow keys: left and right by day, up and down by strip."
KEY = "How to read it"
KEY_WORDS = (
    ("show", "class day"),
    ("grounds", "on the grounds"),
    ("base", "nights at a base"),
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
    ("closing", "entries close"),
    ("today", "today"),
)

MAP_HINT = (
    "\u201c{left}\u201d is the solid line, \u201c{right}\u201d the hollow one around it. "
    "A road is the thicker the more often it is driven."
)
MAP_READOUT = (
    "Point at a road or a show, or step here with Tab and walk the drives with the arrow keys."
)
MAP_WAITING = "The map is being drawn."
MAP_LATE = "The map has not come yet. If it stays away, load this page again."
MAP_TOUCH = "Touch a road or a show to read its drives."
MAP_LABEL = "Map of the drives. Arrow keys walk from drive to drive."
MAP_FAILED = "The map could not be drawn: {reason}"

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

HORSE = "Horse"
DAY_BY_DAY = "{horse} day by day, in \u201c{circuit}\u201d"
WEEK_OF = "Week of {day}"
AWAY = "away"
ON_THE_GROUNDS = "{kinds}, on the grounds of {show}"
AT_BASE = "{kinds}, at {base}"
NO_JUMPING = "{kinds}; no jumping after {show}"
AWAY_BECAUSE = "{kinds}; away ({reason})"
DOWNLOAD = "Take {horse}'s calendar (.ics)"
DOWNLOAD_HINT = (
    "A file for any calendar program, from \u201c{circuit}\u201d. It holds the days as planned now."
)
DOWNLOAD_FAILED = "The calendar was not made: {reason}"

PLANNING = "Plan"
PLAN = "Plan again"
PLAN_FIRST = "Plan the season"
STOP = "Stop and keep what is found"
PLANNING_NOW = "Planning. You can go on reading; the page stays yours."
PLANNING_ELSEWHERE = (
    "Another page plans the season already. Its circuits will stand here as soon as they are found."
)
PLANNING_FIRST = "Planning the season. The circuits will stand here as soon as they are found."
STOPPING = "Stopping. What was found is written down."
PLANNED = "Planned: {count} circuits in {seconds} s, {proved}."
PLANNED_ONE = "Planned: one circuit in {seconds} s, {proved}."
ALL_PROVED = "all proved best"
SOME_PROVED = "{count} of them proved best"
NONE_PROVED = "none of them proved best"
OF_THEIR_KIND = " of their kind"
STOPPED = "Stopped. What was found stands above, beside what stood there before."
STOPPED_EARLY = "Stopped before anything was found."
PLANNED_NONE = "No circuit keeps every rule. The reasons stand below."
PLANNED_NONE_IN_TIME = (
    "Time ran out before a circuit was found. That there is none is not proved: plan again, or "
    "wish for less."
)
NOT_PLANNED = "Nothing is planned yet."
SAVED = "These circuits were read from {file}."
FOUND_ELSEWHERE = "Another page planned meanwhile; these are its circuits."
FILES_MOVED_ON = (
    "The yard\u2019s files, or the day, changed since this page was read. Plan again reads them."
)
FILES_CHANGED = (
    "The yard\u2019s files, the day or what is published changed, and all was read again; these "
    "circuits were planned before."
)
FILES_CHANGED_ALL = (
    "The yard\u2019s files changed and were read again; the circuits that stood here no longer fit "
    "them. Plan again."
)
FILES_CHANGED_MEANWHILE = (
    "The yard\u2019s files changed while this was planned, so it is no answer now. Plan again."
)
FILES_FAULTY = "The yard\u2019s files have faults now: correct them first."
LOOK_FIRST = (
    "What stands here changed meanwhile, on another page or in the yard\u2019s files. Look at it, "
    "then press again."
)
BREAKS = "{name} breaks rules of the yard."
BREAK = "{names} and {last} break rules of the yard."
AND_MORE = ", and {count} more of the kind"
TAKE_ANYWAY = "Press again to take the file all the same."
PRINT_ANYWAY = "Press again to print it all the same."
KEEP_ANYWAY = "Press \u201cKeep\u201d again to keep them all the same."
PRINT_BROKEN = "Breaks rules of the yard"
FOUND_BEFORE = (
    "These circuits were found on {when}; nothing in the yard\u2019s files has changed since."
)
PROGRESS_ALL = "{seconds} s of at most {limit} s"
PROGRESS_DONE = "How the search went"
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
    "Until it reads, nothing is planned, kept, published or taken along. Correct these rows in "
    "{folder}, save, and press the button below."
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

# The contents line

CHAPTERS = {
    "two": "Two circuits",
    "all": "All circuits",
    "differs": "What differs",
    "map": "Map",
    "road": "Road days",
    "horse": "One horse",
    "closing": "Closing dates",
    "papers": "Papers",
    "change": "Change the plan",
    "calendars": "Calendars",
    "files": "Files",
    "handbook": "Handbook",
}
CHAPTER_HINTS = {
    "all": "Every circuit that was found, by its worth and what it takes. Choose one to lay it "
    "above or under the line.",
    "road": "Who is on the road when, by the clock of the place where it is read.",
    "closing": "What has to be sent, by date. A mark stays with this page while it is open, also "
    "when it is loaded again.",
    "papers": "What the papers of horses and riders say about the shows on offer.",
    "change": "Say what the next plan is to keep, then plan again. Nothing is published by it.",
    "calendars": "The current circuit as calendars that people subscribe to.",
    "files": "Bring another yard to this page, or take the plan along.",
    "handbook": "How tripkit reads, plans and counts. The same is printed by \u201ctripkit "
    "handbook\u201d.",
}
HANDBOOK_LEAVES = "Chapters of the handbook"
READ_FROM = "Read from"
NO_CIRCUIT = "No circuit keeps every rule. The reasons, and what can be wished instead, stand under"
EMPTY_CHAPTER = "Nothing is planned yet. Plan the season, and this page fills."
EMPTY_PLANNING = "This page fills when the plan is found."

# All circuits

AXES = {"cost": "Cost", "road": "Road", "rest": "Rest"}
AXIS_CHOICE = "Worth against"
AXIS_TITLES = {
    "cost": "cost of the season, {unit}",
    "road": "road driven, {unit}",
    "rest": "{unit} to spare in the tightest gap",
}
AXIS_WORTH = "worth"
DAYS = "days"
ALL_CIRCUITS = "All circuits"
CIRCUIT_HEADS = ("Circuit", WORTH, COST, ROAD, TIGHTEST, NIGHTS, AIMS, "Lay it")
PUT = "{name}: {side}"
PICK_HINT = "Press a point to read it and to lay it above or under the line."
PICKED = "{name}: worth {worth} for {cost}; {road} driven; fewest spare days {spare}."
POINT = "{name}: worth {worth}, {cost}, {road}, fewest spare days {spare}; {beaten}"
TRADEOFF_LABEL = "All circuits by worth; Tab walks the points, Enter picks one."
UNBEATEN = "unbeaten: nothing here has more of one without less of the other"
UNBEATEN_SHORT = "unbeaten"
BEATEN = "beaten by another circuit in both"
BEATEN_SHORT = "beaten"

# Road days

RIDERS = "Riders"
DRIVERS = "Drivers"
HORSES = "Horses"
LORRIES = "Lorries"
PEOPLE = "People"
WHOSE = "Whose road days"
EVERYBODY = "the whole yard"
NO_ROAD = "{who} has no day on the road in this circuit."
ROAD_SUM = "{drives} on {days} days: {hours} hours on the road, {road}, {nights} on the way."
ONE_DRIVE = "One drive"
DRIVES = "{count} drives"
ONE_NIGHT = "one night"
NIGHTS_COUNT = "{count} nights"
RIDER_AWAY = "{who} is away on {days} days in all, from leaving home to coming back."
SEASON_OF = "{who}, week by week"
SEASON_HEADS = ("Day", "What and where", "Hours", "Then")
ROAD_DAYS_OF = "Road days of {who}"
ROAD_HEADS = ("Day", "From and to", "Leaves", "Arrives", "Driving", "Halts", "Lorry", "Aboard")
FROM_TO = "{start} \N{RIGHTWARDS ARROW} {end}"
EMPTY_LORRY = "empty"
STOP_AT = "{time} {kind}"
STOP_NEAR = ", near {near}"
STOP_UNTIL = "; on at {time}"
STOP_KINDS = {"water": "water", "break": "driver\u2019s break", "overnight": "night"}

# One horse

RIDER = "Rider"
ANY_RIDER = "any who fits"
OWNERS = "Owners"
OWNER_SHARE = "{owner} {share}"
HEIGHTS = "Heights"
HEIGHT_SPAN = "{low} to {high} cm"
VET = "Vet"
NO_VET_CHECK = "no check written"
CLEARED = "cleared on {day}"
NOT_CLEARED = "not cleared on {day}"
RECHECK = ", again by {day}"
AT_HOME = "{horse} goes nowhere in this circuit: {reason}."
SIDEWAYS = "Strip and load go on sideways: push them for the rest of the season."
STRIP_OF = "Strip of {horse}: {left} above, {right} below"
LOAD_HEAD = "Load week by week"
LOAD_TABLE = "The weeks in figures"
LOAD_HEADS = ("Week of", "Classes", "Schools", "Load", "Week to month")
LOAD_LABEL = "Load of each week, with its ratio to the month"
LOAD_WEEK = (
    "Week of {day}: load {load}; classes {classes}, schools {schools}; week to month {ratio}"
)
NO_RATIO = "not known yet"
STANDS_OUT = "{ratio}, outside the band"
LOAD_CAUTION = (
    "Load counts {weights}, weights of this project\u2019s choice. The figure over a bar is the "
    "week against the mean of four weeks (acute 1 week, chronic 4 weeks; Munsters and others "
    "2020, on the fast work of 58 eventing horses). Advice taken over from human sport calls "
    "{low} to {high} ordinary; the evidence in horses is weak, and no plan here follows it. "
    "A rider\u2019s eye and a vet decide."
)
OUTINGS_OF = "Outings"
OUTING_HEADS = ("Days", "Show", "Classes", "Rider", "Worth", "Cost")
ANSWERS = {"barred": "barred", "due": "due", "unknown": "not known", "ok": "in order"}
DUE_BY = "By {day}."
ASKED_BY = "Asked by {shows}"
ASKED_BY_EACH = "Asked by {show}; the like by each later one, on days of its own: {others}"
PAPERS_OF = "Papers, ages and heights: "
OF_HORSE = "{horse}: "
NO_FINDINGS = "all in order ({count} answers)"
ONE_IN_ORDER = "all in order (one answer)"
NOT_ASKED = "no show ahead has a class of its height, so none asks for a paper"
FINDINGS_OF = "{count} to look at, {ready} in order"

# Closing dates

NO_CLOSINGS = "No entry of this circuit is left to send, so there is no closing date to watch."
NO_ENTRIES = "This circuit enters no horse, so there is no closing date to watch."
CLOSINGS_SUM = "{done} of {count} shows done. Still to pay for the rest: {fees}."
CLOSINGS_DONE = "{done} of {count} shows done; nothing is left to send."
SENT_UNPAID = "Sent and not paid yet: {entries}. Together {money}, in no other sum here."
SENT_ENTRY = "{horse} at {show}, {name} ({money})"
CLOSED = "closed"
TODAY_LAST = "today is the last day"
DAY_LEFT = "1 day left"
DAYS_LEFT = "{days} days left"
FEES = "fees {fees}"
FEES_AND_LATE = "{fees} and late fees {late}"
LATE_EACH = " ({count} \N{MULTIPLICATION SIGN} {each})"
LATE_FREE = "late already, without a late fee"
LATE_UNTIL = "late until {day}, {fee} a horse"

# Change the plan

NO_WISHES = "No wishes: the next plan follows the yard folder alone."
WISHES_ELSEWHERE = "The wishes were changed on another page, too; these are in force now."
WISHES_OPEN = "The circuits on this page do not know these wishes yet. Plan again to see them kept."
REMOVE = "Take back"
REMOVE_WISH = "Take back: {wish}"
FORM_OUTING = "A horse and a show"
FORM_AWAY = "Not to be had"
FORM_NUMBERS = "Money and how often"
FORM_TOUR = "One tour"
HOLD = "Hold"
FORBID = "Forbid"
WHO = "Horse, person or lorry"
FIRST_DAY = "From"
LAST_DAY = "Until"
TAKE_OUT = "Take out"
BUDGET = "Budget, {currency}"
OFTEN = "Outings in 30 days"
SET = "Set"
TOUR = "Tour"
EVERY_TOUR = "every tour"
WISH_WRONG = "This cannot be wished: {reason}"
MOVED = "What moved"
MOVED_IN = "For {goal}: {count} horses"
MOVED_HEADS = ("Horse", "No longer", "New", "Same show, changed")
NOTHING_MOVED = "For {goal} nothing moved."
UNDO = "Undo the last planning"
UNDONE = "The circuits before the last planning are back; its wishes still stand in the list."
UNKEPT = "Wishes that were not kept"
NONE_WITH_WISHES = (
    "No circuit keeps every rule with these wishes. What stood here before still stands."
)
NONE_IN_TIME_WITH_WISHES = (
    "Time ran out before a circuit with these wishes was found. What stood here still stands."
)
SAVE = "Keep these circuits in the yard folder"
SAVED_NOW = "Kept in {file}: the next visit starts from them."
SAVE_FAILED = "The circuits could not be kept: {reason}"

# Files

FILES_IN = "Bring files"
FILES_IN_HINT = (
    "They go into a copy of the yard folder at hand: a workbook (.xlsx) in place of all its "
    "tables, a table (.csv), calendar (.ics) or the settings (.toml) in place of the one of that "
    "name. They are taken only when everything reads; your own folder is not touched."
)
FILES_CHOOSE = "Choose files"
FOLDER = "Another yard folder on this machine"
OPEN_FOLDER = "Open"
FOLDER_AT_HAND = "At hand: {folder}"
COPY_AT_HAND = (
    "A copy of the yard with the files you chose, for this visit only: nothing is published from "
    "it or kept. Load the page again to go back to the yard folder."
)
ODD_ONE = "one thing in the files looks odd"
ODD_MANY = "{count} things in the files look odd"
ODD_HEAD = "Is this meant? {odd}"
ODD_HINT = "What would change the plan most stands first. Nothing here stops a plan."
ODD_MORE = "{count} more"
REMARKS_ON_FILES = "Remarks on the files"
FOLDER_WANTED = "Type where the yard folder is, such as /home/yard or C:\\yard, then press Open"
FOLDER_MISSING = "{folder!r} is not there"
TAKEN = "Taken: {names}. The page shows a copy of the yard with them; plan again."
FOLDER_ELSEWHERE = "This page is served to other machines and opens no folder here; bring files"
TOO_LARGE = "{names}: {size} MB are more than the {most} MB that this page takes at once."
TOO_LARGE_DO = (
    "Put the files into the folder {folder} and read it again, or name their folder below."
)
TOO_LARGE_DO_ELSEWHERE = (
    "Bring fewer files at a time, or have them put into the folder {folder} on the server."
)
MERGE_CHOOSE = "An organiser\u2019s calendar (.ics)"
MERGE_HINT = (
    "It joins the shows of {folder}. What it changes stands here first; only taking it writes to "
    "that folder."
)
MERGE_HEAD = "What {name} changes in {file}"
MERGE_HEAD_OWN = "What {name} changes in the yard\u2019s shows"
MERGE_SHOW = "{name}, {days}{place}"
MERGE_MOVED = "{now}; was {before}"
MERGE_NEW = "New"
MERGE_JOINED = "In the yard\u2019s shows already"
MERGE_CHANGED = "Changed"
MERGE_CANCELLED = "Cancelled"
MERGE_MOVES = "Moves with it"
MERGE_MOVE = "{what}: {now}, was {before}"
MERGE_KEPT = "Stays"
MERGE_REFUSED = "Cannot be taken, because the folder would not read any more"
MERGE_MISSING = "No longer in the file, kept"
MERGE_OLDER = "Newer in the folder, left as they are"
MERGE_UNREADABLE = "Cannot be read, left out"
MERGE_AGAINST = "Stands against it"
MERGE_REMARKS = "Remarks"
MERGE_SAME = "Unchanged: {count}"
MERGE_DROP = "Shows that are no longer in the file are cancelled, too"
MERGE_TAKE = "Take it into the folder"
MERGE_LEAVE = "Leave it"
MERGE_TAKEN = "{name} is in {folder} now. Plan again to see what it changes."
FILES_WRONG = "Not taken, because of this:"
FILES_OUT = "Take along"
TAKE_CALENDAR = "Calendar of the whole yard (.ics)"
TAKE_WORKBOOK = "Tables of this circuit (.xlsx)"
TAKE_CIRCUITS = "All circuits (.json)"
TAKE_ENTRIES = "Entry sheets, a sheet a show (.xlsx)"
TAKE_TRAVEL = "Travel sheets, a page a drive (.html)"
TAKE_MAP = "Map of the roads (.svg)"
TAKE_FAILED = "The file was not made: {reason}"
PRINT = "Print the card"
PRINT_HINT = (
    "A page for each of the two circuits, then one for each horse, on A4 or Letter as the printer "
    "has it."
)
PRINT_HEAD = "{yard}, {season}; planned as of {today}"
PRINT_CIRCUIT = "a circuit"
PRINT_HORSE = "one horse, in \u201c{circuit}\u201d"
PRINT_HEADS = ("Class days", "Show", "Entries close", "Horses")
PRINT_OUTING = "{horse} ({classes}; {rider})"
SHEET_BROKEN = "rules broken"
SHEET_OUTINGS = "outings"
SHEET_LEGS = "legs"
SHEET_DAYS = "days"
SHEET_COSTS = "costs"
SHEET_OWNERS = "owners"
YARD_GONE = "The yard folder {folder} is gone. What stands on this page is unharmed."
YARD_GONE_DO = (
    "Put the folder back, or open another under Files. Take the circuits along (.json) before "
    "this page is closed."
)
YARD_GONE_EMPTY = "The yard folder {folder} is gone, and this page holds no circuits."
YARD_GONE_EMPTY_DO = "Put the folder back and load this page again, or open another under Files."
EVERY_SHOW = "Show by show"
PAPERS_LABEL = "papers of each horse at each show"
PAPERS_CAPTION = "What each show asks of each horse, as of {today}"
PAPERS_SHOW = "show"
PAPERS_MEANINGS = {
    "ok": "nothing keeps the horse away",
    "due": "something has to be done before, by the day named",
    "barred": "it cannot be put right any more, or no class fits",
    "unknown": "no row in papers.csv; it bars nothing here",
}
PAPERS_HOLD = "all papers hold"
NO_CLASS = "no class of its height"
NO_SHOW_LEFT = "No show is left: the last one is past."
RIDERS_PAPERS = "Riders"
TREATMENTS = "Treatments, beside what is published"
SOURCES = "Sources"
ADD_WISH = "Add a wish"
STAGE_DONE = "{told}; done"

# The slip

SLIP = "Answer"
CLOSE = "Put away"
WHY = "Why not?"
WHY_LABEL = "Ask about a show it does not go to"
WHY_NOT = "Why not to"
GOES_EVERYWHERE = "{horse} goes to every show on offer."
HOLD_HERE = "Hold it in the next plan"
FORBID_HERE = "Forbid it in the next plan"
NO_ANSWER = "There is no answer to this: {reason}"
ASK_FIGURE = "What it is made of"

# Calendars

NOT_PUBLISHED = "Nothing is published yet: nobody\u2019s calendar shows this season."
PUBLISHED = "Published is \u201c{name}\u201d, {when} (number {number})."
IS_CURRENT = "\u201c{name}\u201d as it stands here is what every calendar shows."
PUBLISH = "Publish \u201c{name}\u201d"
PUBLISH_ASK = "Publish \u201c{name}\u201d? Everybody\u2019s calendar changes."
PUBLISH_NOW = "Publish now"
PUBLISH_ANYWAY = "Publish \u201c{name}\u201d all the same"
LEAVE_IT = "Leave it"
RENEW_ASK = (
    "Make the address of {name} anew? Whoever subscribes to the old one gets nothing more until "
    "they take the new one."
)
RENEW_REVOKED_ASK = "Make a new address for {name}? Whoever is given it reads this calendar."
RENEW_NOW = "Make anew now"
REVOKE_ASK = "Revoke the address of {name}? Whoever subscribes to it gets nothing more."
REVOKE_NOW = "Revoke now"
BOARD_COMING = "The calendars are being looked up."
PUBLISH_HINT = (
    "Every calendar shows it from then on; what moved is moved there, what fell away is shown as "
    "cancelled."
)
LAST_CHANGES = "What the last publishing changed, ready to be sent"
ADDRESSES = "Addresses"
ADDRESSES_HINT = (
    "Who has an address reads that calendar without a password. An address that went astray is "
    "made anew: the old one then answers nobody."
)
ONLY_HERE_SHORT = "Only this machine reaches it."
ONLY_HERE = (
    "Only the machine that serves this page reaches these addresses; a phone that reads such a QR "
    "code finds nothing. Start the server with {listen} for the network at home, or with {public} "
    "behind a web address of your own; then take addresses and codes from here anew."
)
SERVE_LISTEN = "tripkit serve {folder} --ip 0.0.0.0"
SERVE_PUBLIC = "tripkit serve {folder} --public URL"
SUBSCRIBE = "Subscribe (webcal)"
COPY = "Copy address"
COPIED = "The address of {name} is copied."
COPY_REFUSED = (
    "The browser does not let this page copy. The address is marked: copy it with Ctrl+C, or by a "
    "long press."
)
REVOKED = "This address answers nobody."
RENEW = "Make anew"
REVOKE = "Revoke"
HUSH = "No reminders"
RING = "With reminders"
QR = "QR code for a phone"
QR_OF = "QR code of the calendar of {name}"
READER_KINDS = {
    "horse": "horse",
    "owner": "owner",
    "rider": "rider",
    "groom": "groom",
    "driver": "driver",
    "vet": "vet",
    "yard": "the whole yard",
}
BOARD_FAILED = "That did not work: {reason}"
BOARD_GONE = (
    "The yard folder is gone, and what is published with it. Put the folder back and load this "
    "page again."
)
NO_ADDRESS = "{horse} has a calendar address as soon as a circuit is published."
