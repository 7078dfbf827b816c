"""The files that [rain] names are read beside the job, and their faults told with their lines."""

import pytest

from hillwright.errors import HillwrightError
from hillwright.job.new import write_job
from hillwright.job.rainread import read_rain
from hillwright.job.read import open_job
from hillwright.plan import work_out

TABLE = """Point precipitation frequency estimates (inches)
PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 2,10
5-min:, 0.3,0.42
60-min:, 1.0,1.6
24-hr:, 2.6,4.1
"""
EVENT = "time (min), total (in)\n0, 0\n30, 0.5\n60, 0.9\n"


def job(folder, rain, **files):
    for name, text in files.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    (path, *_) = write_job(folder, "us")
    path.write_text(path.read_text("utf-8").replace("[rain]", f"[rain]\n{rain}"), "utf-8")
    return path


def test_table_and_event_reach_the_plan(tmp_path):
    path = job(tmp_path, 'table = "table.csv"\nevent = "event.csv"', table=TABLE, event=EVENT)
    read = read_rain(open_job(path))
    assert read.table.mean.shape == (3, 2)
    plan = work_out(open_job(path))
    assert plan.runoff.rain.depth == pytest.approx(4.1 * 0.0254)
    assert plan.runoff.event is not None
    assert plan.runoff.threshold.years.tolist() == [2, 10]


# what the issue names: each its own message, at its own line
@pytest.mark.parametrize(
    ("table", "event", "where", "what"),
    [
        (TABLE.replace("1.0,1.6", "0.2,1.6"), EVENT, "table.csv line 5", "less rain in a longer"),
        (TABLE.replace("(inches)", "(cubits)"), EVENT, "table.csv line 1", "'cubits' is not known"),
        (TABLE, EVENT.replace("60,", "20,"), "event.csv line 4", "time runs backwards"),
        (TABLE, EVENT.replace("(in)", "(furlong)"), "event.csv line 1", "'furlong' is not known"),
        (TABLE, EVENT.replace("0.9", "0.4"), "event.csv line 4", "the total falls"),
    ],
)
def test_a_fault_of_a_rain_file_is_told_at_its_line(tmp_path, table, event, where, what):
    path = job(tmp_path, 'table = "table.csv"\nevent = "event.csv"', table=table, event=event)
    with pytest.raises(HillwrightError) as told:
        work_out(open_job(path))
    assert [p.where for p in told.value.problems] == [where]
    assert what in told.value.problems[0].what


def test_faults_of_both_files_come_together(tmp_path):
    table, event = TABLE.replace("(inches)", "(cubits)"), EVENT.replace("60,", "20,")
    path = job(tmp_path, 'table = "table.csv"\nevent = "event.csv"', table=table, event=event)
    with pytest.raises(HillwrightError) as told:
        read_rain(open_job(path))
    assert [p.where for p in told.value.problems] == ["table.csv line 1", "event.csv line 4"]


def test_rain_typed_in_that_falls_with_duration_is_told_by_its_key(tmp_path):
    rain = 'depths = [["10 years", "1 h", "2 in"], ["10 years", "24 h", "1 in"]]'
    with pytest.raises(HillwrightError, match="less rain in a longer time"):
        open_job(job(tmp_path, rain))


def test_an_outlet_above_the_drains_is_refused(tmp_path):
    path = job(tmp_path, "")
    text = path.read_text("utf-8")
    path.write_text(
        text.replace("[drains]", '[drains]\ncrest = "always"\noutlet = ["19 ft", "16 ft"]')
    )
    with pytest.raises(HillwrightError, match=r"drains\.outlet"):
        work_out(open_job(path))
