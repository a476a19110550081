"""`serve` and `demo`: the dashboard."""

import os
import socket
import sys
import tomllib
from pathlib import Path
from runpy import run_module
from typing import TYPE_CHECKING, Annotated

import typer

from recommender.cli.machine import machine_from
from recommender.cli.options import DemoStudioOption, JsonOption, StudioOption
from recommender.cli.show import print_json
from recommender.errors import InvalidValue
from recommender.trade.tables import share

if TYPE_CHECKING:
    from recommender.studio import Studio

PortOption = Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")]
AddressOption = Annotated[str, typer.Option(help="Address to listen on; the usual one is reached from this machine only.")]


def serve(
    port: PortOption = 8501,
    address: AddressOption = "127.0.0.1",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Serve the dashboard of a studio until it is stopped with Ctrl+C."""
    from recommender.swatches.place import log_at

    _check_free(address, port)
    with log_at(studio) as log:  # the log alone: the whole studio is opened while the first browser draws its frame
        where = log.where
    if as_json:
        print_json({"studio": where, "address": f"http://{address}:{port}"})
    _become_dashboard(where if studio is None else studio, address, port)


def demo(
    port: PortOption = 8501,
    address: AddressOption = "127.0.0.1",
    serve: Annotated[bool, typer.Option(help="Serve the dashboard, or only make the studio.")] = True,
    studio: DemoStudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make the demo studio, whose log is invented, and serve its dashboard until it is stopped with Ctrl+C."""
    from recommender.studio import Studio

    if serve:
        _check_free(address, port)
    place = str(_demo_place()) if studio is None else studio
    with Studio.open(place) as opened:
        _fill_with_demo(opened)
        where, trials = str(opened.where), len(opened.trials())
    if as_json:
        print_json({"studio": where, "trials": trials, "address": f"http://{address}:{port}" if serve else None})
    else:
        typer.echo(f"Demo studio, invented: {trials} swatches in {where}")
    if serve:
        _become_dashboard(place, address, port)


def _demo_place() -> Path:
    from platformdirs import user_data_path

    folder = user_data_path("overedge", appauthor=False) / "demo"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "studio.sqlite"


def _fill_with_demo(studio: "Studio") -> None:
    trials = studio.trials()
    if any(trial.id.startswith("demo-") for trial in trials):
        return
    if trials:
        raise InvalidValue(
            f"{studio.where}: holds a log of its own, expected an empty studio or the demo's; give another place with --studio"
        )
    folder = share("data") / "demo"
    for profile in tomllib.loads((folder / "machines.toml").read_text(encoding="utf-8"))["machine"]:
        studio.add_machine(machine_from(profile))
    studio.import_csv(folder / "trials.csv")


def _check_free(address: str, port: int) -> None:
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind, protocol) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(place)
    except (OSError, UnicodeError) as error:
        raise InvalidValue(f"{address}:{port}: cannot listen there ({error}); give another --port or --address") from error


def _become_dashboard(studio: str, address: str, port: int) -> None:
    app = share("dashboard") / "server.py"
    options = {
        "server.address": address,
        "server.port": str(port),
        "server.headless": "true",  # ask for no e-mail, open no window
        "server.fileWatcherType": "none",
        "browser.gatherUsageStats": "false",
    }
    sys.stdout.flush()
    os.environ.update({"OVEREDGE_STUDIO": studio, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})
    _run([*(f"--{name}={value}" for name, value in options.items()), str(app)])


def _run(arguments: list[str]) -> None:
    """The dashboard's server in this process, as `python -m streamlit run` would: whoever stops it stops the server."""
    sys.argv = ["streamlit", "run", *arguments]
    run_module("streamlit", run_name="__main__", alter_sys=True)
