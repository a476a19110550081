"""`serve` and `demo`: the dashboard."""

import gc
import os
import socket
import sys
import tomllib
from importlib import import_module
from pathlib import Path
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
    _check_free(address, port)
    if as_json:
        from recommender.swatches.place import log_at  # here, for it brings SQLAlchemy; the server opens the log itself

        with log_at(studio) as log:
            print_json({"studio": log.where, "address": _url(address, port)})
    else:
        _say_where(address, port)
    _become_dashboard(studio or "", address, port)


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
        print_json({"studio": where, "trials": trials, "address": _url(address, port) if serve else None})
    else:
        typer.echo(f"Demo studio, invented: {trials} swatches in {where}")
    if serve:
        if not as_json:
            _say_where(address, port)
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


def _say_where(address: str, port: int) -> None:
    typer.echo(f"The dashboard is at {_url(address, port)} until you stop it with Ctrl+C.")


def _url(address: str, port: int) -> str:
    return f"http://[{address}]:{port}" if ":" in address else f"http://{address}:{port}"


def _check_free(address: str, port: int) -> None:
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind, protocol) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(place)
    except (OSError, UnicodeError) as error:
        raise InvalidValue(f"{address}:{port}: cannot listen there ({error}); give another --port or --address") from error


def _become_dashboard(studio: str, address: str, port: int) -> None:
    sys.stdout.flush()
    gc.disable()  # until the studio is open: what is imported and read for it is there to stay
    os.environ.update({"OVEREDGE_STUDIO": studio, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})
    os.environ.update({"STREAMLIT_SERVER_ADDRESS": address, "STREAMLIT_SERVER_PORT": str(port)})  # whose pages may speak with the server
    sys.path.insert(0, str(share("dashboard")))
    _run(address, port)


def _run(address: str, port: int) -> None:
    """The dashboard's server in this process: whoever stops it stops the server.

    Not by `streamlit run`, which leaves Nagle's algorithm on: each of the frame's hundred files then waits 40 ms for its last packet.
    """
    import uvicorn

    app = import_module("server").app
    uvicorn.run(app, host=address, port=port, ws="websockets-sansio", ws_per_message_deflate=False, log_level="warning", access_log=False)
