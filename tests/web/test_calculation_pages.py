"""The pages of the calculations: every one opens, calculates and sweeps."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from linkwright.services.calculations import load_catalogue

HOLLOMON = "/calculations/flow_stress_hollomon"
GIVEN = {"go": "1", "a.K_MPa": "500", "a.n": "0.25", "a.true_strain": "0.2"}


def test_every_calculation_has_a_page(pages: TestClient) -> None:
    for entry in load_catalogue()[::9]:
        answer = pages.get(f"/calculations/{entry.name}")
        assert answer.status_code == 200, entry.name
        assert "Formula and source" in answer.text


def test_all_are_listed_and_found_by_their_words(pages: TestClient) -> None:
    everything = pages.get("/calculations").text
    assert all(entry.name in everything for entry in load_catalogue())
    found = pages.get("/calculations", params={"find": "hollomon"}).text
    assert "flow_stress_hollomon" in found
    assert "iso606_chain" not in found


def test_a_result_has_its_unit_and_its_sweep(pages: TestClient) -> None:
    text = pages.get(HOLLOMON, params=GIVEN).text
    assert "334.37" in text  # 500 MPa 0.2^0.25, by hand
    assert "<svg" in text


def test_the_sweep_follows_what_was_asked(pages: TestClient) -> None:
    asked = {**GIVEN, "swept": "1", "over": "n", "low": "0.1", "high": "0.4"}
    text = pages.get(HOLLOMON, params=asked).text
    assert 'value="0.1"' in text
    assert "<svg" in text
    wrong = pages.get(HOLLOMON, params={**asked, "low": "1", "high": "0"}).text
    assert "is no range" in wrong


@pytest.mark.parametrize("value", ["", "many", "1e400", "-5", "nan", "<script>"])
def test_what_cannot_be_is_told(pages: TestClient, value: str) -> None:
    answer = pages.get(HOLLOMON, params={**GIVEN, "a.K_MPa": value, "a.n": value})
    assert answer.status_code == 200
    assert "<h2>Result</h2>" not in answer.text
    assert 'role="alert"' in answer.text
    assert "<script>" not in answer.text


def test_a_name_that_is_none_is_told_with_the_nearest(pages: TestClient) -> None:
    answer = pages.get("/calculations/flow_stress_holomon")
    assert answer.status_code == 404
    assert "flow_stress_hollomon" in answer.text


def test_beyond_the_source_is_said(pages: TestClient) -> None:
    text = pages.get("/calculations/galling_speed", params={
        "go": "1", "a.pitch_in": "4.5", "a.teeth_small": "17", "a.chain_pull_lbf": "1000",
    }).text  # fmt: skip
    assert "outside the source" in text
