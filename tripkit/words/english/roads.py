"""Where the length of a road comes from."""

SENTENCES = {
    "roads.same-place": "the same place",
    "roads.measured": "measured by the yard",
    "roads.hours-measured": "{source}; hours measured by the yard",
    "roads.network": "road network",
    "roads.network-ferry": "road network, with ferry",
    "roads.estimate": "estimate: straight line x {factor:4}",
    "roads.server": "the {kind} server at {address}, {day:iso}",
}
