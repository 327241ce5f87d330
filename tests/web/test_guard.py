"""What every request and answer is held to."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from linkwright.web import (
    calculation_pages,
    drive_pages,
    enquiry_pages,
    number_pages,
    plan_pages,
)
from linkwright.web.guard import HEADERS, MOST_BYTES


def test_every_answer_has_the_headers(pages: TestClient, demo: str) -> None:
    for address in ("/", "/drive", "/calculations", demo, "/nowhere", "/static/page.js",
                    f"{demo}/order.toml"):  # fmt: skip
        answer = pages.get(address)
        assert {name: answer.headers.get(name) for name in HEADERS} == HEADERS, address


def test_nothing_inline_and_nothing_from_elsewhere_is_allowed() -> None:
    policy = HEADERS["content-security-policy"]
    assert "unsafe" not in policy
    assert "http" not in policy
    assert policy.startswith("default-src 'none'")


def test_no_page_has_anything_inline(pages: TestClient, demo: str) -> None:
    for address in ("/", "/drive?power=30&driver_speed=96&ratio=6", "/calculations", demo,
                    f"{demo}/lines/3/pictures?place=outer_plate/blanking"):  # fmt: skip
        text = pages.get(address).text
        assert " style=" not in text
        assert "<style" not in text
        assert " onclick" not in text
        assert "<script>" not in text
        assert "javascript:" not in text


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1.example.org", "", "localhost.evil:80"])
def test_another_name_of_the_host_is_refused(pages: TestClient, host: str) -> None:
    assert pages.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8320", "localhost", "[::1]:8320", "[::1]"])
def test_the_names_of_this_machine_are_taken(pages: TestClient, host: str) -> None:
    assert pages.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "cross-site", "origin": "http://127.0.0.1"},
    ],
)
def test_a_form_of_another_site_is_refused(pages: TestClient, headers: dict[str, str]) -> None:
    assert pages.post("/orders/demo", headers=headers).status_code == 403


def test_without_the_browsers_word_the_origin_decides(pages: TestClient) -> None:
    bare = TestClient(pages.app, base_url="http://127.0.0.1")
    assert bare.post("/units", data={"units": "inch", "back": "/"}).status_code == 403
    own = {"origin": "http://127.0.0.1"}
    answer = bare.post("/units", data={"units": "inch", "back": "/"}, headers=own,
                       follow_redirects=False)  # fmt: skip
    assert answer.status_code == 303


def test_a_body_that_is_too_large_is_refused(pages: TestClient) -> None:
    answer = pages.post("/orders", data={"text": "#" * (MOST_BYTES + 1)})
    assert answer.status_code == 413


def test_getting_changes_nothing() -> None:
    """Whatever keeps or changes something is asked for by POST."""
    posted = {
        route.path
        for room in (enquiry_pages, drive_pages, plan_pages, number_pages, calculation_pages)
        for route in room.router.routes
        if "POST" in (getattr(route, "methods", None) or ())
    }
    assert posted == {
        "/orders", "/orders/demo", "/drive/order",
        "/orders/{draft}/lines/{line}/set", "/orders/{draft}/lines/{line}/leave",
    }  # fmt: skip


@pytest.mark.parametrize("back", ["https://example.org/", "//example.org", "", "javascript:x"])
def test_the_way_back_stays_on_this_server(pages: TestClient, back: str) -> None:
    answer = pages.post("/units", data={"units": "metric", "back": back}, follow_redirects=False)
    assert answer.headers["location"] == "/"
