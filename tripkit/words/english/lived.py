"""What of the season so far is lost because the yard no longer knows it."""

SENTENCES = {
    "lived.forgotten": (
        "{vehicle} is no vehicle any more: its {count} drives up to {today} and the outings they "
        "led to count for nothing; keep its row in vehicles.csv and write down an absence"
    ),
}
