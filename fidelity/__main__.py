"""Run the commands as ``python -m fidelity``."""

from fidelity.cli import main

if __name__ == "__main__":
    main(prog_name="fidelity")
