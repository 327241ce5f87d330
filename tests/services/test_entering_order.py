"""An order file in the books: lines, what their standards ask, once."""

from kept_books import Books, _quick, books  # noqa: F401 - fixtures

from linkwright.records.kinds import Line, Requirement
from linkwright.records.writing import all_latest, found
from linkwright.services.entering_order import enter_order_bytes
from linkwright.works import demo_bytes


def test_the_demo_order_is_entered_once_with_what_its_standards_ask(books: Books) -> None:  # noqa: F811
    """Forces of EN 818-2 with their source; a drive waits for its chain; twice changes nothing."""
    raw = demo_bytes("order.toml")
    made = enter_order_bytes(books.store, books.signed("ben"), raw, why="order of November")
    assert made.order == "Q-1042"
    assert any("not chosen yet" in note for note in made.notes)
    again = enter_order_bytes(books.store, books.signed("ben"), raw, why="order of November")
    assert (again.acts, again.lines) == (0, made.lines)
    with books.store.reading() as session:
        line = found(session, Line, "Q-1042/1")
        asked = {row.characteristic: row for row in all_latest(session, Requirement)}
    assert (line.size_mm, line.length_mm, line.grade) == (8.0, 300_000, "8")
    assert asked["breaking force"].least == 80.4
    assert "5.4.2" in asked["breaking force"].source
    assert "from memory" in asked["breaking force"].source
    assert asked["tensile strength"].least == 60.0
