"""Strands into pieces, parts, lots and certificates by the books, and who holds what."""

from pathlib import Path

import pytest
from kept_books import Books, _quick, books  # noqa: F401 - fixtures
from weld_files import csv_text, map_text, written

from linkwright.link_data.passages import Passage
from linkwright.services.ingesting import IngestRequest, ingest
from linkwright.services.passages_of_books import holders, passages_of_books
from linkwright.services.tracing import TraceRequest, trace_links

WELDED = Passage("weld", "W01", 0, 999, "strand", "S1", 0, 999)


@pytest.fixture
def sold(books: Books) -> Books:  # noqa: F811
    """A strand of a thousand links: seven for the test, the rest cut, certified and sent."""
    books.line()
    books.act("start_lot", lot="L1", line="O1/1", type_test="T8")
    books.act("use_coil", lot="L1", coil="C1")
    books.act(
        "make_piece",
        lot="L1",
        piece="T",
        length_mm=168,
        strand="S1",
        first_position=0,
        last_position=6,
    )
    books.act(
        "make_piece",
        lot="L1",
        piece="P",
        length_mm=23_832,
        strand="S1",
        first_position=7,
        last_position=999,
    )
    books.act("cut_piece", piece="P", lengths_mm=[12_000, 11_832])
    books.act("take_sample", piece="T")
    books.act("present_lot", lot="L1")
    books.tested(piece="T", fracture="ductile", judged_by="cleo")
    books.act("propose", "cleo", lot="L1", disposition="release")
    books.act("decide", "dora", proposal="L1/1", agree=True)
    books.act("issue_certificate", "dora", lot="L1")
    books.act("prepare_delivery", delivery="D1", order="O1", pieces=["P.1"])
    return books


def test_a_weld_leads_to_its_part_lot_and_certificate_and_back(sold: Books, tmp_path: Path) -> None:
    """Link 507 of the strand is the first of the second part."""
    map_ = written(tmp_path, map_text(), "map.toml")
    ingest(IngestRequest((written(tmp_path, csv_text(1000), "a.csv"),), map_, tmp_path / "l"))
    with sold.store.reading() as session:
        passages = (WELDED, *passages_of_books(session))
    made = trace_links(TraceRequest(tmp_path / "l", "weld", "W01", (507, 508), passages=passages))
    reached = {
        (one.found.kind, one.found.name): (one.found.first, one.found.last) for one in made.ranges
    }
    assert reached["piece", "P.2"] == (0, 1)
    assert reached["piece", "P"] == (500, 501)
    assert reached["lot", "L1"] == (507, 508)
    assert reached["certificate", "2026-00001"] == (500, 501)
    back = trace_links(TraceRequest(tmp_path / "l", "certificate", "2026-00001", passages=passages))
    welds = [one.found for one in back.ranges if one.found.kind == "weld"]
    assert [(one.first, one.last) for one in welds] == [(7, 999)]


def test_holders_of_a_certificate_are_named(sold: Books) -> None:
    """State, customer and deliveries; an unknown name is left out."""
    with sold.store.reading() as session:
        (one,) = holders(session, ["2026-00001", "2026-09999"])
    assert (one.state, one.customer, one.deliveries) == (
        "issued",
        "Northmoor quarry (invented)",
        ("D1",),
    )


def test_a_trace_is_drawn_to_scale_with_its_pieces(sold: Books, tmp_path: Path) -> None:
    """Affected links by their metres, pieces by name; texts escaped; a file is not replaced."""
    import xml.etree.ElementTree as ET

    from linkwright.quantities import LinkwrightError
    from linkwright.services.tracing import picture_of

    map_ = written(tmp_path, map_text(), "map.toml")
    ingest(IngestRequest((written(tmp_path, csv_text(1000), "a.csv"),), map_, tmp_path / "l"))
    with sold.store.reading() as session:
        passages = (WELDED, *passages_of_books(session))
    made = trace_links(TraceRequest(tmp_path / "l", "weld", "W01", (500, 599), passages=passages))
    picture = picture_of(made, 24.0, tmp_path / "t.svg", force=False)
    said = "".join(ET.parse(picture).getroot().itertext())  # noqa: S314
    for words in ("strand S1", "12 m to 14.4 m", "piece P.2", "24 m"):
        assert words in said
    with pytest.raises(LinkwrightError, match="is there already"):
        picture_of(made, 24.0, tmp_path / "t.svg", force=False)
