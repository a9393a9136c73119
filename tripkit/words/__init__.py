"""Records into sentences: the only folder that makes them.

`english` has every sentence by the code of its fact, `catalogues` those of the other languages,
`telling` makes a fact a sentence, `formats` numbers and dates of each language; `days` tells days
and times, `journeys` drives, `comparisons` what two circuits differ in, `faults` what is wrong.
Never imports a file, a widget or the planner.
"""
