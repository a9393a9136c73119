"""Writes small yard folders: a good one as it stands, each keyword replaces or drops one file.

The good yard stands in Ocala, FL, with one show in Tallahassee and one at a point of the
equator's map; both names are unique in their state. All names are invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from tripkit.files import read_yard
from tripkit.yard.errors import BadYard

GOOD: Mapping[str, str] = {
    "yard.toml": """
[yard]
name = "Mill Lane"
place = "Ocala, FL"
[season]
first_day = 2027-03-01
last_day = "2027-06-06"
[papers]
rules = []
""",
    "shows.csv": """show,place,first_day,last_day,entries_close
Oak 1,"Tallahassee, FL",2027-04-07,2027-04-11,2027-03-20
Oak 2,"Tallahassee, FL",2027-04-14,2027-04-18,
""",
    "classes.csv": """show,class,day,height_cm,fee
Oak 1,Opener,2027-04-08,120,50
Oak 1,Final,2027-04-11,125,72.50
Oak 2,Opener,2027-04-15,120,50
""",
    "horses.csv": """horse,born,from_height_cm,to_height_cm,rider
Bella,2017,110,130,Ana Reed
Comet,2015-05-02,100,120,
""",
    "people.csv": """person,role,status
Ana Reed,rider,amateur
Olga Moss,owner,
Piet Vos,driver,
""",
    "shares.csv": """horse,owner,share
Bella,Olga Moss,
Comet,Olga Moss,1/3
Comet,Ana Reed,2/3
""",
    "vehicles.csv": """vehicle,places,drivers,driver,per_km,speed
Lorry,4,1,Piet Vos,1.20,70
""",
}


def write_folder(folder: Path, files: Mapping[str, str | bytes | None] | None = None) -> Path:
    """The good folder with some files replaced (text or bytes), added, or left out (None)."""
    folder.mkdir(exist_ok=True)
    for name, content in {**GOOD, **(files or {})}.items():
        if isinstance(content, bytes):
            (folder / name).write_bytes(content)
        elif content is not None:
            (folder / name).write_text(content, encoding="utf-8", newline="")
    return folder


def append(name: str, *lines: str) -> dict[str, str]:
    """The good file with some lines more at its end."""
    return {name: GOOD[name] + "".join(f"{line}\n" for line in lines)}


def swap(name: str, old: str, new: str) -> dict[str, str]:
    """The good file with one text in it replaced; the text must be there."""
    assert old in GOOD[name]
    return {name: GOOD[name].replace(old, new, 1)}


def list_faults(folder: Path, files: Mapping[str, str | bytes | None] | None = None) -> list[str]:
    """The messages of all faults of the folder so changed."""
    with pytest.raises(BadYard) as caught:
        read_yard(write_folder(folder, files))
    assert str(caught.value).splitlines() == [str(error) for error in caught.value.errors]
    return [str(error) for error in caught.value.errors]
