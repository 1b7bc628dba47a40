"""`python -m trainer` is the same as `boxwalk`."""

from trainer.cli import main

if __name__ == "__main__":
    main()
