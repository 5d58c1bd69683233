"""`python -m analyzer` is the same as `reversal-debrief`."""

from analyzer.run import main

if __name__ == "__main__":
    main()
