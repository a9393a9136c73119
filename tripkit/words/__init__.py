"""Records into sentences: the only folder that makes them.

`english` has every sentence by the code of its fact, `catalogues` those of the other languages,
`telling` makes a fact a sentence, `formats` numbers and dates of each language; `days` tells the
days of a circuit, `journeys` drives, `comparisons` what two circuits differ in, `faults` what is
wrong, `figures` the numbers of a circuit; `page` has the labels of the page.
Never imports a file, a widget or the planner.
"""
