"""`python -m recommender` is `overedge`."""

from recommender.cli import main

if __name__ == "__main__":
    main()
