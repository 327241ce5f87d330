"""The page of a plan: what it shows, and how a setting is changed."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from linkwright.services.calculations import load_catalogue

SET = {"place": "tempering", "name": "temperature_degC", "unit": "degC"}


def changed(pages: TestClient, demo: str, value: str, **more: str) -> str:
    answer = pages.post(f"{demo}/lines/1/set", data={**SET, "value": value, **more},
                        follow_redirects=False)  # fmt: skip
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def test_an_order_leads_to_its_first_line(pages: TestClient, demo: str) -> None:
    assert pages.get(demo).url.path == f"{demo}/lines/1"


@pytest.mark.parametrize("line", [1, 3])
def test_every_operation_opens_and_has_its_findings(
    pages: TestClient, demo: str, line: int
) -> None:
    text = pages.get(f"{demo}/lines/{line}").text
    targets = set(re.findall(rf'href="({demo}/lines/{line}/at/[^"]+)"', text))
    assert len(targets) == {1: 13, 3: 31}[line]
    for target in sorted(targets)[::4]:
        page = pages.get(target)
        assert page.status_code == 200
        assert "<h3>Findings</h3>" in page.text


def test_the_metal_leads_to_every_operation(pages: TestClient, demo: str) -> None:
    text = pages.get(f"{demo}/lines/3").text
    metal = text[text.index('<figure class="metal">') : text.index("</figure>")]
    assert metal.count("<a href=") == 31
    assert 'role="group"' in metal


def test_a_changed_setting_moves_what_depends_on_it(pages: TestClient, demo: str) -> None:
    page = pages.get(changed(pages, demo, "546")).text
    aside = page[page.index('class="changed"') :]
    assert "tempering: temperature" in aside
    assert "546" in aside
    assert "cutting: cut length" in aside
    assert "drawing" not in aside[: aside.index("</table>")]


def test_undo_leads_to_the_draft_before(pages: TestClient, demo: str) -> None:
    page = pages.get(changed(pages, demo, "546")).text
    undo = re.search(r'id="undo" href="([^"]+)"', page)
    assert undo
    assert undo[1] == f"{demo}/lines/1/at/tempering"


def test_a_setting_can_be_left_to_the_plan_again(pages: TestClient, demo: str) -> None:
    draft = changed(pages, demo, "546").partition("/lines")[0]
    answer = pages.post(f"{draft}/lines/1/leave", data=SET)
    assert "No setting is another." in answer.text


def test_the_chance_tells_what_it_was(pages: TestClient, demo: str) -> None:
    draft = changed(pages, demo, "552").partition("/lines")[0]
    text = pages.get(f"{draft}/lines/1/chance").text
    found = re.search(r"Where you began ([\d.]+).%, now ([\d.]+).%", text)
    assert found
    assert float(found[2]) < float(found[1])


def test_units_change_what_is_shown_and_what_a_bare_number_means(
    pages: TestClient, demo: str
) -> None:
    page = pages.get(f"{demo}/lines/1/at/tempering", headers={"cookie": "units=inch"}).text
    assert "°F" in page
    moved = changed(pages, demo, "1014.8", unit="degF")
    assert 'value="546"' in pages.get(moved).text


@pytest.mark.parametrize(
    ("value", "said"),
    [("warm", "temperature_degC"), ("540 kN", "temperature_degC"), ("-400", "absolute zero"),
     ("", "temperature_degC"), ("9e99", "temperature_degC")],
)  # fmt: skip
def test_a_value_that_cannot_be_is_told(
    pages: TestClient, demo: str, value: str, said: str
) -> None:
    answer = pages.post(f"{demo}/lines/1/set", data={**SET, "value": value})
    assert answer.status_code == 422
    assert said in answer.text
    assert "Traceback" not in answer.text


def test_settings_that_are_none_are_told(pages: TestClient, demo: str) -> None:
    data = {"place": "melting", "name": "temperature_degC", "value": "540"}
    answer = pages.post(f"{demo}/lines/1/set", data=data)
    assert answer.status_code == 422
    assert "is no operation of this route" in answer.text


@pytest.mark.parametrize(
    "address",
    ["/orders/0000000000000000", "/orders/x/lines/1", "{demo}/lines/9", "{demo}/lines/0",
     "{demo}/lines/1/at/melting", "{demo}/lines/1/at/../../x",
     "{demo}/lines/1/pictures?place=nowhere", "/orders/..%2f..%2fetc"],
)  # fmt: skip
def test_what_is_not_there_is_told(pages: TestClient, demo: str, address: str) -> None:
    answer = pages.get(address.format(demo=demo))
    assert answer.status_code == 404
    assert "not there" in answer.text


def test_a_number_opens_down_to_the_file(pages: TestClient, demo: str) -> None:
    text = pages.get(f"{demo}/lines/1/number?of=inspection.breaking_force_kN").text
    assert "breaking force" in text
    assert "works.toml:" in text
    assert "order.toml:" in text
    assert "/calculations/" in text


def test_the_papers_are_a_pdf_of_all_lines(pages: TestClient, demo: str) -> None:
    answer = pages.get(f"{demo}/papers.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF-")


def test_the_file_is_the_order_that_was_planned(pages: TestClient, demo: str) -> None:
    draft = changed(pages, demo, "546").partition("/lines")[0]
    assert "546.0" in pages.get(f"{draft}/order.toml").text


def test_a_changed_line_equals_the_plan_of_its_file(pages: TestClient, demo: str) -> None:
    """What the page shows is what the command line makes of the file."""
    from linkwright.planning.draws import Ensemble
    from linkwright.services.planning import plan_order
    from linkwright.works import demo_works, order_of_bytes

    draft = changed(pages, demo, "546").partition("/lines")[0]
    order = order_of_bytes(pages.get(f"{draft}/order.toml").text.encode())
    own = type(order)(**{**vars(order), "lines": order.lines[:1]})
    line = plan_order(own, demo_works(), ensemble=Ensemble(lots=64)).document()["lines"][0]
    chance = pages.get(f"{draft}/lines/1/chance").text
    assert f"{100 * line['chance']['value']:.3g}" in chance


def test_pictures_belong_to_their_operation(pages: TestClient, demo: str) -> None:
    text = pages.get(f"{demo}/lines/3/pictures?place=outer_plate/blanking").text
    assert text.count("<svg") == 1
    assert "Strip" in text or "strip" in text


def test_the_catalogue_is_not_needed_to_show_a_plan() -> None:
    assert load_catalogue()
