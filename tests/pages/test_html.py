"""Templates: what is put in is escaped, what is missing is an error, their layout is nothing."""

from __future__ import annotations

import pytest
from jinja2 import TemplateSyntaxError, UndefinedError

from tripkit.pages.html import load_templates


def render(tmp_path, text, **values):
    (tmp_path / "page.html").write_text(text, encoding="utf-8")
    return load_templates(tmp_path, word="known").get_template("page.html").render(values)


def test_what_is_put_in_is_escaped(tmp_path):
    """Five signs, in text and in an attribute: & < > and both quotes (HTML standard, 13.1.2.3)."""
    told = render(tmp_path, '<p title="{{ x }}">{{ x }}</p>', x="<b>&'\"")
    assert told == '<p title="&lt;b&gt;&amp;&#39;&#34;">&lt;b&gt;&amp;&#39;&#34;</p>'


def test_what_is_missing_is_an_error(tmp_path):
    """A name that nobody gave is no empty text; what all templates know is there."""
    assert render(tmp_path, "{{ word }}") == "known"
    with pytest.raises(UndefinedError, match="other"):
        render(tmp_path, "{{ other }}")


def test_line_breaks_beside_tags_are_layout(tmp_path):
    """They vanish beside tags and blocks and are one space between attributes; others stay."""
    text = """<p class="a"
      id="b">
      one
      two
      {% if x %}
        <i>{{ x }}</i>, {{ x }}
      {% endif %}
    </p>
    """
    assert render(tmp_path, text, x=1) == '<p class="a" id="b">one\n      two<i>1</i>, 1</p>'


def test_an_error_names_its_line(tmp_path):
    """The layout that is left out keeps the numbers of the lines."""
    with pytest.raises(TemplateSyntaxError) as caught:
        render(tmp_path, '<p>\n  <b\n    id="x"\n    lang="y">\n  </b>\n  {% endif %}\n</p>')
    assert caught.value.lineno == 6
