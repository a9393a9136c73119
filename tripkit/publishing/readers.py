"""Who reads a feed: one horse, one person in one role, or the whole yard."""

from __future__ import annotations

from dataclasses import dataclass

from tripkit.words.telling import Teller, choose_calendar_teller
from tripkit.yard.errors import BadValue
from tripkit.yard.facts import state
from tripkit.yard.yard import Yard

READER_KINDS = ("horse", "owner", "rider", "groom", "driver", "vet", "yard")


@dataclass(frozen=True, order=True)
class Reader:
    """One reader of feeds: what kind, and the name as the yard writes it.

    The reader of kind `yard` bears the yard's name. Raises `BadValue` for an unknown kind.
    """

    kind: str
    name: str

    def __post_init__(self) -> None:
        if self.kind not in READER_KINDS:
            raise BadValue(
                state(
                    "values.reader-kind-is-none-of",
                    kind=self.kind,
                    reader_kinds=tuple(READER_KINDS),
                )
            )


def list_readers(yard: Yard) -> tuple[Reader, ...]:
    """Every horse, owner, rider, groom, driver and vet of a yard has a feed, and the yard has one.

    In the order of the kinds, within a kind in file order. Drivers are the people of that role
    and everybody who is named as the driver of a vehicle; owners are those with a share.
    """
    names: dict[str, list[str]] = {
        "horse": [horse.horse for horse in yard.horses],
        "owner": list(yard.owners),
        "driver": [name for vehicle in yard.vehicles for name in vehicle.driver_names],
        "yard": [yard.name],
    }
    for person in yard.people:
        if person.role in READER_KINDS:
            names.setdefault(person.role, []).append(person.person)
    return tuple(
        Reader(kind, name) for kind in READER_KINDS for name in dict.fromkeys(names.get(kind, ()))
    )


def choose_reader_teller(yard: Yard, reader: Reader) -> Teller:
    """Who tells a reader what he reads: in his own language, what is of no person in the yard's."""
    is_person = reader.kind not in ("horse", "yard")
    language = yard.find_language(reader.name, reader.kind) if is_person else yard.language
    return choose_calendar_teller(yard, language)


def check_reader(yard: Yard, reader: Reader) -> None:
    """A feed is for somebody the yard knows; raises `BadValue` for anybody else."""
    if reader not in list_readers(yard):
        raise BadValue(
            state("values.no-of", reader_name=reader.name, kind=reader.kind, yard_name=yard.name)
        )
