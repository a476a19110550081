"""Files that leave the log: the swatches, and the empty file to fill in."""

from pathlib import Path
from tempfile import TemporaryDirectory

import streamlit as st

from recommender import Studio
from recommender.swatches.csvfile import written
from recommender.swatches.exporting import template_rows


def offer_files(studio: Studio) -> None:
    """The swatches as CSV, and the empty template."""
    st.write("Every swatch that counts, one row each. Taken into another studio, they are the same swatches. Photos and care stay here.")
    st.download_button(
        "Download all swatches", lambda: _exported(studio), "swatches.csv", "text/csv", key="log.export", on_click="ignore",
        disabled=not studio.trials(),
    )  # fmt: skip
    st.write("An empty file with every column and what may stand in it, to fill in at the machine.")
    st.download_button(
        "Download an empty file", lambda: written(template_rows()), "template.csv", "text/csv", key="log.template", on_click="ignore"
    )


def _exported(studio: Studio) -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "swatches.csv"
        studio.export_csv(path)
        return path.read_bytes()
