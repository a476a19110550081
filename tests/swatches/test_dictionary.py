"""The data dictionary in the repository is the one that the rules make."""

from recommender.swatches.columns import COLUMNS
from recommender.swatches.dictionary import dictionary
from recommender.trade.tables import share


def test_the_dictionary_in_the_repository_is_the_one_that_the_rules_make() -> None:
    kept = (share("data") / "dictionary.md").read_text(encoding="utf-8")
    assert kept == dictionary(), "make it anew: python -m recommender.swatches.dictionary > data/dictionary.md"


def test_every_column_stands_in_the_dictionary_once() -> None:
    text = dictionary()
    assert [name for name in COLUMNS if text.count(f"\n| `{name}` |") != 1] == []
