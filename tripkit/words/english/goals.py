"""What a circuit was planned for, and how far the search for it has come."""

GOALS = {
    "good value": "good value",
    "most worth": "the most worth",
    "tour": "the {name} tour",
    "least road": "the least road",
    "least cost": "the least cost",
    "most rest": "the most rest",
    "least change": "the least change",
    "alternative": "an alternative",
}
"""Each goal in words, by its id."""

UNITS = {
    "worth": "{found_worth:4} of worth",
    "km": "{found_km:tenths}",
    "cents": "{found_cents}",
    "spare_days": "{found_spare_days:number} spare days in the tightest gap",
    "changes": "{found_changes:4} {found_changes:change|changes}",
    "horse_road_hours": "{found_horse_road_hours:4} hours of horses on the road",
}
"""What is found or possible, by the unit that it is counted in."""

SENTENCES = {
    **{f"goals.{goal}": said for goal, said in GOALS.items()},
    **{f"goals.in-{unit}": said for unit, said in UNITS.items()},
    "goals.searching": "searching",
    "goals.found": "{found} found",
    "goals.at-most": "at most {bound} possible",
    "goals.at-least": "at least {bound} needed",
    "goals.as-good-as-can-be": "{found} found, as good as can be",
}
