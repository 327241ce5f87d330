"""`linkwright collect` ends in sentences and exit codes; what is missing is named."""

import json
import sys

import pytest
from collecting import broker_text

from linkwright.cli.main import run


def ended(capsys, *words):
    """Exit code and standard output."""
    with pytest.raises(SystemExit) as left:
        run(["collect", *words])
    return left.value.code, capsys.readouterr().out


def test_wrong_input_is_told_with_its_place(tmp_path, capsys) -> None:
    """File, line, key, and what is accepted; the spool is not begun."""
    file = tmp_path / "collect.toml"
    file.write_text(broker_text("mqtt://user@hall"))
    words = ("--from", str(file), "--spool", str(tmp_path / "spool"))
    code, out = ended(capsys, *words, "--json")
    found = json.loads(out)["errors"][0]
    assert code == 2
    assert (found["file"], found["line"], found["key"]) == ("collect.toml", 3, "server.url")
    assert not (tmp_path / "spool").exists()
    assert ended(capsys, *words, "--for", "soon")[0] == 2
    assert ended(capsys, *words, "--for", "8h", "--once")[0] == 2


def test_a_missing_package_is_named(tmp_path, capsys, monkeypatch) -> None:
    """With the command that installs it."""
    file = tmp_path / "collect.toml"
    file.write_text(broker_text("mqtt://127.0.0.1"))
    monkeypatch.delitem(sys.modules, "linkwright.link_data.live.mqtt_source", raising=False)
    monkeypatch.setitem(sys.modules, "paho.mqtt", None)
    monkeypatch.setitem(sys.modules, "paho", None)
    code, out = ended(capsys, "--from", str(file), "--spool", str(tmp_path / "spool"), "--json")
    found = json.loads(out)["errors"][0]
    assert (code, found["code"]) == (1, "not-installed")
    assert "pip install 'linkwright[live]'" in found["message"]


def test_a_broker_that_is_not_there(tmp_path, capsys) -> None:
    """Exit code 1, the reason under its source, nothing written but an empty spool."""
    file = tmp_path / "collect.toml"
    file.write_text("give_up_after_s = 0.1\n" + broker_text("mqtt://127.0.0.1:9"))
    spool = tmp_path / "spool"
    code, out = ended(capsys, "--from", str(file), "--spool", str(spool), "--for", "5s", "--json")
    made = json.loads(out)
    assert (code, made["whole"], made["rows"]) == (1, False, 0)
    assert made["sources"][0]["last_error"].startswith("no connection: connection refused")
    assert list((spool / "ready").iterdir()) == []


def test_the_schema_is_published(capsys) -> None:
    """`linkwright schema collect` prints what lies in schemas."""
    from pathlib import Path

    with pytest.raises(SystemExit):
        run(["schema", "collect"])
    published = Path(__file__).parents[2] / "schemas" / "collect.schema.json"
    assert capsys.readouterr().out == published.read_text(encoding="utf-8")
