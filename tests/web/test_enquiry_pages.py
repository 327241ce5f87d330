"""The enquiry: an order typed or dropped in, and a duty answered by chains."""

from __future__ import annotations

import html
import re

import pytest
from starlette.testclient import TestClient

DUTY = {"power": "30 kW", "driver_speed": "96", "driven_speed": "16", "shock": "heavy shocks",
        "environment": "dusty", "greatest_sprocket_diameter": "2000"}  # fmt: skip
ORDER = """[order]
number = "E-7"
customer = "<script>alert(1)</script>{{{{7*7}}}}"
due = 2027-01-07
[[line]]
product = "jack"
size = 12
length = "{length}"
"""


def test_an_order_is_kept_and_planned(pages: TestClient) -> None:
    answer = pages.post("/orders", data={"text": ORDER.format(length="2000 m")})
    assert answer.status_code == 200
    assert "jack chain no. 12" in answer.text


def test_texts_of_the_order_come_back_as_text(pages: TestClient) -> None:
    answer = pages.post("/orders", data={"text": ORDER.format(length="2000 m")})
    for text in (answer.text, pages.get("/").text):
        assert "&lt;script&gt;alert(1)&lt;/script&gt;{{7*7}}" in text
        assert "<script>alert" not in text


def test_a_file_is_taken_too(pages: TestClient) -> None:
    raw = b"\xef\xbb\xbf" + ORDER.format(length="2000 m").encode()
    answer = pages.post("/orders", files={"file": ("order.toml", raw)}, data={"text": ""})
    assert "jack chain" in answer.text


def test_everything_wrong_is_told_at_once_and_the_text_is_kept(pages: TestClient) -> None:
    bad = ORDER.format(length="-3 m").replace("size = 12", "size = 99\ncolour = 1")
    answer = pages.post("/orders", data={"text": bad})
    assert answer.status_code == 422
    assert "colour" in answer.text
    assert "length" in answer.text
    assert "line 9" in answer.text or "line 8" in answer.text
    assert "size = 99" in answer.text


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"\x00",
        b"\xff\xfe[\x00",
        b"[" * 5000,
        b"a = 1e400\n",
        b"x" * 10_000,
        b"= =",
        b"\xf0\x28",
    ],
    ids=["empty", "nul", "utf-16", "deep", "inf", "long", "none", "cut"],
)
def test_bad_files_are_told(pages: TestClient, raw: bytes) -> None:
    answer = pages.post("/orders", files={"file": ("bad.toml", raw)}, data={"text": ""})
    assert answer.status_code == 422
    assert "The order needs a change" in answer.text


def test_an_order_that_names_a_file_beside_it_is_told(pages: TestClient) -> None:
    text = ORDER.format(length="5 m").replace(
        '"jack"\nsize = 12', '"welded"\ntable = "own.toml"\nsize = "8 mm"'
    )
    answer = pages.post("/orders", data={"text": text})
    assert answer.status_code == 422
    assert "own.toml" in answer.text


def test_a_duty_is_answered_with_reasons(pages: TestClient) -> None:
    text = pages.get("/drive", params=DUTY).text
    assert "32A-2, 19 and 114 teeth" in text
    assert "Why not others" in text
    assert text.count("<svg xmlns") == 2


def test_the_answer_alone_is_a_part(pages: TestClient) -> None:
    text = pages.get("/drive/answer", params=DUTY).text
    assert "32A-2" in text
    assert "<html" not in text


def test_what_is_missing_is_named_in_the_words_of_the_sentence(pages: TestClient) -> None:
    text = pages.get("/drive", params={"power": "30"}).text
    assert "speed of the driver: is missing" in text
    assert "Ranked" not in text


@pytest.mark.parametrize("bad", ["-1", "0", "many", "1e400", "30 m", "9" * 400])
def test_a_number_that_cannot_be_is_told(pages: TestClient, bad: str) -> None:
    answer = pages.get("/drive", params={**DUTY, "power": bad})
    assert answer.status_code == 200
    assert "power" in answer.text
    assert "Ranked" not in answer.text


def test_nothing_admissible_says_what_comes_nearest(pages: TestClient) -> None:
    text = pages.get("/drive", params={**DUTY, "power": "9000", "greatest_width": "20"}).text
    assert "no drive is admissible" in text


@pytest.mark.parametrize(("row", "product"), [("0", "chosen for"), ("2", "roller chain")])
def test_a_drive_is_taken_into_an_order(pages: TestClient, row: str, product: str) -> None:
    head = {"number": "E-9", "customer": "invented", "due": "2027-01-07"}
    answer = pages.post("/drive/order", data={**DUTY, **head, "row": row})
    assert answer.status_code == 200
    assert re.search("roller chain", answer.text)
    draft = str(answer.url.path).partition("/lines")[0]
    text = pages.get(f"{draft}/order.toml").text
    assert ("[line.drive]" in text) == (row == "0")


def test_dust_is_told_and_leaves_no_factor_of_the_works_in_the_order(pages: TestClient) -> None:
    dusty = DUTY
    assert "own factor for dust" in html.unescape(pages.get("/drive", params=dusty).text)
    head = {"number": "E-9", "customer": "invented", "due": "2027-01-07", "row": "0"}
    answer = pages.post("/drive/order", data={**dusty, **head})
    text = pages.get(f"{str(answer.url.path).partition('/lines')[0]}/order.toml").text
    assert 'environment = "dusty"' in text
    assert "wear_factor" not in text


def test_a_date_that_is_none_is_told(pages: TestClient) -> None:
    head = {"number": "E-9", "customer": "invented", "due": "soon"}
    answer = pages.post("/drive/order", data={**DUTY, **head, "row": "0"})
    assert answer.status_code == 422
    assert "is no date" in answer.text
