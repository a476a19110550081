"""Where a studio's log lies when nobody says."""

from pathlib import Path

from platformdirs import user_data_path

from recommender.swatches.store import Store


def log_at(where: str | Path | None) -> Store:
    """The log of a studio; that in the user's data folder where none is named."""
    return Store.open(user_data_path("overedge", appauthor=False, ensure_exists=True) / "studio.sqlite" if where is None else where)
