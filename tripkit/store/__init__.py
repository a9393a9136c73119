"""What a yard keeps between runs, in one SQLite file in its folder: `tripkit.sqlite`.

Dashboard, commands and server are different processes and meet here only. The store knows
nothing of calendars or roads: it keeps texts and bytes, and who may see them. The only room
that lets in sqlite3.
Never imports anything but errors.
"""

from tripkit.store.database import STORE_FILES, find_store_file
from tripkit.store.keeping import LAST_RENAMING, Store, open_store
from tripkit.store.records import Address, Answer, Current, KeptEvent, KeptFeed, Shelf, Who
from tripkit.store.turns import Turn, take_turn

__all__ = [
    "LAST_RENAMING",
    "STORE_FILES",
    "Address",
    "Answer",
    "Current",
    "KeptEvent",
    "KeptFeed",
    "Shelf",
    "Store",
    "Turn",
    "Who",
    "find_store_file",
    "open_store",
    "take_turn",
]
