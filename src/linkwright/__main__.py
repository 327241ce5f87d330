"""`python -m linkwright` is the command line."""

import sys

if __name__ == "__main__":
    try:
        from linkwright.cli.main import run
    except KeyboardInterrupt:  # interrupted before there was anything to leave half done
        sys.exit(130)
    run()
