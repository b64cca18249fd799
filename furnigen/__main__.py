"""Run furnigen as a module: python -m furnigen."""

from furnigen.core.processes import leave_current_folder

if __name__ == "__main__":
    leave_current_folder()
    from furnigen.cli.main import run

    run()
