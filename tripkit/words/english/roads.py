"""Where the length of a road comes from."""

SENTENCES = {
    "roads.same-place": "the same place",
    "roads.measured": "measured by the yard",
    "roads.hours-measured": "{source}; hours measured by the yard",
    "roads.network": "road network",
    "roads.network-ferry": "road network, with ferry",
    "roads.estimate": "estimate: straight line x {factor:4}",
    "roads.server": "the {kind} server at {address}, {day:iso}",
    "roads.detour-factor-is-below-1": (
        "detour factor {detour_factor:plain} is below 1, shorter than the straight line"
    ),
    "roads.no-number": "no number",
    "roads.no-town-of-or-more": "no town of {min_population:plain} or more is in the gazetteer",
    "roads.reply-is-too-long": "the reply is too long",
}
