"""Readings of every link: taken in once, kept by day and machine, found again from either end."""
