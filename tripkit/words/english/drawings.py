"""What the strips of days and the map of the drives say beside what they draw."""

SENTENCES = {
    # the strips
    "drawings.strips": "Season strips: {left} above the line, {right} below it",
    "drawings.today": "Today, {day:weekday}",
    "drawings.closing": "{day:weekday}: entries close for {shows}",
    "drawings.away": "{horse} away, {days:weekday}{why}",
    "drawings.because": ": {reason}",
    "drawings.no-jumping": (
        "{horse}: {count:plain} days without jumping after {show}, {window:weekday}"
    ),
    "drawings.outing": "{horse} at {show}, {days:weekday}",
    "drawings.base": "{horse} at {base}, nights of {nights:weekday}",
    "drawings.aim": "Aim, {day:weekday}: {aim}; {met}",
    "drawings.met-by-both": "met by both",
    "drawings.met-by": "met by {circuit} only",
    "drawings.not-met": "not met",
    # the map
    "drawings.night-near": "Night near {town}",
    "drawings.night": "Night on the road",
    "drawings.key-often": "thicker: driven more often",
    "drawings.key-halves": "show of the one, the other, both",
    "drawings.key-night": "night on the road",
    "drawings.key-base": "base",
    "drawings.key-guess": "way not known",
}
