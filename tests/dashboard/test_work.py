"""Work in the background: it ends, it tells, it fails in a sentence, and it may be left."""

import time

import pytest
from streamlit.testing.v1 import AppTest

from recommender.errors import InvalidValue


def script():
    import streamlit as st
    from parts.work import begin, found, is_under_way

    if st.button("go") and not is_under_way("deed"):
        begin("deed", "Counting", st.session_state["task"])
    if (work := found("deed")) is not None:
        st.write(f"came to {work.result}" if not work.trouble else work.trouble)


@pytest.fixture
def page():
    return AppTest.from_function(script, default_timeout=20)


def started(page, task):
    page.session_state["task"] = task
    page.run()
    page.button[0].click()
    return page.run()


def ended(page):
    for _ in range(400):
        if page.session_state["deed"].done:
            break
        time.sleep(0.02)
    assert not page.run().exception
    return page


def test_what_it_came_to_is_shown_when_it_is_done(page):
    gate = []

    def task(progress):
        progress("Counting to three", 0.5)
        while not gate:
            time.sleep(0.01)
        return 3

    started(page, task)
    assert not page.markdown
    assert "You may go to another page" in str(page.get("progress")[0].proto)
    gate.append("open")
    assert ended(page).markdown[0].value == "came to 3"


def test_an_error_of_a_person_is_its_sentence(page):
    def task(progress):
        raise InvalidValue("gsm: got 5")

    assert ended(started(page, task)).markdown[0].value == "gsm: got 5"


def test_a_fault_of_the_program_is_a_sentence_with_a_reference_to_the_servers_log(page, caplog):
    def task(progress):
        raise ZeroDivisionError("secret")

    said = ended(started(page, task)).markdown[0].value
    assert "secret" not in said
    mark = said.removesuffix(".").split()[-1]
    assert any(mark in record.getMessage() and record.exc_info for record in caplog.records)


def test_progress_stays_between_nothing_and_all(page):
    shares = []

    def task(progress):
        for share in (-1.0, 2.0):
            progress("Counting", share)
            shares.append(page.session_state["deed"].share)

    ended(started(page, task))
    assert shares == [0.0, 1.0]
