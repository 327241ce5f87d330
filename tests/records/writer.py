"""A process that writes acts until it is killed; each confirmed act is told on standard output.

python writer.py PLACE PERSON FIRST COUNT
"""

import sys

from argon2 import PasswordHasher
from kept_books import MEANS, Books

from linkwright.records import people
from linkwright.records.store import open_store


def main() -> None:
    """Enter pieces and rules by turns."""
    place, person, first, count = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    people.HASHER = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
    books = Books(open_store(place, MEANS))
    print("ready", flush=True)
    for number in range(first, first + count):
        key = f"{person}-{number}"
        books.done(
            "make_piece", person, key=key, lot="L1", piece=f"P{number}", length_mm=1000 + number
        )
        print(f"done {number}", flush=True)
        if number % 5 == 0:
            books.act("cut_piece", person, piece=f"P{number}", lengths_mm=[400, 600 + number])


if __name__ == "__main__":
    main()
