"""Files that leave the log: the swatches, and the empty file to fill in."""

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import streamlit as st

from recommender import Studio
from recommender.swatches.csvfile import written
from recommender.swatches.exporting import template_rows


def offer_files(studio: Studio) -> None:
    """The swatches as CSV, and the empty template."""
    st.write(
        "Every swatch that counts, one row each: taken into another studio, they are the same swatches. Photos and care are not in it."
    )
    st.download_button(
        "Download all swatches", lambda: _exported(studio), "swatches.csv", "text/csv", key="log.export", on_click="ignore",
        disabled=not studio.trials(),
    )  # fmt: skip
    st.write(
        "The whole studio in one file, photos, care and histories too. Kept elsewhere, it is this studio again if this computer breaks."
    )
    if studio.path is None:
        st.caption("This studio is on a database server, which makes its own copies: with pg_dump.")
    else:
        copy = {"data": lambda: _copied(studio), "file_name": "studio.sqlite", "mime": "application/vnd.sqlite3"}
        st.download_button("Download a copy of the studio", **copy, key="log.copy", on_click="ignore")
    st.write("An empty file with every column and what may stand in it, to fill in at the machine.")
    st.download_button(
        "Download an empty file", lambda: written(template_rows()), "template.csv", "text/csv", key="log.template", on_click="ignore"
    )


def _exported(studio: Studio) -> bytes:
    return _handed_out(studio.export_csv)


def _copied(studio: Studio) -> bytes:
    return _handed_out(studio.copy)


def _handed_out(write: Callable[[Path], object]) -> bytes:
    with TemporaryDirectory() as folder:
        write(path := Path(folder) / "file")
        return path.read_bytes()
