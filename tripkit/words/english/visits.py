"""What the vet does at a horse."""

SENTENCES = {
    "visits.look-after": "look after {show}",
    "visits.look-again": "check again, as asked on {asked} by {by}",
    "visits.blood-test": "blood test for {paper}",
    "visits.dose": "{paper} dose",
}
