"""Run furnigen as a module: python -m furnigen."""

from furnigen.cli.main import run

if __name__ == "__main__":
    run()
