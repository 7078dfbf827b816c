"""A job taken along as one file comes back as it was; what is no job is refused."""

import io
import zipfile

import pytest

from hillwright.errors import JobError
from hillwright.store.pack import check_files, check_name, pack, unpack

FILES = {"job.toml": b"x", "points.csv": b"1,2", "job.planting.json": b"{}"}


def zipped(**entries):
    into = io.BytesIO()
    with zipfile.ZipFile(into, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, body in entries.items():
            archive.writestr(name.replace("__", "/").replace("_", "."), body)
    return into.getvalue()


def test_a_packed_job_comes_back_whole_and_packs_to_the_same_bytes():
    assert unpack(pack(FILES)) == FILES
    assert pack(FILES) == pack(dict(reversed(FILES.items())))


def test_a_folder_of_its_own_and_a_job_file_of_another_name_are_understood():
    body = zipped(hill__hill_toml="x", hill__points_csv="1", hill__hill_planting_json="{}")
    assert unpack(body) == {"job.toml": b"x", "points.csv": b"1", "job.planting.json": b"{}"}


@pytest.mark.parametrize("name", ["../job.toml", "a/b", "a\\b", "", ".", "con", "a:b", "x" * 90])
def test_a_name_that_is_more_than_a_name_is_refused(name):
    with pytest.raises(JobError, match="not a name"):
        check_name(name)


def test_a_zip_that_climbs_out_of_its_folder_is_refused():
    with pytest.raises(JobError, match="not a name"):
        unpack(zipped(**{"job_toml": "x", "..__evil_txt": "x"}))


def test_a_zip_that_swells_is_refused_before_it_is_unpacked_whole():
    body = zipped(job_toml="x", big_csv="0" * 70_000_000)
    assert len(body) < 200_000
    with pytest.raises(JobError, match="larger than 64 MB once unpacked"):
        unpack(body)


def test_what_is_no_zip_or_no_job_is_told():
    with pytest.raises(JobError, match="cannot be unpacked"):
        unpack(b"not a zip")
    with pytest.raises(JobError, match="cannot be unpacked"):
        unpack(pack(FILES)[:-40])
    with pytest.raises(JobError, match="holds no job file"):
        unpack(zipped(points_csv="1"))
    with pytest.raises(JobError, match="holds 2 job files"):
        unpack(zipped(a_toml="1", b_toml="2"))
    with pytest.raises(JobError, match="41 files"):
        unpack(zipped(**{f"f{i}_csv": "1" for i in range(41)}))


def test_too_many_files_or_too_large_are_refused():
    with pytest.raises(JobError, match="larger than 64 MB"):
        check_files({"job.toml": b"0" * 64_000_001})
    with pytest.raises(JobError, match="has 41 files"):
        check_files({f"f{i}.csv": b"" for i in range(41)})
