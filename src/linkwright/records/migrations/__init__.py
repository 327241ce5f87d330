"""Steps between versions of the books' tables."""
