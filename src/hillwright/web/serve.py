"""Start the service: a free port, this start's token, the browser."""

from __future__ import annotations

import secrets
import socket
import sys
import threading
import time
import webbrowser
from pathlib import Path

import uvicorn

from hillwright.errors import HillwrightError
from hillwright.job.read import FILES, open_job
from hillwright.store.model import JOB_FILE
from hillwright.store.sqlite import SqliteStore
from hillwright.web.app import LOOPBACK, PAGE, application
from hillwright.web.planner import Limits
from hillwright.web.service import Service

PORT = 8765
TRIED = 20  # ports after it


def default_store() -> Path:
    """Give the file that jobs are kept in where none is named."""
    from platformdirs import user_data_path

    return user_data_path("hillwright", appauthor=False) / "jobs.sqlite"


def serve(
    job: Path | None, store: Path, host: str, port: int | None, browser: bool, limits: Limits
) -> None:
    """Serve until interrupted; prints the address with its token.

    Raises
    ------
    HillwrightError
        The job or the store cannot be opened, or there is no free port.
    """
    keeper = SqliteStore(store)
    service = Service(keeper, limits)
    try:
        path = f"jobs/{opened(service, job)}" if job is not None else ""
        listener = listening(host, port)
    except BaseException:
        service.close()
        raise
    number = listener.getsockname()[1]
    token = secrets.token_urlsafe(24)
    shown = f"[{host}]" if ":" in host else host
    address = f"http://{shown}:{number}/{path}?token={token}"
    hosts = tuple(dict.fromkeys((shown, *LOOPBACK)))
    app = application(service, token, hosts, f"hillwright-{number}")
    if not (PAGE / "index.html").is_file():
        note = "The page is not built: `make page` builds it in a checkout. The service works."
        print(note, file=sys.stderr)
    print(f"Hillwright is at {address}\nJobs are kept in {store}. Ctrl+C ends it.", flush=True)
    config = uvicorn.Config(app, log_level="warning", timeout_graceful_shutdown=1)
    server = uvicorn.Server(config)
    if browser:
        threading.Thread(target=_open, args=(server, address), daemon=True).start()
    server.run(sockets=[listener])


def _open(server: uvicorn.Server, address: str) -> None:
    while not server.started:
        time.sleep(0.02)
    webbrowser.open(address)


def listening(host: str, port: int | None) -> socket.socket:
    """Give a socket on the port, or on the first free one where none is named."""
    for number in [port] if port is not None else range(PORT, PORT + TRIED):
        listener = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
        if sys.platform != "win32":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((host, number))
        except OSError as error:
            listener.close()
            why = (error.strerror or "cannot be used").lower()
            continue
        return listener
    place = f"{host}:{port}" if port is not None else f"{host}, ports {PORT} and after"
    raise HillwrightError(place, why, "name another with --port or --host")


def opened(service: Service, path: Path) -> str:
    """Give the id of a job file's job in the store; what changed on the disk is a new revision."""
    found = open_job(path)
    files = beside(found.path)
    origin = str(found.path.resolve())
    entry = service.store.opened_from(origin)
    title = found.job.site.name
    if entry is None:
        return service.store.create(title, files, summary="opened", origin=origin).job
    read = [r for r in service.store.revisions(entry.id) if r.summary in ("opened", "read again")]
    if service.store.files(entry.id, read[0].number) != files:
        # it was changed outside the page: that is the newest, and undo goes back to the page's
        head = service.store.revision(entry.id)
        service.store.save(entry.id, head.number, files, summary="read again", title=title)
    return entry.id


def beside(job: Path) -> dict[str, bytes]:
    """Give a job file and every file that it names, by the names that the store keeps them by.

    Raises
    ------
    HillwrightError
        It names a file in another folder.
    """
    import tomllib

    text = job.read_bytes()
    tables = tomllib.loads(text.decode("utf-8-sig"))
    files = {JOB_FILE: text}
    for section, key in FILES:
        table = tables.get(section)
        name = table.get(key) if isinstance(table, dict) else None
        if not isinstance(name, str) or not name.strip():
            continue
        if Path(name).name != name:
            what = f"{name!r} lies in another folder"
            right = "put it beside the job file to open the job on the page"
            raise HillwrightError(f"{job.name}: {section}.{key}", what, right)
        files[name] = (job.parent / name).read_bytes()
    kept = job.with_name(f"{job.stem}.planting.json")
    if kept.is_file():
        files["job.planting.json"] = kept.read_bytes()
    return files
