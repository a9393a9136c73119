"""What of the published circuit has begun: the handbook, Choices: Days."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from tests.build import (
    ZONE,
    make_absence,
    make_class,
    make_entry,
    make_lorry,
    make_result,
    make_show,
    make_vet_check,
    make_yard,
)
from tripkit.driving.crews import put_on_drivers
from tripkit.driving.rules import RULES
from tripkit.season.diary import write_diary
from tripkit.season.lived import go_on_from, list_forgotten
from tripkit.yard.circuit import Circuit, Day, Leg, Outing, Stand, number_driver
from tripkit.yard.days import DaySpan

FIRST, SECOND = "S1", "S2"


def day(number: int) -> date:
    """A day of April 2027."""
    return date(2027, 4, number)


def drive(start, end, on, horses=("Dancer",), days=1):
    """A drive of the lorry that leaves at seven and arrives at ten, so many days later less one."""
    zone = ZoneInfo(ZONE)
    return Leg(
        "Lorry",
        start,
        end,
        datetime(2027, 4, on, 7, tzinfo=zone),
        datetime(2027, 4, on + days - 1, 10, tzinfo=zone),
        140.0,
        2.0,
        (number_driver(1),),
        horses,
    )


# Dancer goes to S1 (class days 8 and 10 April), is home on the 12th, and goes to S2 on the 26th.
PUBLISHED = Circuit(
    "Most worth",
    "most worth",
    "proved best",
    outings=(
        Outing("Dancer", FIRST, "Ana", ("C1", "C2"), day(8), day(10), day(7), day(12)),
        Outing("Dancer", SECOND, "Ana", ("C1", "C2"), day(28), day(30), day(26), date(2027, 5, 1)),
    ),
    legs=(
        drive("home", FIRST, 7),
        drive(FIRST, "home", 12),
        drive("home", SECOND, 26),
    ),
    days=tuple(Day("Dancer", day(n), "home", "school" if n == 5 else "flat") for n in range(1, 31)),
)


def live(today, published=PUBLISHED, **changes):
    """What has begun by a day of April."""
    changes.setdefault(
        "shows", (make_show(), make_show(SECOND, "2027-04-27", place_key="Fairview"))
    )
    return go_on_from(make_yard(today=day(today), **changes), published)


def test_nothing_has_begun_before_the_first_drive():
    """What the published circuit dates after today has not begun."""
    begun = live(6).begun
    assert (begun.outings, begun.legs, begun.stands) == ((), (), ())


@pytest.mark.parametrize("today", [7, 8, 11])
def test_who_has_left_is_under_way_until_it_drives_home(today):
    """What is dated on today has begun; the horse stands at the show until the drive back."""
    begun = live(today).begun
    assert begun.under_way == {("Dancer", FIRST)}
    assert begun.stand_of["Dancer"] == Stand("Dancer", FIRST, day(7))
    assert begun.stand_of["Lorry"] == Stand("Lorry", FIRST, day(7))
    assert begun.outings[0].classes == ("C1", "C2")
    assert begun.done == ()


def test_who_drives_home_today_has_been_there():
    """The drive of today has begun, so the outing is over and both stand at home."""
    begun = live(12).begun
    assert [o.show for o in begun.done] == [FIRST]
    assert begun.under_way == frozenset()
    assert begun.stand_of["Dancer"] == Stand("Dancer", "home", day(12))
    assert len(begun.legs) == 2


def test_days_up_to_today_are_the_published_ones():
    """The day plan of what was lived stays as it was, today's as well."""
    assert [d.date for d in live(7).begun.days] == [day(n) for n in range(1, 8)]


def test_a_scratched_outing_did_not_happen():
    """Where every class was scratched before it left, the horse was aboard no drive."""
    entries = [make_entry(name, "scratched", date="2027-04-05") for name in ("C1", "C2")]
    yard = live(9, entries=entries)
    assert yard.begun.outings == ()
    assert yard.begun.legs[0].horses == ()
    assert "Dancer" not in yard.begun.stand_of
    assert yard.history.get("Dancer", ()) == ()


def test_one_scratched_class_takes_itself_only():
    """The other class was jumped: the outing has its day."""
    (outing,) = live(12, entries=[make_entry("C1", "scratched")]).begun.outings
    assert (outing.classes, outing.first_day, outing.last_day) == (("C2",), day(10), day(10))


def test_a_horse_made_lame_before_it_left_stayed_at_home():
    """An outing whose days lie in an uncleared time of the horse did not happen."""
    begun = live(9, vet_checks=[make_vet_check(day(6), cleared=False)]).begun
    assert begun.outings == ()
    assert begun.legs[0].horses == ()


def test_a_horse_made_lame_at_the_show_has_jumped_what_came_before_and_stands_there():
    """The class before the vet came was jumped, the one after it falls away."""
    begun = live(9, vet_checks=[make_vet_check(day(9), cleared=False)]).begun
    assert begun.outings[0].classes == ("C1",)
    assert begun.under_way == {("Dancer", FIRST)}


def test_a_horse_made_lame_on_arrival_stands_there_without_an_outing():
    """It was driven there, so somebody has to bring it home."""
    begun = live(8, vet_checks=[make_vet_check(day(8), cleared=False)]).begun
    assert begun.outings == ()
    assert begun.stand_of["Dancer"].stop == FIRST
    assert begun.legs[0].horses == ("Dancer",)


def test_an_absent_horse_went_nowhere():
    """An outing whose days lie in an absence did not happen."""
    begun = live(12, absences=[make_absence("Dancer", "2027-04-06", "2027-04-13")]).begun
    assert begun.outings == ()


def test_results_say_what_was_jumped():
    """Where both speak of a horse and show, results.csv holds."""
    (outing,) = live(12, results=[make_result(day(10), FIRST, class_name="C2")]).begun.outings
    assert (outing.classes, outing.first_day) == (("C2",), day(10))


def test_a_result_without_a_show_belongs_to_the_outing_whose_days_hold_it():
    """Two starts written without a show are that outing, not two more."""
    results = [make_result(day(8)), make_result(day(10))]
    yard = live(12, results=results)
    assert len(yard.history["Dancer"]) == 1
    assert yard.begun.outings[0].classes == ("C1", "C2")


def test_a_result_proves_what_the_vet_forbade():
    """Who wrote down a start is believed."""
    yard = live(
        12,
        vet_checks=[make_vet_check(day(6), cleared=False)],
        results=[make_result(day(8), FIRST, class_name="C1")],
    )
    assert yard.begun.outings[0].classes == ("C1",)


def test_history_counts_what_has_begun_and_other_results():
    """A start elsewhere that no circuit knows is history, too."""
    yard = live(12, results=[make_result("2027-03-20", "Old Show")])
    assert [(o.show, o.first_day) for o in yard.history["Dancer"]] == [
        ("Old Show", date(2027, 3, 20)),
        (FIRST, day(8)),
    ]


def test_a_show_that_was_put_off_while_the_horse_is_there_keeps_its_classes():
    """The horse stands there and jumps them on their new days."""
    show = make_show(
        FIRST,
        "2027-04-09",
        "2027-04-13",
        classes=[make_class("C1", "2027-04-10"), make_class("C2", "2027-04-12", height_cm=125)],
    )
    other = make_show(SECOND, "2027-04-27", place_key="Fairview")
    (outing,) = live(8, shows=(show, other)).begun.outings
    assert (outing.first_day, outing.last_day) == (day(10), day(12))


def test_the_drives_of_a_season_before_this_one_are_not_this_seasons():
    """What was published last year says nothing of where anybody stands today."""
    begun = live(9, season=DaySpan(date(2028, 3, 1), date(2028, 6, 6)), shows=()).begun
    assert begun.legs == ()


def test_a_circuit_that_names_a_horse_or_show_the_yard_has_no_more_is_read_without_it():
    """What is left of it is history all the same."""
    outing = replace(PUBLISHED.outings[0], horse="Gone")
    legs = (drive("home", FIRST, 7, ("Dancer", "Gone")), drive("home", "Away", 8))
    circuit = replace(PUBLISHED, outings=(*PUBLISHED.outings, outing), legs=legs)
    begun = live(9, circuit).begun
    assert [o.horse for o in begun.outings] == ["Dancer"]
    assert [leg.horses for leg in begun.legs] == [("Dancer",)]


def test_a_stay_for_a_second_show_begins_when_the_circuit_says():
    """The horse stays on the grounds; it is at the second show from its arrival there on."""
    second = make_show(SECOND, "2027-04-14", "2027-04-18", place_key="Millbrook")
    first, later = PUBLISHED.outings
    stays = replace(
        PUBLISHED,
        outings=(
            replace(first, leave=day(14)),
            replace(later, first_day=day(15), last_day=day(17), arrive=day(14), leave=day(19)),
        ),
        legs=(drive("home", FIRST, 7), drive(SECOND, "home", 19)),
    )
    assert live(12, stays, shows=(make_show(), second)).begun.under_way == {("Dancer", FIRST)}
    begun = live(14, stays, shows=(make_show(), second)).begun
    assert begun.under_way == {("Dancer", SECOND)}
    assert [o.show for o in begun.done] == [FIRST]


# The day plan and the drivers of a season that has begun


def test_lived_days_stay_as_they_were_published():
    """A school of the past stays on its day, and the next ones are counted on from it."""
    yard = live(20)
    lines = {d.date: d for d in write_diary(yard, PUBLISHED.outings, PUBLISHED.legs)}
    assert lines[day(5)].does == "school"
    assert [n for n in range(1, 7) if lines[day(n)].does == "school"] == [5]
    # Nothing is laid into the past, and no jumping for a week after the 10th.
    later = [d for d, line in lines.items() if d > day(10) and line.does == "school"]
    assert later
    assert min(later) > day(20)


def test_days_before_the_first_drive_are_lived_as_well() -> None:
    """The season has begun though nobody has driven yet: its schools stay on their days."""
    yard = live(6)
    lines = {d.date: d for d in write_diary(yard, PUBLISHED.outings, PUBLISHED.legs)}
    assert [n for n in range(1, 7) if lines[day(n)].does == "school"] == [5]


def test_a_published_day_that_did_not_happen_is_written_anew():
    """Who stayed at home was not on the road, whatever the circuit said."""
    days = (*PUBLISHED.days[:6], Day("Dancer", day(7), "road", "travel"), *PUBLISHED.days[7:])
    scratched = [make_entry(name, "scratched", date="2027-04-05") for name in ("C1", "C2")]
    yard = live(9, replace(PUBLISHED, days=days), entries=scratched)
    lines = {d.date: d for d in write_diary(yard, (), ())}
    assert (lines[day(7)].at, "travel" in (lines[day(7)].does, *lines[day(7)].also)) == (
        "home",
        False,
    )


def test_todays_school_falls_away_for_a_horse_made_lame_today():
    """No school while the last vet check says not cleared (rule `cleared`)."""
    yard = live(5, vet_checks=[make_vet_check(day(5), cleared=False)])
    yard = replace(yard, begun=replace(yard.begun, days=PUBLISHED.days[:5]))
    lines = {d.date: d for d in write_diary(yard, (), ())}
    assert lines[day(5)].does == "rest"


def test_who_is_away_with_the_lorry_brings_it_home():
    """Legs that have begun keep their drivers, and drivers change at home only."""
    yard = live(9, vehicles=[make_lorry(driver_names=("Otis", "Ruth"))])
    begun = (replace(yard.begun.legs[0], drivers=("Ruth",)),)
    yard = replace(yard, begun=replace(yard.begun, legs=begun))
    back = replace(PUBLISHED.legs[1], drivers=())
    found = put_on_drivers(yard, [*begun, back], RULES["none"])
    assert [leg.drivers for leg in found] == [("Ruth",), ("Ruth",)]


def test_who_is_away_with_one_lorry_takes_no_other_before_it_is_home():
    """A person is at one place at a time: Ruth is at the show when the other lorry leaves."""
    lorries = [make_lorry(driver_names=("Ruth",)), make_lorry("Grey", driver_names=("Ruth",))]
    yard = live(9, vehicles=lorries)
    begun = (replace(yard.begun.legs[0], drivers=("Ruth",)),)
    yard = replace(yard, begun=replace(yard.begun, legs=begun))
    # Grey goes out on the 10th and is home on the 11th, before the other lorry on the 12th.
    other = [
        replace(drive("home", SECOND, 10), vehicle="Grey", drivers=()),
        replace(drive(SECOND, "home", 11), vehicle="Grey", drivers=()),
    ]
    back = replace(PUBLISHED.legs[1], drivers=())
    found = put_on_drivers(yard, [*begun, *other, back], RULES["none"])
    unnamed = (number_driver(1),)
    assert [leg.drivers for leg in found] == [("Ruth",), unnamed, unnamed, ("Ruth",)]


def test_a_lorry_that_was_sold_takes_its_drives_with_it_and_that_is_said():
    """Whoever deletes its row is told what is no history any more; before it drove nothing is."""
    sold = {"vehicles": (make_lorry("Grey"),)}
    assert live(12, **sold).begun.outings == ()
    assert tuple(map(str, list_forgotten(live(12, **sold)))) == (
        "Lorry is no vehicle any more: its 2 drives up to 2027-04-12 and the outings they led to "
        "count for nothing; keep its row in vehicles.csv and write down an absence",
    )
    assert list_forgotten(live(6, **sold)) == list_forgotten(live(12)) == ()
