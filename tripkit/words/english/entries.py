"""What an entry sheet says of a show: what is still to be sent, and by when."""

SENTENCES = {
    "entries.of": "{yard}, entries of {circuit}",
    "entries.overview": "{yard}: entries of {circuit}, as of {today}",
    "entries.owners": "What each owner pays of the fees{currency}",
    "entries.in-currency": ", {currency}",
    "entries.show": "{show}, {days}; {closes}{late}; {stalls:plain} {stalls:stall|stalls}",
    "entries.close": "entries close {day}",
    "entries.no-closing": "no closing date",
    "entries.late-until": ", late until {day}",
    "entries.to-do": "To do: {due}",
    "entries.all-sent": "nothing, all is sent",
    "entries.send": "send {count:plain} {count:class|classes}; no closing date is written",
    "entries.send-by": "send {count:plain} {count:class|classes} by {day}",
    "entries.send-late-by": "send {count:plain} {count:class|classes} late by {day}",
    "entries.closed": "{count:plain} {count:class|classes} not sent, and entries are closed",
}
