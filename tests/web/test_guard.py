"""Who may ask, how much, and from where; nothing that is sent reaches a file by its name."""

import io
import zipfile

import httpx
import pytest

from hillwright.web.app import PAGE
from hillwright.web.guard import UPLOAD_LIMIT

TOKEN = "a-token-for-tests"


def words(answer):
    (problem,) = answer.json()["problems"]
    return problem["what"]


def test_without_this_starts_token_nothing_of_a_job_is_given(running):
    for path in ("/api/jobs", "/api/openapi.json", "/", "/jobs/1"):
        answer = httpx.get(running + path)
        assert answer.status_code == 401, path
        assert "token is missing" in words(answer)
    for given in ("wrong", "", "é"):
        assert httpx.get(running + "/api/jobs", params={"token": given}).status_code == 401
    cookie = {"cookie": "test=wrong; other"}
    assert httpx.get(running + "/api/jobs", headers=cookie).status_code == 401


def test_the_token_of_the_address_becomes_a_cookie_and_leaves_the_address(running):
    answer = httpx.get(f"{running}/jobs/1?token={TOKEN}&tab=plan")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/jobs/1?tab=plan"
    assert "HttpOnly" in answer.headers["set-cookie"]
    assert "SameSite=Strict" in answer.headers["set-cookie"]
    with httpx.Client(base_url=running) as browser:
        browser.get(f"/?token={TOKEN}")
        assert browser.get("/api/jobs").status_code == 200


@pytest.mark.parametrize("start", ["//", "/\\", "/\\/"])
def test_an_address_that_starts_with_two_slashes_leads_nowhere_else(client, start):
    request = client.build_request("GET", f"/?token={TOKEN}")
    raw = f"{start}elsewhere.example/?token={TOKEN}".encode()
    request.url = request.url.copy_with(raw_path=raw)
    answer = client.send(request, follow_redirects=False)
    assert answer.headers["location"] == "/elsewhere.example/"


def test_a_person_without_the_token_is_told_in_a_page_and_a_program_in_json(running):
    answer = httpx.get(running + "/jobs/1/field", headers={"accept": "text/html,*/*;q=0.8"})
    assert answer.status_code == 401
    assert answer.headers["content-type"].startswith("text/html")
    assert "open the address that `hillwright serve` printed" in answer.text
    assert "{" not in answer.text
    assert "default-src 'self'" in answer.headers["content-security-policy"]
    program = httpx.get(running + "/api/jobs", headers={"accept": "text/html"})
    assert "token is missing" in words(program)


def test_what_a_stranger_asks_for_is_not_written_into_the_page_that_refuses_him(client):
    headers = {"host": "<script>alert(1)</script>", "accept": "text/html"}
    answer = client.get("/", headers=headers)
    assert answer.status_code == 421
    assert "<script" not in answer.text


def test_a_name_that_was_made_to_point_here_is_refused(client):
    answer = client.get("/api/jobs", headers={"host": "hill.example:8765"})
    assert answer.status_code == 421
    assert "not called" in words(answer)


@pytest.mark.parametrize(
    ("host", "numbers", "status"),
    [
        ("192.168.1.7:8765", False, 421),
        ("192.168.1.7:8765", True, 200),
        ("[fe80::1]:8765", True, 200),
        ("hill.example:8765", True, 421),
        ("192.168.1.7.hill.example", True, 421),
        ("", True, 421),
    ],
)
def test_a_service_on_all_addresses_takes_numbers_but_no_strange_name(host, numbers, status):
    import asyncio
    from concurrent.futures import ThreadPoolExecutor

    from hillwright.web.guard import Guard

    async def app(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    sent = []

    async def send(message):
        sent.append(message)

    scope = {"type": "http", "method": "GET", "path": "/a.js", "query_string": b""}
    scope["headers"] = [(b"host", host.encode())]
    asked = Guard(app, "t", ("127.0.0.1",), numbers=numbers)(scope, None, send)
    with ThreadPoolExecutor(1) as apart:  # a browser's tests leave a loop running in this one
        apart.submit(asyncio.run, asked).result()
    assert sent[0]["status"] == status


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_page_of_another_site_changes_nothing(client, headers):
    answer = client.post("/api/jobs", json={"example": "bracken-bank"}, headers=headers)
    assert answer.status_code == 403
    assert "another site" in words(answer)


def test_our_own_page_may(client, running):
    headers = {"origin": running, "sec-fetch-site": "same-origin"}
    answer = client.post("/api/jobs", json={"example": "bracken-bank"}, headers=headers)
    assert answer.status_code == 201


def test_every_answer_tells_the_browser_to_trust_nothing_else(client, running):
    for answer in (client.get("/api/jobs"), client.get("/api/nothing"), httpx.get(running)):
        assert "default-src 'self'" in answer.headers["content-security-policy"]
        assert "unsafe" not in answer.headers["content-security-policy"]
        assert answer.headers["x-content-type-options"] == "nosniff"
    assert client.get("/api/jobs").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/assets/../../app.py",
        "/..%2f..%2fapp.py",
        "/%2e%2e/app.py",
        "/app.py",
        "/etc/passwd",
        "/assets/%00",
    ],
)
def test_no_path_of_a_request_reaches_a_file(client, path):
    request = client.build_request("GET", "/")
    request.url = request.url.copy_with(raw_path=path.encode())
    answer = client.send(request)
    assert "import" not in answer.text
    assert "root:" not in answer.text
    page = (PAGE / "index.html").is_file()
    assert answer.status_code in ((404, 200) if page else (404, 503))


def test_an_upload_that_says_it_is_large_is_refused_before_it_is_sent(running):
    # by hand: a client library would wait to send what it announced
    import socket
    from urllib.parse import urlsplit

    host, port = urlsplit(running).netloc.split(":")
    head = (
        f"POST /api/jobs/upload HTTP/1.1\r\nHost: {host}:{port}\r\n"
        f"Authorization: Bearer {TOKEN}\r\n"
        "Content-Type: multipart/form-data; boundary=x\r\nContent-Length: 2000000000\r\n\r\n"
    )
    with socket.create_connection((host, int(port)), timeout=20) as line:
        line.sendall(head.encode())
        answer = line.recv(65536).decode()
    assert answer.startswith("HTTP/1.1 413")


def test_an_upload_that_never_ends_is_cut_off_and_fills_no_disk(client, tmp_path, monkeypatch):
    import tempfile

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    sent = 0

    def endless():
        nonlocal sent
        yield b'--x\r\ncontent-disposition: form-data; name="files"; filename="a.csv"\r\n\r\n'
        while sent < 40 * UPLOAD_LIMIT:
            sent += 1 << 20
            yield b"0" * (1 << 20)

    headers = {"content-type": "multipart/form-data; boundary=x"}
    try:
        answer = client.post("/api/jobs/upload", content=endless(), headers=headers)
        assert answer.status_code == 413
        assert "larger than 64 MB" in words(answer)
    except httpx.HTTPError:
        pass  # cut off while it was still sending
    assert sent < 3 * UPLOAD_LIMIT
    left = sum(p.stat().st_size for p in tmp_path.rglob("*") if p.is_file())
    assert left < UPLOAD_LIMIT
    assert client.get("/api/jobs").status_code == 200


def test_a_body_of_an_edit_is_no_upload(client, planned):
    patch = [{"op": "add", "path": "/site/notes", "value": "x" * 2_100_000}]
    answer = client.post(f"/api/jobs/{planned}/edits", json={"base": 1, "patch": patch})
    assert answer.status_code == 413


def upload(client, *files, **form):
    sent = [("files", (name, body)) for name, body in files]
    return client.post("/api/jobs/upload", files=sent, data=form)


@pytest.mark.parametrize(
    ("name", "body", "says"),
    [
        ("hill.pdf", b"%PDF-1.7 ...", "is a PDF, and no survey"),
        ("hill.jpg", b"\xff\xd8\xff\xe0", "is a photograph, and no survey"),
        ("notes.txt", b"Dear Ana,\nthe hill is steep.\n", "notes.txt"),
        ("empty.csv", b"", "is empty"),
        ("hill.tif", b"II*\0 and no more", "hill.tif"),
        ("hill.xml", b"<LandXML><oops></LandXML>", "hill.xml"),
        ("hill.zip", b"PK\x03\x04 and no more", "cannot be unpacked"),
        ("job.toml", b"units = ", "job.toml"),
        ("job.toml", b"\xff\xfe\xfa", "UTF-8"),
        ("job.toml", b"a = 1\n" * 60_000, "larger than 256 kB"),
        ("../job.toml", b"units = 'us'", "not a name"),
    ],
)
def test_a_file_that_is_no_survey_is_refused_in_plain_words(client, name, body, says):
    before = len(client.get("/api/jobs").json()["jobs"])
    answer = upload(client, (name, body))
    assert answer.status_code == 422, answer.text
    text = " ".join(" ".join(p.values()) for p in answer.json()["problems"])
    assert says in text
    assert "Traceback" not in text
    assert len(client.get("/api/jobs").json()["jobs"]) == before


def test_a_job_that_names_a_file_of_the_machine_is_refused(client):
    for file in ("/etc/passwd", "../../../../etc/passwd"):
        text = f'[survey]\nkind = "points"\nunit = "m"\nfile = "{file}"\n'
        answer = upload(client, ("job.toml", text.encode()), ("points.csv", b"1,2,3"))
        assert answer.status_code == 422
        assert "root:" not in answer.text


def test_a_survey_that_comes_alone_becomes_a_job(client):
    from pathlib import Path

    examples = Path(__file__).parents[2] / "examples"
    shots = (examples / "quarry-garden" / "points.csv").read_bytes()
    answer = upload(client, ("my hill.csv", shots), units="metric")
    assert answer.status_code == 201, answer.text
    state = client.get(f"/api/jobs/{answer.json()['id']}").json()
    assert state["job"]["survey"] == {"kind": "points", "file": "my hill.csv", "unit": "m"}
    assert state["name"] == "my hill"


@pytest.mark.parametrize(
    ("called", "name"),
    [
        ('Böschung "Süd"\r\nX-Odd: 1/../..', "boschung-sud-x-odd-1"),
        ("山", None),
    ],
)
def test_a_download_is_named_by_its_hill_and_by_nothing_that_a_header_or_a_folder_reads(
    client, called, name
):
    job = client.start(example="bracken-bank", name=called)
    given = client.get(f"/api/jobs/{job}/export").headers
    assert given["content-disposition"] == f'attachment; filename="{name or job}-job.zip"'
    assert "x-odd" not in given


def test_an_exported_job_comes_back_as_it_was(client, planned):
    body = client.get(f"/api/jobs/{planned}/export").content
    answer = upload(client, ("job.zip", body))
    assert answer.status_code == 201, answer.text
    again = client.get(f"/api/jobs/{answer.json()['id']}/export").content
    with zipfile.ZipFile(io.BytesIO(body)) as a, zipfile.ZipFile(io.BytesIO(again)) as b:
        assert {n: a.read(n) for n in a.namelist()} == {n: b.read(n) for n in b.namelist()}


def test_four_tape_sections_as_typed_are_a_hill(client):
    sections = [
        {"station": f"{k * 5} ft", "legs": [{"distance": "16 ft", "angle": f"{30 + k} deg"}]}
        for k in range(4)
    ]
    answer = client.post("/api/jobs", json={"sections": sections, "name": "Bank", "units": "us"})
    assert answer.status_code == 201, answer.text
    head = client.stands(answer.json()["id"])
    assert head["state"] == "done", head["problems"]
    sections[2]["legs"][0]["angle"] = "steep"
    answer = client.post("/api/jobs", json={"sections": sections})
    assert answer.status_code == 422
    assert "sections.csv line 4" in answer.json()["problems"][0]["where"]


def test_a_reader_that_takes_too_long_is_ended(tmp_path):
    from hillwright.web.reading import UploadError, read

    path = tmp_path / "0"
    path.write_text("1,2,3,4,GR\n")
    with pytest.raises(UploadError, match="takes longer than"):
        read([("hill.csv", path)], "us", time=0.0)
