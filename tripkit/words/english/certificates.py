"""Which health certificate is held, and what covers the way home."""

SENTENCES = {
    "certificates.held": "That of {given} holds to {end}, needed on {needed}.",
    "certificates.covers-home": "It covers the way home on {home} as well.",
    "certificates.covers-home-from": "One from {first} on covers the way home on {home} as well.",
    "certificates.own-home": "The way home on {home} needs one of its own.",
}
