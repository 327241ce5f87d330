"""Why lots failed: their results in the books beside what the machines read of their links."""

from pathlib import Path

import numpy as np
import pytest
from kept_books import Books, _quick, books  # noqa: F401 - fixtures

from linkwright.quantities import UnknownName
from linkwright.services.ingesting import IngestRequest, ingest
from linkwright.services.lot_causes import causes_of_lots

LOTS, LINKS = 14, 20
HEAD = ("machine", "counter", "clock", "strand", "position", "current_A", "weld_energy_J")


def readings(folder: Path, force_of: dict[int, float]) -> Path:
    """Welds of all lots: the energy goes with the lot's strength, the current with nothing."""
    rng = np.random.default_rng(3)
    rows = [",".join(HEAD)]
    for lot in range(LOTS):
        for link in range(LINKS):
            energy = 3000.0 + 100.0 * (force_of[lot] - 86.0) + rng.normal(0.0, 1.0)
            rows.append(
                f"W01,{lot * LINKS + link},2026-03-{lot + 1:02d}T06:00:{link:02d},S{lot},{link},"
                f"{10_000 + rng.normal(0.0, 30.0):.1f},{energy:.2f}"
            )
    (folder / "w.csv").write_text("\n".join(rows) + "\n")
    columns = "\n".join(f'[[file.column]]\nname = "{one}"\nfrom = "{one}"' for one in HEAD)
    (folder / "map.toml").write_text(f'[[file]]\npattern = "*"\nkind = "weld"\n{columns}\n')
    ingest(IngestRequest((folder / "w.csv",), folder / "map.toml", folder / "links"))
    return folder / "links"


@pytest.fixture
def tried(books: Books, tmp_path: Path) -> tuple[Books, Path]:  # noqa: F811
    """Lots with a result each, three of them weak."""
    books.line()
    rng = np.random.default_rng(5)
    force = {
        lot: 86.0 + float(rng.normal(0.0, 0.4)) - 4.0 * (lot in (2, 7, 11)) for lot in range(LOTS)
    }
    for lot in range(LOTS):
        books.act("start_lot", lot=f"L{lot}", line="O1/1")
        books.act(
            "make_piece",
            lot=f"L{lot}",
            piece=f"P{lot}",
            length_mm=480,
            strand=f"S{lot}",
            first_position=0,
            last_position=LINKS - 1,
        )
        books.act("present_lot", lot=f"L{lot}")
        books.tested(round(force[lot], 3), lot=f"L{lot}")
    return books, readings(tmp_path, force)


def test_the_reading_that_goes_with_weak_lots_is_ranked_first(tried: tuple[Books, Path]) -> None:
    """The energy explains nearly the whole gap; the failed lots are named."""
    held, links = tried
    found = causes_of_lots(links, held.store, "breaking force", least="84 kN")
    assert found.failed == ("L2", "L7", "L11")
    assert found.causes[0].variable == "weld_weld_energy"
    assert found.causes[0].share_percent > 90.0


def test_a_characteristic_that_nobody_asked_for_is_told(tried: tuple[Books, Path]) -> None:
    """With those that there are."""
    held, links = tried
    with pytest.raises(UnknownName, match="breaking force"):
        causes_of_lots(links, held.store, "braking force", least="84 kN")
