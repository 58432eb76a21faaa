"""`ramstill live`: the bench in a browser, and a class on the network."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from ramstill.cli.output import warn
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.live.keeping import Kept

AIRPLANE = "low-wing-mast"


def live(
    *,
    airplane: str | None = None,
    scenario: str | None = None,
    ground: Annotated[bool, Parameter(negative="")] = False,
    on_network: Annotated[bool, Parameter(negative="")] = False,
    reached_as: Annotated[list[str] | None, Parameter(negative="")] = None,
    port: int = 8470,
    keep: Path = Path("ramstill-live"),
    resume: bool | None = None,
) -> None:
    """Open the bench in a browser: fly, break, rewind, and teach a class.

    Prints the address of the instructor's page, with the key that opens it, and serves until Ctrl-C. Without
    --on-network nothing but this machine reaches it. Nothing leaves the machine either way, and nothing is
    loaded from elsewhere.

    Parameters
    ----------
    airplane
        A hangar name, such as low-wing-mast (which is flown if nothing is named), or the path of an airplane
        file; by levers, from the page.
    scenario
        A scenario file, or the name of one that comes with the program, to fly as it says.
    ground
        Begin at the bench on the ground: press and hold an opening to blow, pull, or lay a finger on it.
    on_network
        Let learners on the same network in. Traffic is then unencrypted: whoever shares the network can
        read it. The class word and the keys stay secret only as far as that network is.
    reached_as
        A further name or address by which learners reach this machine, beside --on-network. May be given
        again.
    port
        Where to listen; 0 takes any free one.
    keep
        Folder for the session: what was done, saved flights, debriefs. May be used again and again.
    resume
        Take up the last session of the folder. Without either, it is taken up if its server was killed less
        than three hours ago.
    """
    import logging
    import os

    from ramstill.live.address import listen
    from ramstill.live.serving import server_for

    logging.basicConfig(format="ramstill: %(message)s", level=logging.WARNING)
    if not os.environ.get("RAMSTILL_TRACE"):
        logging.getLogger("uvicorn").setLevel(logging.CRITICAL)  # it would print tracebacks
    said = _wanted(airplane, scenario, ground)
    if not 0 <= port <= 65535:
        raise InputError("--port", "", port, "0 to 65535")
    place = listen(port, on_network, tuple(reached_as or ()))
    try:
        kept = _session(keep, said, resume)
        bench = f"http://{place.hosts[0]}/bench#{kept.key}"
        print(f"The bench, for you alone:  {bench}")
        print(f"Learners:                  {place.learners}")
        if place.on_network:
            warn("on the network: traffic is unencrypted, and whoever shares the network can read it")
        print(f"Kept in {keep}. Ctrl-C ends it.", flush=True)
        server_for(kept, place).run(sockets=[place.socket])
    finally:
        place.socket.close()


def _wanted(airplane: str | None, scenario: str | None, ground: bool) -> dict[str, Any]:
    """The first flight, as a page would ask for it."""
    if scenario is not None:
        if airplane is not None or ground:
            other = "--airplane" if airplane is not None else "--ground"
            raise InputError("--scenario", "", f"{other} beside it", "one of them")
        return {"do": "stage", "scenario": _where(scenario), "mode": "scenario"}
    mode = "ground" if ground else "levers"
    return {"do": "stage", "airplane": _where(airplane or AIRPLANE), "mode": mode}


def _where(named: str) -> str:
    """A file by its whole path, so that the session finds it again; a name as it is."""
    return str(Path(named).absolute()) if named.endswith(".toml") else named


def _session(keep: Path, said: dict[str, Any], resume: bool | None) -> "Kept":
    """The session to go on with, or a new one."""
    from ramstill.cli.output import progress
    from ramstill.live.keeping import cut_off, latest, new_session, taken_up

    last = latest(keep)
    if resume and last is None:
        raise InputError("--resume", "", f"nothing in {keep}", "a folder with a session in it")
    if last is not None and (resume or (resume is None and cut_off(last))):
        with progress(f"Taking up {last.name} where it was"):
            kept = taken_up(last)
        print(f"Taken up again: {last.name}, {kept.deck.now_s:.0f} s into {kept.deck.title}")
        return kept
    with progress("Getting the airplane ready"):
        return new_session(keep, said)
