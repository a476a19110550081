"""Every table of data/ says where its rows are from."""

from collections.abc import Iterator

import pytest

from recommender.trade.tables import share, table

NAMES = sorted(path.stem for path in share("data").glob("*.toml"))


def rows(part: object) -> Iterator[dict[str, object]]:
    """The rows of every array of tables; what a row holds goes by the row's own source."""
    for value in part.values() if isinstance(part, dict) else ():
        if isinstance(value, list):
            yield from (row for row in value if isinstance(row, dict))
        else:
            yield from rows(value)


@pytest.mark.parametrize("name", NAMES)
def test_every_row_names_its_source(name):
    # the units of the levers are tables by name, with a guess in each
    found = [*rows(table(name)), *(table(name)["units"].values() if name == "levers" else ())]
    assert found
    assert [row for row in found if not row.get("source")] == []
