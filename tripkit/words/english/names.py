"""Names that nobody bears."""

SENTENCES = {
    "names.unknown": "{name:quoted} is no {kind} ({there}){near}",
    "names.there": "there are {names}",
    "names.none-there": "there are none",
    "names.near": "; did you mean {names:quoted or}?",
}
