"""What a circuit was planned for."""

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

SENTENCES = {f"goals.{goal}": said for goal, said in GOALS.items()}
