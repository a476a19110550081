"""Files that leave the log: the swatches, and the empty file to fill in."""

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import streamlit as st

from recommender import Studio
from recommender.swatches.csvfile import written
from recommender.swatches.exporting import template_rows

_COPY = "studio.sqlite"
"""Name of the file that holds the whole studio."""


def offer_files(studio: Studio) -> None:
    """The swatches as CSV, and the empty template."""
    st.write(
        "Every swatch that counts, a row each, for a spreadsheet, or for another studio to take in on this page. Photos, care and the "
        "swatches' histories are not in it."
    )
    st.download_button(
        "Download all swatches", lambda: _exported(studio), "swatches.csv", "text/csv", key="log.export", on_click="ignore",
        disabled=not studio.trials(),
    )  # fmt: skip
    if studio.path is None:
        st.caption("This studio is on a database server, which makes its own copies: with pg_dump.")
    else:
        st.write(
            "The whole studio in one file, to be kept on another disk: machines, swatches with their histories, photos, care, and the list "
            "of planned ones. If this computer breaks, start the program on another with that file, and everything is there again: "
            f"`overedge serve --studio {_COPY}`."
        )
        copy = {"data": lambda: _copied(studio), "file_name": _COPY, "mime": "application/vnd.sqlite3"}
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
