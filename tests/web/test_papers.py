"""The set of papers: made by the worker, listed, taken one by one or as a zip."""

import io
import json
import zipfile


def test_the_set_is_made_and_can_be_taken_by_number_or_whole(client, planned):
    client.stands(planned)
    assert client.get(f"/api/jobs/{planned}/sheets/1").status_code == 404
    assert client.get(f"/api/jobs/{planned}/sheets.zip").status_code == 404
    at = client.get(f"/api/jobs/{planned}/plan").json()["at"]
    assert client.post(f"/api/jobs/{planned}/sheets").json()["making"]
    shares: list[float] = []
    with client.stream("GET", f"/api/jobs/{planned}/events", params={"after": at}) as stream:
        for line in stream.iter_lines():
            data = json.loads(line[6:]) if line.startswith("data: ") else {}
            if "share" in data and "stage" not in data:
                assert "problems" not in data
                shares.append(data["share"])
                if data["share"] == 1:
                    break
    assert shares == sorted(shares)
    assert len(shares) > 5
    told = client.get(f"/api/jobs/{planned}/sheets").json()
    names = [f["name"] for f in told["files"]]
    pdf = next(f for f in told["files"] if f["name"].endswith("set-out.pdf"))
    got = client.get(f"/api/jobs/{planned}/sheets/{pdf['number']}")
    assert got.content.startswith(b"%PDF")
    assert got.headers["content-type"] == "application/pdf"
    with zipfile.ZipFile(io.BytesIO(client.get(f"/api/jobs/{planned}/sheets.zip").content)) as z:
        assert z.namelist() == names
    assert client.get(f"/api/jobs/{planned}/sheets/{len(names) + 1}").status_code == 404
