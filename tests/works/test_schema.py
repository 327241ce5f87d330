"""The published JSON Schemas are those of the models."""

import json
from pathlib import Path

import pytest

from linkwright.quantities import UnknownName
from linkwright.works import demo_bytes, schema_text
from linkwright.works.order import OrderFile
from linkwright.works.schema import write_schemas
from linkwright.works.shape import shape_of
from linkwright.works.works_file import WorksFile

SCHEMAS = Path(__file__).parents[2] / "schemas"


@pytest.mark.parametrize("name", ["order", "works", "lot"])
def test_published_schema_is_made_from_the_model(name: str) -> None:
    """After a change of a model: linkwright.works.schema.write_schemas(Path("schemas"))."""
    published = (SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8")
    assert published == schema_text(name)


def test_every_quantity_has_both_forms() -> None:
    """A quantity may be given as number or as text, not both; a needed one is asked for."""
    made = json.loads(schema_text("works"))["$defs"]["SteelTable"]
    assert made["properties"]["diameter_mm"]["type"] == "number"
    assert made["properties"]["diameter"]["type"] == "string"
    assert {"not": {"required": ["diameter", "diameter_mm"]}} in made["allOf"]
    # strip has a thickness instead of a diameter; a strength is asked of every steel
    both = [{"required": ["tensile_strength"]}, {"required": ["tensile_strength_MPa"]}]
    assert {"anyOf": both} in made["allOf"]
    assert "diameter_mm" not in made["required"]


@pytest.mark.parametrize("model", [OrderFile, WorksFile])
def test_every_field_is_described(model: type) -> None:
    """Each key of each table has a sentence in the schema, and none may be null."""
    name = "order" if model is OrderFile else "works"
    made = json.loads(schema_text(name))
    tables = [made, *made["$defs"].values()]
    assert all(
        one.get("description") for table in tables for one in table.get("properties", {}).values()
    )
    assert '"null"' not in schema_text(name)
    assert set(shape_of(model).tables) <= set(made["properties"])


def test_write_schemas_writes_all(tmp_path: Path) -> None:
    """The files are named after the file that they describe."""
    assert [path.name for path in write_schemas(tmp_path / "new")] == [
        "order.schema.json",
        "works.schema.json",
        "lot.schema.json",
        "chain.schema.json",
        "parts.schema.json",
    ]


def test_unknown_names() -> None:
    """There are five schemas and two demo files."""
    with pytest.raises(UnknownName, match="order"):
        schema_text("ordr")
    with pytest.raises(UnknownName, match=r"works\.toml"):
        demo_bytes("work.toml")
