"""What nobody foresaw: a sentence with what to do on the page, and the same mark beside the traceback in the server's log."""

import logging
import secrets

import streamlit as st

from parts.words import plain
from recommender.errors import OveredgeError


def tell(error: Exception) -> bool:
    """Show what went wrong in a page, a piece of it or a touch, and say that nothing else need be shown."""
    st.error(plain(sentence(error)))
    return True


def sentence(error: Exception) -> str:
    """What a person is told: an error of this package as it stands, of any other only where the server's log tells more."""
    if isinstance(error, OveredgeError):
        return str(error)
    mark = secrets.token_hex(3)
    logging.getLogger(__name__).error("reference %s", mark, exc_info=error)
    return (
        "This went wrong in a way that the program does not know. What is saved is safe; reload the page and try again. "
        f"Whoever looks after the server finds more in its log, under {mark}."
    )
