"""Words of files for kinds, standings and roles: English has them as they are written there."""

from tripkit.yard.terms import TERMS

SENTENCES = {fact.code: term for term, fact in TERMS.items()}
