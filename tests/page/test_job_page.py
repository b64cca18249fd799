"""The page as a file: one, of the same bytes, that asks for nothing."""

import csv
import gzip
import json
import re
from base64 import b64decode, b64encode
from hashlib import sha256
from html import unescape
from importlib.resources import files

import pytest
from hostile import HOSTILE, hostile_piece

from furnigen import build, find_recipe
from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.page.check_words import QUESTIONS, answer, question
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import USUAL_FORMATS, MakeOptions

MOST_BYTES = 600_000
"""Of the page of a 50-part case."""


def script_of(page: str, name: str) -> str:
    found = re.search(rf'<script type="[^"]*" id="{name}">(.*?)</script>', page, re.DOTALL)
    assert found
    return found[1]


def test_a_page_of_fifty_parts_is_one_small_file_with_all_inside():
    piece = find_recipe("panel_bookcase")(bays=4, shelves=10, width="2.4 m")
    assert len(piece.placements) > 50
    made = build(piece).make(("page", "picture"))
    page = made.files["index.html"].decode()
    assert len(made.files["index.html"]) < MOST_BYTES
    assert not re.findall(r'(?:src|href)="(?!data:|#|\w+\.\w+")', page)
    model = gzip.decompress(b64decode(script_of(page, "model")))
    assert model.startswith(b"glTF")
    assert all(p.label in page for p in piece.placements)
    assert "data:image/jpeg;base64," in page


def test_a_page_is_usual_and_the_report_names_it():
    assert "page" in USUAL_FORMATS
    made = build(find_recipe("crate_wall")()).make(("page", "cutlist"))
    assert made.report["files"] == ["cutlist.csv", "index.html"]
    page = made.files["index.html"].decode()
    assert 'href="cutlist.csv" download' in page
    assert 'href="report.json" download' in page
    assert 'href="index.html"' not in page
    assert "No picture was made" in page


def test_the_same_piece_gives_the_same_bytes():
    def page():
        return build(find_recipe("crate_wall")()).make(("page",)).files["index.html"]

    assert page() == page()


def test_the_policy_names_the_scripts_and_the_style_by_their_hashes():
    page = build(find_recipe("crate_wall")()).make(("page",)).files["index.html"].decode()
    policy = unescape(re.search(r'Policy" content="([^"]*)"', page)[1])
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy
    boot = re.search(r"<script>(.*?)</script>", page, re.DOTALL)[1]
    viewer = gzip.decompress(b64decode(script_of(page, "viewer"))).decode()
    style = re.search(r"<style>(.*?)</style>", page, re.DOTALL)[1]
    for text in (boot, viewer, style):
        assert b64encode(sha256(text.encode()).digest()).decode() in policy
    assert not re.search(r"<[a-z][^>]* (?:style|on[a-z]+)=", page.split("<script")[0])


def test_names_can_not_become_markup():
    page = build(hostile_piece()).make(("page",)).files["index.html"].decode()
    assert len(re.findall(r"<script>", page)) == 1
    assert "<img src=x" not in page
    data = json.loads(script_of(page, "data"))
    assert set(data["placements"]) == set(HOSTILE)


@pytest.mark.parametrize(
    ("units", "there", "not_there"), [("mm", "1200.0 mm", "47 1/4"), ("in", "3'-11 1/4", "1200.0 mm")]
)
def test_lengths_are_in_the_units_asked_for(units, there, not_there):
    made = Built(find_recipe("crate_wall")(), MakeOptions(units=units)).make(("page",))
    page = unescape(made.files["index.html"].decode())
    assert there in page
    assert not_there not in page


def test_checks_come_worst_first_with_their_remedy_and_what_they_use():
    made = build(find_recipe("panel_bookcase")(bays=1, width="1.8 m", shelves=3)).make(("page",))
    page = made.files["index.html"].decode()
    statuses = re.findall(r'<li class="s-(\w+)"', page)
    assert statuses == sorted(statuses, key=("fail", "warn", "pass").index)
    assert statuses[0] == "fail"
    first = re.search(r'<li class="s-fail".*?</li>', page, re.DOTALL)[0]
    assert "<b>Remedy</b>" in first
    assert "of the limit is used" in first


def test_every_check_of_a_piece_is_asked_in_words():
    rows = csv.DictReader((files("furnigen.catalogue") / "data" / "methods.csv").read_text().splitlines())
    named = {name for row in rows for name in row["findings"].split()}
    assert len(named) > 20
    assert named <= set(QUESTIONS)
    assert all(" " in words and words[0].isupper() for words in QUESTIONS.values())


ANSWERED = [
    (("interference", PASS, 0, 0, "mm3"), {}, "Do parts run into each other", "No"),
    (("load-path", PASS, 0, 0, "parts"), {}, "Is everything carried down to the floor", "Yes"),
    (("part-fits-stock", PASS, 11, None, "parts"), {}, "Can parts be cut from their stock", "Yes, 11 parts"),
    (("hole-bottom", PASS, 12, None, "holes"), {}, "Wood left below holes", "Enough, 12 holes"),
    (("upright", PASS, 0.12, 1), {"used": 0.12}, "Do uprights and legs buckle", "No"),
    (
        ("bending", PASS, 2.9, 13, "N/mm2"),
        {"used": 0.2},
        "Do boards break in bending",
        "No, 2.9 N/mm², at most 13",
    ),
    (("bending", FAIL, 19, 13, "N/mm2"), {"used": 1.5}, "Do boards break in bending", "19 N/mm², at most 13"),
    (
        ("sideways", WARN, 2.26, 2, "times"),
        {"used": 0.89, "least": True, "title": "racking front-back"},
        "Swaying to the front and back",
        "It holds 2.26 times its weight and load, at least 2",
    ),
    (
        ("sideways", PASS, 1, None, "wall", "", "a wall takes a push sideways"),
        {"title": "racking"},
        "Swaying",
        "A wall takes a push sideways",
    ),
    (
        ("anchor", WARN, 267, None, "N", "it is tall"),
        {},
        "Fixing to the wall",
        "Its anchor must take a pull of 267 N, the weight of 27 kg",
    ),
    (
        ("standing", PASS, 6.5, None, "deg"),
        {},
        "Does it stand by itself",
        "Yes, it tips once it leans 6.5 °",
    ),
    (
        ("tip-load", PASS, 0, None),
        {},
        "Load on the front of a shelf that tips it",
        "None on a front edge tips it",
    ),
    (("shoved", PASS, 0, None, "", "a wall holds it"), {}, "A shove from the side", "A wall holds it"),
]


@pytest.mark.parametrize(("row", "more", "asked", "said"), ANSWERED)
def test_checks_are_answered_in_words_that_a_client_understands(row, more, asked, said):
    finding = Finding(*row, **more)
    assert (question(finding), answer(finding, "mm")) == (asked, said)


def test_the_page_says_what_it_was_checked_to_carry():
    made = build(find_recipe("ladder_rack")(), loads={"all": "40 kg/m"}, sag_limit="L/300").make(("page",))
    page = unescape(made.files["index.html"].decode())
    assert re.search(r"Checked to carry 40 kg/m on [^<]*shelf", page)
    assert "Boards may sag 1/300 of what they span in the long run, in heated rooms" in page


def test_many_places_of_hardware_are_folded_away_and_light_parts_weigh_something():
    made = build(find_recipe("ring_rack")()).make(("page",), groups=("building",))
    page = unescape(made.files["index.html"].decode())
    assert "<summary>in 16 places</summary>4 shelf.1 to frame.1.rail.1" in page
    assert "<td class=n>0.00<" not in page
