"""`python -m linkwright` is the command line."""

from linkwright.cli.main import run

if __name__ == "__main__":
    run()
