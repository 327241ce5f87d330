"""Books for the tests of this room."""

from kept_books import _quick, books, both, place, refused  # noqa: F401 - fixtures
from postgresql import database, server  # noqa: F401 - fixtures
