"""Lets ``python -m mockup`` and the installed command start the command line."""

from mockup.cli.main import main

if __name__ == "__main__":
    main()
