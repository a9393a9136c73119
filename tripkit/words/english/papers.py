"""What each kind of paper is called."""

SENTENCES = {
    "papers.influenza": "influenza",
    "papers.herpes": "herpes",
    "papers.coggins": "coggins",
    "papers.passport": "passport",
    "papers.registration": "registration",
    "papers.health_certificate": "health certificate",
    "papers.licence": "licence",
    "papers.membership": "membership",
    "papers.insurance": "insurance",
    "papers.temperature_log": "temperature log",
    "papers.arteritis": "arteritis",
    "papers.residency": "residency",
}
