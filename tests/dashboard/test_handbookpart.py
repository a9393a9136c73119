"""The handbook on the page: its chapters, tables and links as the card has them."""

from __future__ import annotations

import re

import pytest

from tests.dashboard.season import make_season
from tests.dashboard.test_desk import make_desk
from tests.dashboard.test_page import find, read
from tripkit.dashboard import handbookpart
from tripkit.dashboard.page import make_page
from tripkit.handbook import CHAPTERS, list_titles


@pytest.fixture
def desk(tmp_path):
    desk = make_desk((make_season(), ()), tmp_path)
    desk.open()
    return desk


def test_the_handbook_opens_at_its_first_chapter(desk):
    """Its chapters are links, the one that lies open is marked, its text stands beside them."""
    page = make_page(desk)
    assert find(page, "handbook").value == ""
    desk.go("handbook")
    told = find(page, "handbook").value
    assert re.findall(r'<li><a href="#handbook=(\w+)"', told) == list(CHAPTERS)
    assert re.findall(r'href="#handbook=(\w+)" aria-current="page"', told) == ["evening"]
    assert "Who has to know" in read(find(page, "handbook"))
    assert desk.address == "handbook=evening"


def test_an_address_opens_a_chapter_of_it(desk):
    """One that is not there changes nothing."""
    page = make_page(desk)
    desk.go("handbook=roads")
    assert "How far the roads may be wrong" in read(find(page, "handbook"))
    assert desk.address == "handbook=roads"
    desk.go("handbook=nowhere")
    assert desk.address == "handbook=roads"


@pytest.mark.parametrize("name", CHAPTERS)
def test_a_chapter_stands_under_the_head_of_the_page(name):
    """One h3, its title; links lead to chapters on the page, and there is no other markup left."""
    told = handbookpart.render_chapter(name)
    assert re.findall(r"<h[123]>([^<]*)</h[123]>", told) == [list_titles()[name]]
    links = re.findall(r'href="([^"]*)"', told)
    assert [link for link in links if link.removeprefix("#handbook=") not in CHAPTERS] == []
    words = re.sub(r"<(pre|code)\b.*?</\1>", "", told, flags=re.DOTALL)
    assert not re.search(r"\]\(|\*\*|^\||^#", words, flags=re.MULTILINE)


def test_a_cell_says_what_it_stands_under(monkeypatch):
    """On a phone a row is a block; its first cell is its head, an empty one is not shown."""
    text = "# T\n\n| a | b | c |\n|---|---|---|\n| x | y | |\n"
    monkeypatch.setattr(handbookpart, "read_chapter", lambda name: text)
    told = handbookpart.render_chapter.__wrapped__("any")
    assert '<th scope="row">x</th>' in told
    assert '<td data-head="b">y</td>' in told
    assert '<td class="tk-none" data-head="c"></td>' in told


def test_nothing_in_a_chapter_acts_as_markup(monkeypatch):
    """Tags are text, and a link leads nowhere but into the handbook."""
    text = "# T\n\n<script>alert(1)</script>\n\nan <img src=x> and [here](javascript:alert(1))\n"
    monkeypatch.setattr(handbookpart, "read_chapter", lambda name: text)
    told = handbookpart.render_chapter.__wrapped__("any")
    assert "<script" not in told
    assert "<img" not in told
    assert 'href="javascript' not in told
