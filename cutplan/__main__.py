"""``python -m cutplan``."""

from cutplan.cli.main import run

if __name__ == "__main__":
    run()
