"""The yard and what it is made of: horses, shows, people, vehicles, papers, numbers, and circuits.

Records, validated once, and arithmetic of days, money and rest. `yard` holds all of it,
cross-checked; `circuit` is what a plan is written in; `errors` is every error as a tree. `rules`
and `goals` are the tables of both, `limits` the numbers that a yard may change, `recovery` what
they mean in days; `shows` says until when an entry is taken and when it is late, `facts` what is
told.

Never imports another folder of tripkit: everything stands on it.
"""
