"""`python -m ullage.cli`."""

from ullage.cli import main

if __name__ == "__main__":
    main()
