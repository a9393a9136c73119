"""What follows from a circuit: each horse's every day, the cost to the cent, and how two differ.

`diary` the days, `bases` who sleeps at a base, `costs` the money and how owners share it,
`scorecard` worth and figures,
`workload` a horse's weeks, `seasons` those of lorries and people, `vetlist` the vet's visits,
`comparison` right less left, `wishes` what the next plan is to keep, `lived` what of the published
circuit has begun.

Never imports drives to the minute (driving), the judge or the planner.
"""
