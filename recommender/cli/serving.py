"""`serve` and `demo`: the dashboard."""

import os
import signal
import socket
import sys
import tomllib
from contextlib import nullcontext, suppress
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

_LAST = 3
"""Seconds that a tablet has to take what is under way to it once the server is stopped."""
_PING = 30.0
"""Seconds after which a tablet is asked whether it is still there, and again until it counts as gone: tablets doze."""


def serve(
    port: PortOption = 8501,
    address: AddressOption = "127.0.0.1",
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Serve the dashboard of a studio until it is stopped with Ctrl+C."""
    with listening(address, port) as there:
        if as_json:
            from recommender.swatches.place import log_at  # here, for it brings SQLAlchemy; the server opens the log itself

            with log_at(studio) as log:
                print_json({"studio": log.where, **_addresses(address, port)})
        else:
            _say_where(address, port)
        _become_dashboard(studio or "", there)


def demo(
    port: PortOption = 8501,
    address: AddressOption = "127.0.0.1",
    serve: Annotated[bool, typer.Option(help="Serve the dashboard, or only make the studio.")] = True,
    studio: DemoStudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Make the demo studio, whose log is invented, and serve its dashboard until it is stopped with Ctrl+C."""
    from recommender.studio import Studio

    with listening(address, port) if serve else nullcontext() as there:
        place = str(_demo_place()) if studio is None else studio
        with Studio.open(place) as opened:
            _fill_with_demo(opened)
            where, trials = str(opened.where), len(opened.trials())
        if as_json:
            print_json(
                {"studio": where, "trials": trials, **(_addresses(address, port) if serve else {"address": None, "elsewhere": None})}
            )
        else:
            typer.echo(f"Demo studio, invented: {trials} swatches in {where}")
        if there is not None:
            if not as_json:
                _say_where(address, port)
            _become_dashboard(place, there)


def listening(address: str, port: int) -> socket.socket:
    """A socket that listens there; whoever connects waits until the server is ready.

    Raises
    ------
    InvalidValue
        If nothing can listen there.
    """
    try:
        family = socket.getaddrinfo(address, port, type=socket.SOCK_STREAM)[0][0]
        both = address == "::" and socket.has_dualstack_ipv6()
        there = socket.create_server((address, port), family=family, dualstack_ipv6=both)
    except (OSError, UnicodeError) as error:
        raise InvalidValue(f"{address}:{port}: cannot listen there ({error}); give another --port or --address") from error
    # Handed on to each connection. Else the end of an answer waits 40 ms until the browser acknowledges its beginning (Nagle's algorithm).
    there.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    return there


def run_dashboard(dashboard: Path, there: socket.socket) -> None:
    """Serve a folder of pages in this process: whoever stops it stops the server."""
    import uvicorn

    sys.path.insert(0, str(dashboard))
    config = uvicorn.Config(
        import_module("server").app,
        ws="websockets-sansio",
        ws_per_message_deflate=False,
        ws_ping_interval=_PING,
        ws_ping_timeout=_PING,
        lifespan="on",
        log_config=None,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=_LAST,
    )
    server = uvicorn.Server(config)
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # it leaves in order as after Ctrl+C, and lets go of the log
    with suppress(KeyboardInterrupt):
        server.run([there])
    if not server.started:
        raise SystemExit(1)


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
    found = _addresses(address, port)
    others = f", from other devices at {found['elsewhere']}" if found["elsewhere"] else ""
    typer.echo(f"Serving the dashboard at {found['address']}{others}; stop it with Ctrl+C.")


def _addresses(address: str, port: int) -> dict[str, str | None]:
    """Where a browser on this computer finds the dashboard, and where one elsewhere does if the server listens to all."""
    everywhere = address in {"0.0.0.0", "::"}  # noqa: S104  # compared with
    here = _url("localhost" if everywhere else address, port)
    return {"address": here, "elsewhere": _url(_own_address(), port) if everywhere else None}


def _own_address() -> str:
    """The address of this computer in its network, or its name where it has none."""
    with suppress(OSError), socket.socket(type=socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # sends nothing; the address is kept for examples (RFC 5737)
        return str(probe.getsockname()[0])
    return socket.gethostname()


def _url(address: str, port: int) -> str:
    return f"http://[{address}]:{port}" if ":" in address else f"http://{address}:{port}"


def _become_dashboard(studio: str, there: socket.socket) -> None:
    sys.stdout.flush()
    os.environ.update({"OVEREDGE_STUDIO": studio, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})
    run_dashboard(share("dashboard"), there)
