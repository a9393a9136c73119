"""What is wrong with a rule book."""

SENTENCES = {
    "rulebooks.effective-to-lies-before-effective": (
        "effective_to {last} lies before effective_from {first}"
    ),
    "rulebooks.id-is-not-name-of": "id {book_id:quoted} is not the name of the file",
    "rulebooks.in-file": "{file}: {what}",
    "rulebooks.in-rule": "{file}, rule {rule}: {what}",
    "rulebooks.is-missing": "{key} is missing",
    "rulebooks.key-is-unknown-known-are": "key {key:quoted} is unknown; known are {known}",
    "rulebooks.no-rule-book-there-are": (
        "{book_id:quoted} is no rule book; there are {known_rule_books}"
    ),
    "rulebooks.not-date-yyyymmdd": "{key} {value:quoted} is not a date (YYYY-MM-DD)",
    "rulebooks.not-text": "{key} {table:quoted} is not text",
    "rulebooks.not-toml": "is not TOML: {error}",
    "rulebooks.rules-are-written-as-rule": "rules are written as [[rule]]",
    "rulebooks.two-editions": "two editions hold on {day}",
    "rulebooks.unit-is-none-of": "unit {unit:quoted} is none of {units}",
    "rulebooks.value-is-not-in": "value {value} is not in {unit}",
}
