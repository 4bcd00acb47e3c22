"""`python -m station` is the same as `jarside`."""

from station.cli import main

if __name__ == "__main__":
    main()
