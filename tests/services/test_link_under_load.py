"""The link under load as a use case: reading, answering, files."""

import json
from xml.etree import ElementTree

import pytest

from linkwright.quantities import ArgumentError, InputErrors, UnknownName
from linkwright.services.link_under_load import link_under_load
from linkwright.services.plan_folder import FolderInUse

LINK = {
    "wire_diameter_mm": "8 mm",
    "pitch_mm": 24.0,
    "inner_width_mm": "10.8",
    "tensile_strength_MPa": "1180 MPa",
    "proof_force_kN": "50.3 kN",
}


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    out = tmp_path_factory.mktemp("link") / "out"
    said = []
    made = link_under_load(LINK, fineness="coarse", out=out, progress=said.append)
    return made, out, said


def test_the_answer_holds_pull_and_proof(written):
    """Force above the proof, a set after it, units read from the texts."""
    made, _, said = written
    assert made.given.number("tensile_strength_MPa") == pytest.approx(1180.0)
    assert made.pull.maximum_force_kN > 50.3
    assert made.proof is not None
    assert made.proof.permanent_set_mm > 0
    assert said == ["pulling the link", "loading it to the proof force and unloading it"]


def test_the_folder_holds_pictures_and_the_answer(written):
    """Every file is there, the pictures are well formed and name their unit."""
    made, out, _ = written
    assert [path.name for path in made.files] == [
        "link-at-maximum.svg", "damage-at-maximum.svg", "link-after-proof.svg",
        "force-extension.svg", "link.pdf", "link.json",
    ]  # fmt: skip
    assert sorted(path.name for path in out.iterdir()) == sorted(p.name for p in made.files)
    assert (out / "link.pdf").read_bytes().startswith(b"%PDF")
    data = json.loads((out / "link.json").read_text())
    assert data["pull"]["maximum_force_kN"] == made.pull.maximum_force_kN
    for name in ("link-at-maximum.svg", "link-after-proof.svg"):
        text = "".join(ElementTree.parse(out / name).getroot().itertext())  # noqa: S314
        assert "equivalent plastic strain, %" in text
        assert "mm" in text
    assert "damage, % of what tears" in (out / "damage-at-maximum.svg").read_text()
    assert "maximum" in (out / "force-extension.svg").read_text()


def test_a_folder_in_use_is_refused_before_the_work(written):
    """Nothing is computed for a folder that may not be replaced."""
    _, out, _ = written
    with pytest.raises(FolderInUse):
        link_under_load(LINK, out=out)


def test_all_wrong_values_are_told_at_once():
    """Missing, without sense, of the wrong kind."""
    wrong = {"wire_diameter_mm": "8 kN", "pitch_mm": "-24 mm", "inner_width_mm": "10.8mm"}
    with pytest.raises(InputErrors) as told:
        link_under_load(wrong)
    keys = [problem.key for problem in told.value.found]
    assert keys == ["wire_diameter_mm", "pitch_mm", "tensile_strength_MPa"]


def test_an_unknown_fineness_is_refused():
    """The known ones are offered."""
    with pytest.raises(UnknownName, match="coarse"):
        link_under_load(LINK, fineness="corse")


def test_a_proof_above_the_maximum_names_the_maximum():
    """Said after the pull, with the force the link bears."""
    with pytest.raises(ArgumentError, match=r"maximum force of the link, 80\.\d+ kN"):
        link_under_load({**LINK, "proof_force_kN": 100.0}, fineness="coarse")


def test_a_brittle_steel_tears_before_its_maximum():
    """The plot marks where; the breaking force is less than the maximum of the pull."""
    made = link_under_load({**LINK, "proof_force_kN": None, "reduction_of_area_percent": 8.0},
                           fineness="coarse")  # fmt: skip
    assert made.breaking.first == "fracture"
    assert made.breaking.breaking_force_kN < made.pull.maximum_force_kN
    assert made.breaking.fracture_force_kN == made.breaking.breaking_force_kN


def test_a_weld_on_one_leg_reaches_the_answer_and_the_pictures():
    """Friction and a soft zone, coarse: less work unbalanced than half a per cent, weld told."""
    made = link_under_load(
        {
            "wire_diameter_mm": 8.0,
            "pitch_mm": 24.0,
            "inner_width_mm": 10.8,
            "tensile_strength_MPa": 1180.0,
            "weld_strength_percent": 80.0,
            "friction_coefficient": 0.1,
            "fall_percent": 0.3,
        },
        fineness="coarse",
    )
    data = made.to_dict()
    assert data["given"]["welded_legs"] == 1
    assert data["pull"]["friction_work_percent"] > 0.5
    assert abs(data["pull"]["unbalanced_work_percent"]) < 0.5
    assert made.pull.model.cuts == 1
