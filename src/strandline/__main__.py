"""Lets `python -m strandline` run the command line, as the launcher does."""

from strandline.cli.main import main

if __name__ == "__main__":
    main(prog_name="strandline")
