"""The help page: every function and question is on it, its links lead somewhere, and everybody can use it.

The rules of access are those of the W3C's Web Content Accessibility Guidelines 2.1, named beside each check.
"""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from quotelib.docstrings import help_of
from quotelib.hosts.reference import STYLE, reference_page
from quotelib.questions import QUESTIONS
from quotelib.registry import FUNCTIONS

PAGE = reference_page()


@pytest.fixture(scope="module")
def root() -> ET.Element:
    """The page as a tree; it is written so that it is well-formed XML but for its void elements."""
    text = re.sub(r"<(meta|input)([^>]*)>", r"<\1\2/>", PAGE.replace("<!DOCTYPE html>", ""))
    text = re.sub(r"<script>.*?</script>", "", text, flags=re.DOTALL)
    return ET.fromstring(re.sub(r'autocomplete="off"', 'autocomplete="off"', text))


def words_of(element: ET.Element) -> str:
    return " ".join("".join(element.itertext()).split())


def test_every_function_is_asked_for_and_every_question_is_answered() -> None:
    asked = {name for question in QUESTIONS for name in question.functions}
    assert set(FUNCTIONS) == asked


def test_every_function_has_its_arguments_example_and_source(root: ET.Element) -> None:
    articles = {article.get("aria-labelledby"): words_of(article) for article in root.iter("article")}
    assert set(articles) == set(FUNCTIONS)
    for name, function in FUNCTIONS.items():
        helped = help_of(function)
        assert " ".join(helped.summary.split()) in articles[name] and helped.source in articles[name]
        assert all(helped.arguments[each.name].allowed in articles[name] for each in function.arguments)


def test_every_link_leads_to_a_place_on_the_page(root: ET.Element) -> None:
    places = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(places) == len(set(places)), "4.1.1: an id may stand once"
    links = [link.get("href", "") for link in root.iter("a")]
    assert len(links) > len(FUNCTIONS)
    assert all(link.startswith("#") and link[1:] in places for link in links)
    assert "http" not in PAGE.replace("http-equiv", ""), "the page needs no network"


def test_page_has_a_language_a_title_and_headings_in_order(root: ET.Element) -> None:
    assert root.get("lang") == "en-GB", "3.1.1"
    assert root.findtext("head/title"), "2.4.2"
    levels = [int(element.tag[1]) for element in root.iter() if re.fullmatch("h[1-6]", element.tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in pairwise(levels)), "1.3.1: no level is skipped"


def test_fields_have_labels_tables_have_heads_and_news_is_told(root: ET.Element) -> None:
    labelled = {label.get("for") for label in root.iter("label")}
    assert all(field.get("id") in labelled for field in root.iter("input")), "1.3.1, 3.3.2"
    for table in root.iter("table"):
        heads = list(table.iter("th"))
        assert heads and all(head.get("scope") in ("col", "row") for head in heads), "1.3.1"
    assert any(element.get("role") == "status" for element in root.iter()), "4.1.3"
    named = {element.get("id") for element in root.iter()}
    assert all(element.get("aria-labelledby") in named for element in root.iter() if element.get("aria-labelledby"))


def luminance(colour: str) -> float:
    """WCAG 2.1, relative luminance."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_words_stand_out_from_the_paper() -> None:
    """1.4.3: a contrast of 4.5 to 1 at least."""
    assert (luminance("#ffffff") + 0.05) / (luminance("#777777") + 0.05) == pytest.approx(
        4.48, abs=0.01
    )  # the W3C's own example
    colours = set(re.findall(r"[ ;{]color: (#[0-9a-f]{6})", STYLE))
    assert len(colours) >= 4
    assert all((1 + 0.05) / (luminance(colour) + 0.05) >= 4.5 for colour in colours)


def test_search_finds_by_name_and_by_word() -> None:
    found = re.findall(r'<article class="function" data-words="([^"]*)" aria-labelledby="(\w+)"', PAGE)
    assert next(name for words, name in found if "setup_cost" in words and "design" in words) == "SETUP_COST"
    assert all(words == words.lower() for words, _ in found)
