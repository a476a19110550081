"""`machine`: the profiles of a studio's machines."""

import json
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Annotated, Any

import typer

from recommender.cli.options import JsonOption, StudioOption
from recommender.cli.show import print_json, print_table
from recommender.errors import FileFault, InvalidValue
from recommender.trade.machine import Dial, Machine
from recommender.trade.names import unknown

app = typer.Typer(no_args_is_help=True, help="Add, list and show machines.", epilog="Example: overedge machine add bench --generic")
_DIALS = ("differential", "length", "width", "foot_pressure")
_PARTS = ("removable_finger", "converter", "knife_disengages", "rolled_position")


@app.command(epilog="Example: overedge machine add bench --profile bench.toml")
def add(
    name: Annotated[str, typer.Argument(help="What you call the machine.")],
    *,
    generic: Annotated[bool, typer.Option("--generic", help="Take the generic profile: dials 0-9, home mark 4.")] = False,
    profile: Annotated[
        Path | None,
        typer.Option(exists=True, dir_okay=False, help="A .toml or .json file with its dials and parts; see `machine show --json`."),
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Describe a machine of the studio anew; what that does to its swatches is said.")
    ] = False,
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add a machine to the studio, or with --replace describe one anew."""
    if generic == (profile is not None):
        raise InvalidValue("machine: expected one of --generic and --profile FILE")
    machine = Machine.generic(name) if profile is None else read_profile(name, profile)
    from recommender.advice.watching.profile import consequences
    from recommender.studio import Studio
    from recommender.studio.entered import machine_of

    with Studio.open(studio) as opened:
        former = machine_of(opened.machines, name) if replace else None
        opened.add_machine(machine, new=not replace, former=former)
        told = consequences(former, machine, opened.trials(machine=name)) if former is not None else ()
    if as_json:
        print_json(machine)
        return
    typer.echo(f"Described {machine.name} anew." if replace else f"Added {machine.name}.")
    for sentence in told:
        typer.echo(f"  {sentence}")


@app.command("list", epilog="Example: overedge machine list --json")
def list_(studio: StudioOption = None, as_json: JsonOption = False) -> None:
    """List the studio's machines."""
    from recommender.studio import Studio

    with Studio.open(studio) as opened:
        machines = opened.machines
    if as_json:
        print_json(list(machines.values()))
    elif not machines:
        typer.echo("No machine yet; add one with: overedge machine add NAME --generic")
    else:
        print_table(["machine", "threads"], [[name, ", ".join(machine.tension)] for name, machine in machines.items()], text_columns=2)


@app.command(epilog="Example: overedge machine show bench --json")
def show(
    name: Annotated[str, typer.Argument(help="The machine.")],
    studio: StudioOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show a machine's dials and parts; what --json prints can be given to `machine add --profile`."""
    from recommender.studio import Studio
    from recommender.studio.entered import machine_of

    with Studio.open(studio) as opened:
        machine = machine_of(opened.machines, name)
    if as_json:
        print_json(machine)
        return
    rows = [[control, *(f"{value:g}" for value in (dial.low, dial.high, dial.step, dial.home))] for control, dial in machine.dials.items()]
    print_table(["control", "from", "to", "step", "home"], rows)
    typer.echo("\n".join(f"{part.replace('_', ' ')}: {'yes' if getattr(machine, part) else 'no'}" for part in _PARTS))


def read_profile(name: str, path: Path) -> Machine:
    """The machine that a profile file describes, under `name`.

    Raises
    ------
    FileFault
        If it is not TOML or JSON.
    InvalidValue, UnknownName
        As `machine_from`.
    """
    try:
        text = path.read_text(encoding="utf-8")
        given = json.loads(text) if path.suffix == ".json" else tomllib.loads(text)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise FileFault(f"{path}: expected a machine profile in TOML or JSON, but {error}") from error
    if not isinstance(given, dict):
        raise FileFault(f"{path}: got {type(given).__name__}, expected the dials and parts of one machine by name")
    return machine_from({**given, "name": name})


def machine_from(given: Mapping[str, Any]) -> Machine:
    """The machine that plain values describe, such as a table of a TOML file.

    Raises
    ------
    InvalidValue, UnknownName
        If it names something that no machine has, or a dial makes no sense.
    """
    known = [f.name for f in fields(Machine)]
    if strays := [key for key in given if key not in known]:
        raise unknown("machine profile", strays[0], known)
    values = dict(given)
    if "tension" in given:
        values["tension"] = {position: _dial(position, scale) for position, scale in _mapping("tension", given["tension"]).items()}
    values |= {title: _dial(title, given[title]) for title in _DIALS if given.get(title) is not None}
    return Machine(**values)


def _dial(title: str, scale: object) -> Dial:
    given = _mapping(title, scale)
    expected = [f.name for f in fields(Dial)]
    if set(given) != set(expected):
        raise InvalidValue(f"{title}: got {', '.join(given) or 'nothing'}, expected {', '.join(expected)}")
    return Dial(**given)


def _mapping(title: str, value: object) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise InvalidValue(f"{title}: got {value!r}, expected named values such as low, high, step and home")
    return value
