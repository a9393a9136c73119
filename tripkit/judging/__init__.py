"""The rules a second time: every rule that a circuit breaks, by id, without asking the planner.

`judge` has the rules and the doors `find_violations` and `admit`; `case` puts a circuit in order;
the rules stand by family in `bases`, `books`, `days`, `driving`, `figures`, `horses`, `past`,
`travel`;
`grounds` and `beside` say when an entry is dropped with reason; `logbook` holds a driver's log to
the law.

Never imports planning, nor anything that planning made: a rule lost there must not be lost here.
"""
