"""What the command line prints: heads, counts, what is to be done, what it has done."""

SENTENCES = {
    "commands.head": "{yard}, {season}, as of {today}",
    "commands.by": "by {day}",
    "commands.barred": "barred",
    "commands.all": "all",
    "commands.none": "none",
    # what of the files is probably not meant
    "commands.odd": "Is this meant? What would change the plan most stands first",
    "commands.odd-more": "and {count:plain} more: see tripkit check",
    "commands.remarks": "{count:plain} {count:remark|remarks} on the files: see tripkit check",
    # check
    "commands.counts": (
        "{horses:number} {horses:horse|horses}, {shows:number} {shows:show|shows}, "
        "{classes:number} {classes:class|classes}."
    ),
    "commands.season-is-over": "The season is over: every show is past.",
    "commands.to-do": "To do, first things first",
    "commands.nothing-to-do": "Nothing is to be done.",
    "commands.nobody-knows": "Not written down, so nobody knows; it bars nothing here",
    "commands.treatments": "Treatments, beside what is published; no figure is a clearance",
    "commands.by-horse": "Horse by horse, who has something to be done first",
    "commands.by-show": "Show by show, the next {ahead_days}",
    "commands.everything": "Every finding",
    "commands.remarks-on-files": "Remarks on the files",
    "commands.task": "{about:*, }: {papers}{reason}{later} {mark}",
    "commands.of-papers": "{papers:and}: ",
    "commands.and-others": "{name} and {count:plain} more",
    "commands.and-shows": "{show} and {count:number} more {count:show|shows}",
    "commands.shows": "{count:number} {count:show|shows}",
    "commands.one-later": " The like for one later show, on days of its own.",
    "commands.each-later": (" The like for each of {count:plain} later shows, on days of its own."),
    "commands.fits": "{fits:plain} of {count:number} {count:show|shows} with a class that fits",
    "commands.no-show-left": "no show is left with a class of its height",
    "commands.nobody-fits": "no horse has a class that fits",
    "commands.paper-by": "{paper} by {day}",
    "commands.paper-too-late": "{paper}: too late",
    "commands.not-cleared": "not cleared by the vet: {horses}",
    # the vet's visits
    "commands.visits": "The vet's visits of {circuit}",
    "commands.no-visit": "none is needed",
    "commands.vet-task": "{tasks:and}{show} (open: {windows}) {mark}",
    "commands.for-show": " for {show}",
    "commands.no-day-left": "No legal day is left for these",
    "commands.certificates": "Health certificates of {circuit}, one for each journey",
    "commands.certificate-outward": "{horses:and}, the way to {show}: {said:* }",
    "commands.certificate-homeward": "{horses:and}, the way home from {show}: {said:* }",
    "commands.given-on-visit": "have it given from {window}, say on the visit of {day}.",
    "commands.given-alone": "have it given from {window}; no visit falls in these days.",
    # plan
    "commands.clashes": "Entries that cannot all be kept; a plan drops what loses least",
    "commands.missing": "Outings that are wanted and missing",
    "commands.left-out": "Best of its kind: the proof leaves out",
    "commands.dropped-unproved": "It is not proved that no less could be lost.",
    "commands.entries-dropped": "Entries sent or paid that cannot be kept",
    "commands.aims": "Aims and the circuits that meet them",
    "commands.left-as-it-was": "{out} has circuits and was left as it was",
    "commands.wish-not-kept": "Wish not kept: {wish}",
    "commands.wishes-in-force": (
        "Wishes in force (--without-wishes leaves them out): {wishes:*; }"
    ),
    # judge
    "commands.violations": (
        "{count:number} {count:violation|violations} in {circuits:number} "
        "{circuits:circuit|circuits}{without}"
    ),
    "commands.without-plan": "; {count:plain} without a plan",
    "commands.violations-of": "{circuit}: {count:number} {count:violation|violations}",
    "commands.remarks-of": (
        "{circuit}: {count:number} {count:remark|remarks} on what was lived, which stops nothing"
    ),
    "commands.nothing-written": "Nothing is written; --anyway does it all the same.",
    # compare, why
    "commands.each-horse": "Each horse: {left} > {right}",
    "commands.to-be-sent": "Entries still to be sent",
    "commands.no-closing": "no closing date",
    "commands.no-circuit": "The file holds no circuit.",
    "commands.in-full": "{circuit}, in full",
    # publish, addresses
    "commands.published": "{circuit} is published, number {revision:plain}",
    "commands.new-calendars": "New calendars, with the number of dates",
    "commands.new-calendar": "{kind} {name}: {count:plain}",
    "commands.new-calendar-yard": "the whole yard: {count:plain}",
    "commands.retold": (
        "{count:plain} {count:calendar is|calendars are} told anew: other words, the same dates."
    ),
    "commands.outdated": (
        "{count:plain} {count:calendar is|calendars are} as published, and the folder has changed "
        "since: tripkit publish tells what holds now."
    ),
    "commands.nothing-changed": "Nothing changed for anybody.",
    "commands.not-published": "Nothing is published yet: tripkit publish makes the addresses.",
    "commands.alarms-off": " (alarms off)",
    "commands.revoked": "revoked",
    "commands.give-each-its-own": (
        "Whoever has an address sees that calendar: give each to its reader only."
    ),
    "commands.only-here": (
        "Only this machine reaches these addresses; a phone that reads a code does not."
    ),
    "commands.serve-at-home": (
        "tripkit serve {yard} --ip 0.0.0.0 makes them reachable in the network at home,"
    ),
    "commands.serve-public": (
        "tripkit serve {yard} --public URL behind a web address of your own."
    ),
    "commands.ask-anew": "Then ask for the addresses anew.",
    # import, rename
    "commands.taken": "Taken into {paths:* and }.",
    "commands.not-taken-yet": "Nothing is written yet; with --take it goes into {files:* and }.",
    "commands.renamed-before": ("The {kind} {old} is {new} already: an earlier run has done it."),
    "commands.renamed": "The {kind} {old} is {new} now.",
    "commands.cells": "{file}: {count:plain} {count:cell|cells}",
    "commands.calendars-keep": (
        "The {count:calendar|calendars} of {new} ({calendars}) {count:keeps|keep} address and "
        "events; the next publishing writes the new name into them."
    ),
    "commands.outside-circuits": (
        "Circuits kept outside of the folder still have the old name: plan them again."
    ),
    # what cannot be done
    "commands.password": "Password of the dashboard: ",
    "commands.closed": "is closed, so the answer cannot be printed",
    "commands.fault": "this is a fault of tripkit, not of your files",
    "commands.no-date": "{text:quoted} is not a date (YYYY-MM-DD){hint}",
    "commands.no-whole-number": "{text:quoted} is not a whole number above zero",
    "commands.no-seconds": "{text:quoted} is not a number of seconds above zero",
    "commands.no-port": "{text:quoted} is not a port (1 to 65535)",
}
