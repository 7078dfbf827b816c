"""The service as an ASGI application: routes, problems in one shape, the built page."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse, PlainTextResponse, Response
from starlette.exceptions import HTTPException

from hillwright import __version__
from hillwright.errors import HillwrightError
from hillwright.store.errors import NoSuchJob, NothingToDo, Stale, StoreError
from hillwright.store.pointer import pointer
from hillwright.web.attached import ChangedOutside
from hillwright.web.guard import Guard
from hillwright.web.packed import plain
from hillwright.web.routes import attached, field, forms, jobs, plans, prices
from hillwright.web.service import ClashError, Service, as_written
from hillwright.web.worker import told

PAGE = Path(__file__).parent / "page"
NO_PAGE = (
    "The page is not built. In a checkout `make page` builds it; it brings its own Node.\n"
    "The service itself works: /api/openapi.json says what it can do.\n"
)
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def application(
    service: Service,
    token: str = "",
    hosts: tuple[str, ...] = LOOPBACK,
    cookie: str = "hillwright",
    numbers: bool = False,
) -> Guard:
    """Make the application for one service.

    Parameters
    ----------
    service : Service
        What it serves; closed when the application ends.
    token : str
        That every request must show; "" for none.
    hosts : tuple of str
        Names that it is reached by.
    cookie : str
        Name of the cookie that carries the token.
    numbers : bool
        Any address in numbers will do as well.
    """
    return Guard(bare(service), token, hosts, cookie, numbers)


def bare(service: Service) -> FastAPI:
    """Make the application without its guard; for `application`, and to write its schema."""

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        yield
        service.close()

    app = FastAPI(
        title="Hillwright",
        version=__version__,
        description="Jobs, edits, plans and papers of terraced hillsides. Problems are told as "
        "{where, what, right}. Numbers are SI, x east, y north, z up, unless they say otherwise.",
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=life,
    )
    app.state.service = service
    for each in (jobs, attached, plans, forms, prices, field):
        app.include_router(each.router)
    app.add_exception_handler(HillwrightError, _problems)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _plain_refusal)
    app.add_exception_handler(Exception, _fault)
    app.add_api_route("/{path:path}", _page, methods=["GET"], include_in_schema=False)
    return app


def status_of(error: HillwrightError) -> int:
    """Give the status that an error is answered with."""
    kinds: tuple[tuple[type[HillwrightError], int], ...] = (
        (NoSuchJob, 404),
        (Stale, 409),
        (NothingToDo, 409),
        (ClashError, 409),
        (ChangedOutside, 409),
        (StoreError, 503),
    )
    return next((code for kind, code in kinds if isinstance(error, kind)), 422)


async def _problems(request: Request, error: Exception) -> Response:
    assert isinstance(error, HillwrightError)
    body: dict[str, Any] = {"problems": told(error)}
    if isinstance(error, ClashError):
        body |= {"side": error.side, "head": error.head}
        body["clashes"] = [
            {
                "path": pointer(c.path),
                "base": as_written(c.base),
                "mine": as_written(c.mine),
                "theirs": as_written(c.theirs),
            }
            for c in error.clashes
        ]
    return JSONResponse(plain(body), status_of(error))


async def _not_understood(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    problems = []
    for each in error.errors():
        place = ".".join(str(step) for step in each["loc"]) or "request"
        what = str(each["msg"]).removeprefix("Value error, ")
        right = "see /api/openapi.json"
        problems.append({"where": place, "what": what[:1].lower() + what[1:], "right": right})
    return JSONResponse({"problems": problems}, 422)


async def _plain_refusal(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    what = {404: "is not there", 405: "cannot be asked in this way"}.get(
        error.status_code, str(error.detail).lower()
    )
    problem = {"where": request.url.path, "what": what, "right": "see /api/openapi.json"}
    return JSONResponse({"problems": [problem]}, error.status_code, headers=error.headers)


async def _fault(request: Request, error: Exception) -> Response:
    what = f"a fault of the program, not of your job ({type(error).__name__})"
    right = "please report it; the terminal says where it happened"
    problem = {"where": "Hillwright", "what": what, "right": right}
    return JSONResponse({"problems": [problem]}, 500)


def _files() -> dict[str, Path]:
    """List the files of the built page; only these can be asked for."""
    if not PAGE.is_dir():
        return {}
    return {p.relative_to(PAGE).as_posix(): p for p in PAGE.rglob("*") if p.is_file()}


def _page(path: str) -> Response:
    """Give a file of the page, or the page itself for every address within it."""
    if path.startswith("api/"):
        raise HTTPException(404)
    files = _files()
    if path in files:
        # a built file carries the digest of its content in its name
        built = path.startswith("assets/")
        kept = "public, max-age=31536000, immutable" if built else "no-cache"
        return FileResponse(files[path], headers={"cache-control": kept})
    if "index.html" not in files:
        return PlainTextResponse(NO_PAGE, 503)
    if "." in path.rsplit("/", 1)[-1]:
        raise HTTPException(404)
    return FileResponse(files["index.html"], headers={"cache-control": "no-cache"})
