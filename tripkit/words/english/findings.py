"""How findings are put together, and what they are about that are about no paper."""

SENTENCES = {
    "findings.reason": "{said:* }",
    "findings.reason-of": "{of}: {said:* }",
    "findings.caution": "The current rule book and a vet decide.",
    "findings.cautions": (
        "Cautions: tripkit reads the figures it holds. Whether a horse is fit is for a vet to "
        "decide; the current rule book of the show and the local law rule; published detection "
        "times of medicines are no clearances."
    ),
    "findings.rule": "{words:rule}",
    "findings.quote": "{words:rule} ({source})",
    "findings.ask": "{quote}: ask before you go.",
    "findings.no-row": "unknown, because no row in papers.csv.",
    "findings.borderline": "BORDERLINE: counted backward from {day} it is too old.",
    "findings.cleared": "cleared",
    "findings.eligible": "eligible",
    "findings.treatment": "treatment",
    "findings.starts": "starts",
    "findings.entry": "entry",
    "findings.double_entry": "double entry",
    "findings.young_horse": "young horse",
    "findings.unsanctioned": "unsanctioned",
}
