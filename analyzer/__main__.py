"""`python -m analyzer` is the same as `reversal-debrief`."""

from analyzer.cli import main

if __name__ == "__main__":
    main()
