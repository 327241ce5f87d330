"""What tests of link data share: a PostgreSQL server beside DuckDB."""

from postgresql import database, server

__all__ = ["database", "server"]
