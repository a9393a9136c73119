"""What is wrong with the store."""

SENTENCES = {
    "store.cannot-be-used": "{path}: cannot be used ({value:plain})",
    "store.no-file": "{path}: is no file; {mending:plain}",
    "store.no-store-of-tripkit": "{path}: is no store of tripkit; {mending:plain}",
    "store.somebody-else-changed-addresses-meanwhile": (
        "{path}: somebody else changed the addresses meanwhile; nothing was changed: try again"
    ),
    "store.somebody-else-published-meanwhile-nothing": (
        "{path}: somebody else published {circuit:quoted} meanwhile ({when}); nothing was "
        "changed: look at what changed, then publish again"
    ),
    "store.time-has-no-time-zone": "time {moment} has no time zone",
    "store.value": "{path}: {said}",
    "store.was-written-by-newer-tripkit": (
        "{path}: was written by a newer tripkit (store version {version:plain}, this one knows "
        "{version_2:plain}); use that tripkit"
    ),
}
