"""What the studio is made of, as a short list."""

import streamlit as st

from parts.svg import escape
from recommender import Studio
from recommender.trade.words import counted, moment


def show_facts(studio: Studio) -> None:
    """Where it lies, how much there is of everything, and how to keep it safe."""
    facts = studio.facts()
    rows = {
        "kept in": facts.where,
        "swatches": f"{facts.swatches}, of which {facts.passed} passed",
        "cloths": str(facts.fabrics),
        "machines": str(facts.machines),
        "known to the model": counted(facts.learned, "swatch"),
        "entries in all": f"{facts.entries}, corrections, machines and care among them",
        "last entry": moment(facts.last) if facts.last else "none yet",
        "program": f"version {facts.program}, layout {facts.layout} of the log",
    }
    cells = "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in rows.items())
    st.html(f"<dl class='facts'>{cells}</dl><div class='rule'><b>A copy for safety.</b> {escape(facts.backup)}</div>")
