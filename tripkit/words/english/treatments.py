"""What is published of a treatment."""

SENTENCES = {
    "treatments.given": "{substance}{route}{dose}, given {day}",
    "treatments.dose": ", {dose}",
    "treatments.route": ", {route}",
    "treatments.any-route": ", route not named",
    "treatments.ask-your-vet": "Not a withdrawal time: ask your vet.",
    "treatments.unknown": "no published figure is held for it.",
    "treatments.near": "no published figure is held for it; did you mean {near:or}?",
    "treatments.other-route": "a detection time is published for {routes:and} only.",
    "treatments.no-time": "no published detection time is held for it.",
    "treatments.recommended": (
        "another figure, a recommendation of the German federation: {value} days. Ask your vet."
    ),
    "treatments.time": "published detection time {value} hours ({dose}{route}).",
}
