"""Why: an outing, a day, a figure, each asked for its reasons.

`outing` why a horse goes to a show or not, put there on `trial` and judged; `days` why a day is
what it is; `figures` where a number comes from; `runs` how a horse gets there beside everything
else.

Never imports planning: it asks the judge.
"""
