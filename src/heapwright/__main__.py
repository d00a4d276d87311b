"""`python -m heapwright`: the command line, for where the installed command is not on the path."""

from heapwright.cli import main

if __name__ == "__main__":
    main()
