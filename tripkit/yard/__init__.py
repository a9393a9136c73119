"""The yard and what it is made of: horses, shows, people, vehicles, papers, numbers, and circuits.

Records, validated once, and arithmetic of days, money and rest. `yard` holds all of it,
cross-checked; `circuit` is what a plan is written in; `errors` is every error as a tree.

Never imports another folder of tripkit: everything stands on it.
"""
