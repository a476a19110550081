"""What a swatch was sewn with and how it came out, in few words: pieces of HTML that the swatch book is put together from."""

from base64 import b64encode
from collections.abc import Sequence
from functools import partial
from itertools import starmap

import streamlit as st

from parts.setting import cell
from parts.svg import escape
from parts.units import chosen
from recommender import Fabric, Settings, Studio
from recommender.swatches.pictures import photo
from recommender.swatches.trial import Trial
from recommender.trade.looks import scored
from recommender.trade.readings import FLAGS
from recommender.trade.thread import Thread
from recommender.trade.words import described, threaded

_LATELY = 24
"""Swatches whose ratings are drawn one by one; earlier ones are only counted."""
_NAMED = 2
"""Readings off 0 that are named in one line."""


def numbers(settings: Settings) -> str:
    """Every control with its number, as wide as there is room."""
    return f"<dl class='numbers'>{''.join(starmap(cell, settings.numbers().items()))}</dl>"


def cloth_words(fabric: Fabric) -> str:
    """A cloth in one line, in the chosen units."""
    return described(fabric, chosen())


def threads_words(needle: Thread, looper: Thread) -> str:
    """The threads in one line."""
    of = partial(threaded, units=chosen())
    return f"needles and loopers {of(needle)}" if needle == looper else f"needles {of(needle)}; loopers {of(looper)}"


def seen(trial: Trial) -> str:
    """What was read off a swatch, in one line: faults, what was off, the most first, and how much was right."""
    off = sorted(((name, score) for name, score in trial.readings.items() if score), key=lambda one: -abs(one[1]))
    said = [FLAGS[flag] for flag in FLAGS if flag in trial.flags]
    said += [scored(name, score, trial.stitch) for name, score in off[:_NAMED]]
    said += [f"{len(off) - _NAMED} more off, by {abs(off[_NAMED][1]):g} at most"] if len(off) > _NAMED else []
    if right := len(trial.readings) - len(off):
        said.append(f"{right} of {len(trial.readings)} readings right" if off else f"all {right} readings right")
    return "; ".join(said) or "no reading made"


def tally(trials: Sequence[Trial]) -> str:
    """How many passed, with the last ratings drawn in the order in which they were sewn: filled where one passed."""
    passed = sum(trial.passed for trial in trials)
    lately = sorted(trials, key=lambda trial: trial.when)[-_LATELY:]
    marks = "".join(f"<i class='{'hit' if trial.passed else 'miss'}'></i>" for trial in lately)
    told = ", ".join("passed" if trial.passed else "failed" for trial in lately)
    words = f"{passed} of {len(trials)} passed"
    return f"<div class='tally'><span>{words}</span><span class='marks' role='img' aria-label='In order: {told}'>{marks}</span></div>"


def picture(studio: Studio, trial_id: str, alt: str, longest: int = 320) -> str:
    """A swatch's photo, of so many pixels a side; nothing where it has none."""
    kept = studio.photo(trial_id)
    return "" if kept is None else f'<img class="thumb" src="{_small(kept, longest)}" alt="{escape(alt)}">'


@st.cache_data(max_entries=400, show_spinner=False)
def _small(kept: bytes, longest: int) -> str:
    return f"data:image/jpeg;base64,{b64encode(photo(kept, longest)).decode()}"
