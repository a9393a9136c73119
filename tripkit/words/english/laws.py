"""The laws that bind drivers and horses on the road, as they are cited."""

SENTENCES = {
    "laws.us-hours": "49 CFR {section}, edition of {edition:long}",
    "laws.us-horses": "49 USC 80502(a)-(b)",
    "laws.eu-hours": "Regulation (EC) No 561/2006 Art. {articles}",
    "laws.eu-horses": "Regulation (EC) No 1/2005 Annex I Ch. V {points}",
    "laws.gb-hours": "Transport Act 1968; gov.uk, Great Britain domestic rules, section 2",
    "laws.gb-guidance": "Transport Act 1968; gov.uk guidance section 2",
    "laws.plain-sense": "plain sense, no source",
    "laws.none": "no driving rules chosen",
}
