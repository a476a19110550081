"""A spreadsheet on its way into the log: choose it, look at what would go in, then take it in."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import streamlit as st

from parts.preview import show_counts, show_rows
from parts.svg import escape
from parts.words import plain
from parts.work import Progress, Work, begin, forget, found, is_under_way
from recommender import Studio
from recommender.swatches.reading import known_as
from recommender.trade.words import counted

if TYPE_CHECKING:
    from recommender.swatches.importing import ImportReport

MOST = 5
"""MB that a file may have here; some 20 000 swatches, which take half a minute. The command line takes more."""
ASKED = 8
"""Unknown names of machines, the most frequent ones, for which it is asked which machine they mean."""
_LOOK, _TAKE = "log.look", "log.take"
"""Names of the two pieces of work."""


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that was handed in."""

    name: str
    """What its owner calls it."""
    data: bytes
    """What is in it."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What an import came to."""

    report: "ImportReport"
    """The report."""
    rejects: bytes
    """The file of the refused rows; empty where there are none."""


def take_in(studio: Studio) -> None:
    """The whole way of a file, as far as it has come."""
    upload: Upload | None = st.session_state.get("log.upload")
    if upload is None:
        _choose(studio)
        return
    st.html(f"<div class='lead'>{escape(upload.name)}</div>")
    if (taken := found(_TAKE)) is not None:
        st.session_state["log.upload"] = Upload(upload.name, b"")  # the report is kept until the next file, for which no bytes are needed
        forget(_LOOK)
        _show_taken(upload, taken.result, taken.trouble)
    elif not is_under_way(_TAKE) and (seen := _looked(studio, upload)) is not None:
        if seen.trouble:
            st.error(plain(seen.trouble))
        else:
            show_counts(seen.result)
            _match(studio, upload, seen.result.strangers)
            _offer(studio, upload, len(seen.result.new))
            show_rows(seen.result, studio.machines)
            if seen.result.rejects:
                _offer_rejects(seen.result.rejects, upload.name)
    if not is_under_way(_TAKE):
        st.button("Another file", on_click=_put_away, key="log.other")


def _choose(studio: Studio) -> None:
    st.write(
        "Swatches that were typed in a spreadsheet and saved as CSV. You see first what would go in and what would not, and why; nothing "
        "is written before you say so."
    )
    if not studio.machines:
        st.info("Describe your machine first: a row is kept with its machine, and goes in once the studio knows that machine's name.")
        st.page_link("app_pages/machines.py", label="To Machines")
    if st.session_state.pop("log.too_large", False):
        st.error(f"The file is larger than {MOST} MB, expected a smaller one; split it, or use the command line: `overedge import FILE`.")
    place = st.session_state.setdefault("log.place", 0)
    st.file_uploader(
        "The file", key=f"log.file.{place}", max_upload_size=MOST, on_change=_handed_in, args=(studio, f"log.file.{place}"),
        help=f"CSV, at most {MOST} MB. Separated by commas, semicolons or tabs; in UTF-8 or Windows' western letters.",
    )  # fmt: skip


def _handed_in(studio: Studio, key: str) -> None:
    if (file := st.session_state[key]) is None:
        return
    upload = Upload(file.name, file.getvalue())
    if len(upload.data) > MOST * 1_000_000 * 1.05:
        st.session_state.update({"log.too_large": True, "log.place": st.session_state["log.place"] + 1})
        return
    st.session_state["log.upload"] = upload
    forget(_TAKE)
    _look(studio, upload)


def _look(studio: Studio, upload: Upload) -> None:
    st.session_state["log.machines"], names = dict(studio.machines), _matched(studio)
    begin(_LOOK, "Reading the file", lambda progress: studio.preview(upload.data, progress, names))


def _matched(studio: Studio) -> dict[str, str]:
    """By a machine's name in the file: the machine of the studio that it was matched to, unless one of that name was added since."""
    matched, machines = st.session_state.get("log.matched", {}), studio.machines
    return {typed: known for typed, known in matched.items() if known and known_as(typed, machines) is None}


def _match(studio: Studio, upload: Upload, strangers: Mapping[str, int]) -> None:
    """For each name that no machine here has, the machine that it means; its rows are read anew then."""
    if not (strangers and studio.machines):
        return
    st.html("<b>Machines that have another name here</b>")
    most = sorted(strangers, key=lambda name: -strangers[name])[:ASKED]
    for name in most:
        key = f"log.match.{st.session_state.get('log.place', 0)}.{name}"  # of this file: what an earlier one left behind is no match
        machines, match = list(studio.machines), _matched(studio).get(name)
        # The box goes while the file is read. Where the browser has asked for news of the log meanwhile, the server still has its state
        # and does not send it with the new box: so that it is told what was matched as its beginning.
        index = None if match is None else machines.index(match)
        label = f"The file says “{plain(name[:60])}” ({counted(strangers[name], 'row')}). Which machine is that?"
        none = "none of these: its rows do not go in"
        st.selectbox(label, machines, index, key=key, placeholder=none, on_change=_rename, args=(studio, upload, name, key))
    if more := len(strangers) - len(most):
        names = counted(more, "more name")
        st.caption(f"{names} that no machine here has: mend those rows in your spreadsheet, and hand the file in again.")


def _rename(studio: Studio, upload: Upload, name: str, key: str) -> None:
    st.session_state["log.matched"] = {**st.session_state.get("log.matched", {}), name: st.session_state[key]}
    _look(studio, upload)


def _looked(studio: Studio, upload: Upload) -> Work | None:
    """What was found in the file, once it is read; read again after a reload, and where a machine was added, as the page advises."""
    if not is_under_way(_LOOK) and st.session_state.get("log.machines") != dict(studio.machines):
        _look(studio, upload)
    return found(_LOOK)


def _offer(studio: Studio, upload: Upload, new: int) -> None:
    if new:
        words = f"Take in {counted(new, 'swatch')}"
        st.button(words, type="primary", on_click=_take, args=(studio, upload), key="log.take_in")


def _take(studio: Studio, upload: Upload) -> None:
    if not is_under_way(_TAKE) and st.session_state.get(_TAKE) is None:  # two quick touches take it in once
        names = _matched(studio)
        begin(_TAKE, "Reading the file", lambda progress: _import(studio, upload, names, progress))


def _import(studio: Studio, upload: Upload, names: Mapping[str, str], progress: Progress) -> Taken:
    with TemporaryDirectory() as folder:
        report = studio.import_csv(upload.data, Path(folder) / "rejects.csv", progress, names)
        return Taken(report, report.rejects.read_bytes() if report.rejects else b"")


def _show_taken(upload: Upload, taken: Taken | None, trouble: str) -> None:
    if taken is None:
        st.error(plain(trouble))
        return
    report = taken.report
    known = f" {counted(report.known, 'row was', 'rows were')} there already." if report.known else ""
    refused = f" {counted(report.rejected, 'row', 'rows')} did not go in." if report.rejected else ""
    st.info(f"{counted(report.added, 'swatch')} went in.{known}{refused}")
    if taken.rejects:
        _offer_rejects(taken.rejects, upload.name)


def _offer_rejects(rejects: bytes, name: str) -> None:
    """The refused rows as a file."""
    st.download_button(
        "Download the refused rows", rejects, f"{Path(name).stem}.rejects.csv", "text/csv", key="log.rejects", on_click="ignore",
    )  # fmt: skip
    st.caption("As they were typed, each with what is wrong. Mend them in your spreadsheet, save it as CSV, and hand that file in here.")


def _put_away() -> None:
    for name in (_LOOK, _TAKE):
        forget(name)
    for name in ("log.upload", "log.matched"):
        st.session_state.pop(name, None)
    st.session_state["log.place"] = st.session_state.get("log.place", 0) + 1
