"""Swatches one under the other, each to be opened."""

from collections.abc import Sequence

import streamlit as st

from parts.opening import open_with
from parts.paging import shown_page
from parts.sewn import numbers, seen
from parts.svg import escape
from parts.words import plain
from recommender import Studio
from recommender.swatches.trial import Trial
from recommender.trade.words import moment

_PAGE = 10


def show_rows(studio: Studio, trials: Sequence[Trial], key: str, *, named: bool = False) -> None:
    """A row for each swatch, `named` with its cloth; a touch opens it."""
    photographed = studio.photographed()
    for place, trial in enumerate(shown_page(trials, f"page.{key}", _PAGE)):
        with st.container(key=f"opens_{key}_{place}", gap=None):
            name = f"{plain(trial.fabric.name)} · " if named else ""
            verdict = "● passed" if trial.passed else "○ failed"
            open_with(f"{verdict} · {name}{moment(trial.when)}", f"open.{key}.{place}", trial=trial.id)
            st.html(_row(trial, has_photo=trial.id in photographed))


def _row(trial: Trial, *, has_photo: bool) -> str:
    around = [trial.stitch, trial.machine, trial.who, "with a photo" if has_photo else ""]
    note = f"<div>Note: {escape(trial.note)}</div>" if trial.note else ""
    return (
        f"<div class='quiet'>{escape(' · '.join(part for part in around if part))}</div>{numbers(trial.settings)}"
        f"<div class='quiet'>{escape(seen(trial))}</div>{note}"
    )
