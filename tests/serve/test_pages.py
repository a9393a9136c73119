"""Kernels of pages: how many, for whom, and for how long; by a clock in hand, without a server."""

from __future__ import annotations

import asyncio
from typing import Any

import pytest
from tornado.httputil import HTTPHeaders

from tripkit.serve import kernels
from tripkit.serve.kernels import Pages
from tripkit.serve.visits import find_visit


class Clock:
    """Seconds in hand."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


class Manager:
    """Kernels that end when they are told to."""

    def __init__(self, *kernels: str) -> None:
        self.kernels = list(kernels)

    def __contains__(self, kernel: str) -> bool:
        return kernel in self.kernels

    async def shutdown_kernel(self, kernel: str) -> None:
        self.kernels.remove(kernel)


@pytest.fixture
def clock() -> Clock:
    return Clock()


def load_page(pages: Pages, kernel: str) -> None:
    """A page gets its kernel and is written."""
    with pages.come() as coming:
        coming.seat(kernel)


def look_at(pages: Pages, manager: Manager) -> list[str]:
    asyncio.run(pages.end_left(manager))
    return manager.kernels


def test_a_page_that_never_opens_its_line_loses_its_kernel_within_a_minute(clock: Clock) -> None:
    """Whoever fetched the page and left, or never was a browser."""
    pages, manager = Pages(clock=clock), Manager("a")
    load_page(pages, "a")
    clock.now += 30
    assert look_at(pages, manager) == ["a"]
    clock.now += 30
    assert look_at(pages, manager) == []


def test_a_page_on_a_slow_line_keeps_its_kernel_while_it_says_that_it_loads(clock: Clock) -> None:
    """Ten minutes of loading, heard of every 30 s."""
    pages, manager = Pages(clock=clock), Manager("a")
    load_page(pages, "a")
    for _ in range(20):
        clock.now += 30
        pages.hear("a")
        assert look_at(pages, manager) == ["a"]


def test_an_open_line_keeps_a_kernel_and_a_broken_one_lets_it_go_within_a_minute(
    clock: Clock,
) -> None:
    """A line that is taken up again at once changes nothing; one that is not ends the kernel."""
    pages, manager = Pages(clock=clock), Manager("a")
    load_page(pages, "a")
    pages.open_line("a")
    clock.now += 3600
    assert look_at(pages, manager) == ["a"]
    pages.end_line("a")
    clock.now += 10
    pages.open_line("a")
    clock.now += 3600
    assert look_at(pages, manager) == ["a"]
    pages.end_line("a")
    clock.now += 60 - kernels.LOOK_EVERY_SECONDS
    assert look_at(pages, manager) == []


def test_of_two_lines_the_last_one_counts(clock: Clock) -> None:
    """A page that reconnects may open its new line before the old one is known to be dead."""
    pages, manager = Pages(clock=clock), Manager("a")
    load_page(pages, "a")
    pages.open_line("a")
    pages.open_line("a")
    pages.end_line("a")
    clock.now += 3600
    assert look_at(pages, manager) == ["a"]


def test_an_end_in_silence_is_found_within_a_minute(clock: Clock) -> None:
    """Pings, the wait for their answer, and the next look together."""
    silence = (kernels.PING_EVERY_MS + kernels.PONG_WITHIN_MS) / 1000
    pages, manager = Pages(clock=clock), Manager("a")
    load_page(pages, "a")
    pages.open_line("a")
    clock.now += silence
    pages.end_line("a", silence)
    clock.now += kernels.LOOK_EVERY_SECONDS
    assert look_at(pages, manager) == []
    assert silence + kernels.LOOK_EVERY_SECONDS < 60


def test_a_page_that_takes_long_to_write_keeps_its_kernel_meanwhile(clock: Clock) -> None:
    """A yard that takes minutes to read is no page that was left."""
    pages, manager = Pages(clock=clock), Manager("a")
    with pages.come() as coming:
        coming.seat("a")
        clock.now += 600
        assert look_at(pages, manager) == ["a"]
    clock.now += 30
    assert look_at(pages, manager) == ["a"]
    clock.now += 30
    assert look_at(pages, manager) == []


def test_places_are_counted_from_the_first_step_on(clock: Clock) -> None:
    """Who has no kernel yet has a place already, once; a kernel that died leaves its place."""
    pages = Pages(2, clock)
    with pages.come() as coming:
        with pages.come():
            assert pages.is_full
        assert not pages.is_full
        coming.seat("a")
        assert not pages.is_full
        load_page(pages, "b")
        assert pages.is_full
    assert pages.is_full
    assert look_at(pages, Manager("b")) == ["b"]
    assert not pages.is_full


def fetch(site: str, dest: str = "document", mode: str = "navigate") -> dict[str, Any]:
    return {"Sec_Fetch_Site": site, "Sec_Fetch_Dest": dest, "Sec_Fetch_Mode": mode}


@pytest.mark.parametrize(
    ("headers", "visit"),
    [
        # W3C Fetch Metadata, section 2.3: "none" is a visitor's own doing (typed, kept).
        (fetch("none"), "own"),
        (fetch("same-origin"), "own"),
        (fetch("cross-site"), "from elsewhere"),
        (fetch("same-site"), "from elsewhere"),
        (fetch("cross-site", "image", "no-cors"), "refused"),
        (fetch("cross-site", "iframe"), "refused"),
        (fetch("same-origin", "iframe"), "refused"),
        (fetch("same-origin", "empty", "cors"), "refused"),
        ({**fetch("none"), "Sec_Purpose": "prefetch;prerender"}, "refused"),
        ({"Purpose": "prefetch"}, "refused"),
        ({}, "own"),
        ({"Referer": "https://yard.example/login"}, "own"),
        ({"Referer": "https://evil.example/"}, "from elsewhere"),
        ({"Origin": "null"}, "from elsewhere"),
        ({"Referer": "https://[/"}, "from elsewhere"),
    ],
)
def test_who_comes_is_told_by_what_the_browser_says(headers: dict[str, str], visit: str) -> None:
    """A page of its own, asked for by the visitor or from our own pages, and nothing else."""
    known = HTTPHeaders({name.replace("_", "-"): value for name, value in headers.items()})
    assert find_visit(known, "yard.example") == visit
