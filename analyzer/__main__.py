"""`python -m analyzer` is the same as `reversal-debrief`."""

from analyzer.run.cli import main

if __name__ == "__main__":
    main()
