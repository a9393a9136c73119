"""Who may jump what, when: classes, ages and levels, papers, doses, clearance, aims.

`checklist` gives all findings of a yard, `paperwork` the papers of one horse at one show, `visits`
the fewest visits of the vet, `classes` what a horse and its rider fit, `qualifying` what an aim
still needs; `vaccination` the doses, `documents` and `validity` other papers, `categories` ages and
levels. Figures come in from the yard's rule books; arithmetic of one paper each stands in its
own room.

Never imports circuits made of outings (season), drives, the planner or a file.
"""
