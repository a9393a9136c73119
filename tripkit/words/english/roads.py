"""Where the length of a road comes from, and where a place without a name lies."""

SENTENCES = {
    "roads.same-place": "the same place",
    "roads.measured": "measured by the yard",
    "roads.hours-measured": "{source}; hours measured by the yard",
    "roads.network": "road network",
    "roads.network-ferry": "road network, with ferry",
    "roads.estimate": "estimate: straight line x {factor:4}",
    "roads.server": "the {kind} server at {address}, {day:iso}",
    "roads.near-town": "near {town}",
}
