"""Certificates from the books: what they know is on the paper, a letter says the rest."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from kept_books import PHRASE, Books, _quick, begun, books  # noqa: F401 - fixtures

from linkwright.quantities import InputErrors
from linkwright.records.base import Content
from linkwright.records.store import open_store
from linkwright.services.certificate_of_lot import means_of, records_in, records_of
from linkwright.services.certifying import VerifyRequest, verify_file
from linkwright.services.key_files import KeyRequest, make_key_file

LETTER = Path(__file__).parents[2] / "examples" / "letter.toml"


@pytest.fixture(scope="module")
def key(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The works' key."""
    path = tmp_path_factory.mktemp("key") / "works.p12"
    make_key_file(KeyRequest(path, "Quarry Lane works", PHRASE))
    return path


@pytest.fixture
def signing(books: Books, key: Path) -> Iterator[Books]:  # noqa: F811
    """Books with a released lot of lifting chain, opened with the key."""
    books.lifting()
    books.act("propose", "cleo", lot="L1", disposition="release")
    books.act("decide", "dora", proposal="L1/1", agree=True)
    made = means_of(LETTER, key, PHRASE)
    means = replace(books.store.means, maker=made.maker, lister=made.lister)
    held = Books(open_store(books.store.place, means))
    yield held
    held.store.close()


def paper(held: Books, digest: str, path: Path) -> Path:
    with held.store.reading() as session:
        content = session.get(Content, digest)
        assert content is not None
        path.write_bytes(content.data)
    return path


def verified(file: Path, key: Path, **more: Any) -> Any:
    return verify_file(VerifyRequest(file, trust=(key.with_suffix(".pem"),), **more))


def test_from_released_lot_to_verified_paper_to_withdrawal(
    signing: Books, key: Path, tmp_path: Path
) -> None:
    """Signed, compared with the books, named by the list once it is withdrawn."""
    row = signing.act("issue_certificate", "dora", lot="L1")[0]
    file = paper(signing, row["paper"], tmp_path / "c.pdf")
    found = verified(file, key, records=records_in(signing.store.place))
    assert found.good
    assert found.found.records.state == "good"
    certificate = found.found.certificate
    assert certificate.goods.length_m == 99.0
    assert certificate.release.proposed_by == "Cleo (invented)"
    assert [line.results[0].value for line in certificate.requirements] == [86.1, 51.0, 26.0]
    signing.act("withdraw_certificate", "dora", "a link broke", certificate="2026-00001")
    made = signing.act("publish_withdrawals", "dora")[0]
    listed = paper(signing, made["paper"], tmp_path / "list.json")
    again = verified(file, key, withdrawals=(listed,))
    assert not again.good
    assert again.found.status.state == "bad"


def test_a_result_that_was_taken_out_later_differs_from_the_records(
    signing: Books, key: Path, tmp_path: Path
) -> None:
    """The paper is whole, the books say otherwise by now."""
    row = signing.act("issue_certificate", "dora", lot="L1")[0]
    file = paper(signing, row["paper"], tmp_path / "c.pdf")
    signing.act("recall_lot", "dora", "the gauge was doubted", lot="L1")
    signing.act("void_test", "cleo", "the grip slipped", test="L1/3")
    with signing.store.reading() as session:
        (tmp_path / "r.json").write_text(json.dumps(records_of(session, "2026-00001")))
    found = verified(file, key, records=tmp_path / "r.json")
    assert not found.good
    assert [one.certificate for one in found.found.differences] == [86.1]


def test_books_that_do_not_know_a_certificate_say_otherwise(
    signing: Books, key: Path, tmp_path: Path
) -> None:
    """A paper signed with the right key and never registered."""
    row = signing.act("issue_certificate", "dora", lot="L1")[0]
    file = paper(signing, row["paper"], tmp_path / "c.pdf")
    other = begun(str(tmp_path / "other.books"))
    other.store.close()
    found = verified(file, key, records=records_in(other.store.place))
    assert found.found.records.state == "bad"


def test_a_correction_names_what_it_replaces(signing: Books, key: Path, tmp_path: Path) -> None:
    """Number, fingerprint and reason."""
    old = signing.act("issue_certificate", "dora", lot="L1")[0]
    rows = signing.act(
        "issue_certificate", "dora", "wrong order number", lot="L1", replaces="2026-00001"
    )
    new = next(row for row in rows if row["id"] == "certificate:2026-00002")
    found = verified(paper(signing, new["paper"], tmp_path / "c.pdf"), key)
    replaced = found.found.certificate.replaces
    assert (replaced.number, replaced.fingerprint, replaced.reason) == (
        "2026-00001",
        old["fingerprint"],
        "wrong order number",
    )


@pytest.mark.parametrize(
    ("text", "key_said"),
    [
        ("number = 'x'\n", "number"),
        ("[goods]\nlength_m = 3.0\n", "goods.length_m"),
        ("[release]\nlot = 'x'\n", "release"),
    ],
)
def test_a_letter_says_nothing_that_the_books_know(
    key: Path, tmp_path: Path, text: str, key_said: str
) -> None:
    """With the line of the key."""
    letter = tmp_path / "letter.toml"
    letter.write_text(text)
    with pytest.raises(InputErrors) as told:
        means_of(letter, key, PHRASE)
    assert told.value.found[0].key == key_said
    assert told.value.found[0].line is not None


def test_a_letter_that_lacks_something_leaves_no_certificate(
    signing: Books, key: Path, tmp_path: Path
) -> None:
    """What is missing is told, and nothing is in the register."""
    letter = tmp_path / "letter.toml"
    letter.write_text("statement = 'x'\n[maker]\nname = 'Quarry Lane works'\n")
    made = means_of(letter, key, PHRASE)
    other = Books(open_store(signing.store.place, replace(signing.store.means, maker=made.maker)))
    with pytest.raises(InputErrors, match="maker"):
        other.act("issue_certificate", "dora", lot="L1")
    other.store.close()
    assert signing.act("issue_certificate", "dora", lot="L1")[0]["id"] == "certificate:2026-00001"
