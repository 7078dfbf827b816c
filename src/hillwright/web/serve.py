"""Start the service: a free port, this start's token, the browser."""

from __future__ import annotations

import secrets
import socket
import ssl
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
from hillwright.web.attached import Attached
from hillwright.web.planner import Limits
from hillwright.web.service import Service

PORT = 8765
TRIED = 20  # ports after it
BACKLOG = 128  # connections that wait until the service takes them


def default_store() -> Path:
    """Give the file that jobs are kept in where none is named."""
    from platformdirs import user_data_path

    return user_data_path("hillwright", appauthor=False) / "jobs.sqlite"


def serve(
    job: Path | None,
    store: Path,
    host: str,
    port: int | None,
    browser: bool,
    limits: Limits,
    sealed: tuple[Path, Path] | None = None,
) -> None:
    """Serve until interrupted; prints the address with its token.

    Parameters
    ----------
    job : Path or None
        To open the page at.
    store : Path
        File that jobs are kept in.
    host, port
        To listen on; the first free port where none is named.
    browser : bool
        Open it.
    limits : Limits
        What a plan may take.
    sealed : (Path, Path), optional
        Certificate and key: what is sent is encrypted with them.

    Raises
    ------
    HillwrightError
        The job, the store or the certificate cannot be opened, or there is no free port.
    """
    check_sealed(sealed)
    keeper = SqliteStore(store)
    service = Service(keeper, limits)
    try:
        path = f"jobs/{attach(service, job)}" if job is not None else ""
        listener = listening(host, port)
    except BaseException:
        service.close()
        raise
    number = listener.getsockname()[1]
    token = secrets.token_urlsafe(24)
    everywhere = host in ("0.0.0.0", "::")
    shown = "127.0.0.1" if everywhere else f"[{host}]" if ":" in host else host
    scheme = "https" if sealed else "http"
    address = f"{scheme}://{shown}:{number}/{path}?token={token}"
    hosts = tuple(dict.fromkeys((shown.lower(), *LOOPBACK)))
    app = application(service, token, hosts, f"hillwright-{number}", everywhere)
    if not (PAGE / "index.html").is_file():
        note = "The page is not built: `make page` builds it in a checkout. The service works."
        print(note, file=sys.stderr)
    print(f"Hillwright is at {address}\nJobs are kept in {store}. Ctrl+C ends it.", flush=True)
    if everywhere and (mine := own_address()):
        print(f"From other devices: {scheme}://{mine}:{number}/{path}?token={token}", flush=True)
    certificate, key = sealed or (None, None)
    config = uvicorn.Config(
        app,
        log_level="warning",
        timeout_graceful_shutdown=1,
        ssl_certfile=certificate,
        ssl_keyfile=str(key) if key else None,
    )
    server = uvicorn.Server(config)
    service.warm()
    if browser:
        threading.Thread(target=_open, args=(server, address), daemon=True).start()
    server.run(sockets=[listener])


def check_sealed(sealed: tuple[Path, Path] | None) -> None:
    """Refuse a certificate or key that cannot be used, before anything is started.

    Raises
    ------
    HillwrightError
        Names the two files.
    """
    if sealed is None:
        return
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(*sealed)
    except (OSError, ssl.SSLError) as error:
        where = f"{sealed[0]}, {sealed[1]}"
        why = error.strerror or str(error)
        right = "give a certificate and its key, both as PEM files"
        raise HillwrightError(where, f"cannot be used: {why.lower()}", right) from None


def own_address() -> str:
    """Give this machine's address on its network; "" where it has none."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        try:
            line.connect(("192.0.2.1", 9))  # an address for documentation: nothing is sent
        except OSError:
            return ""
        return str(line.getsockname()[0])


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
        listener.listen(BACKLOG)  # whoever opens the address that is printed now is let wait
        return listener
    place = f"{host}:{port}" if port is not None else f"{host}, ports {PORT} and after"
    raise HillwrightError(place, why, "name another with --port or --host")


def attach(service: Service, path: Path) -> str:
    """Open a job file as `opened` does; from now on the page can write to that very file."""
    job = opened(service, path)
    found = open_job(path).path
    service.attached = Attached(job, found, beside(found))
    return job


def opened(service: Service, path: Path) -> str:
    """Give the id of a job file's job in the store; what changed on the disk is a new revision."""
    found = open_job(path)
    files = beside(found.path)
    origin = str(found.path.resolve())
    entry = service.store.opened_from(origin)
    title = found.job.site.name
    if entry is None:
        return service.store.create(title, files, summary="opened", origin=origin).job
    if service.store.files(entry.id) == files:
        return entry.id  # the page wrote it there
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
