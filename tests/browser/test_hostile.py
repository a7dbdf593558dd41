"""Hostile names, notes and plans over every page: nothing is asked from elsewhere, no script of theirs runs."""

import json
from urllib.parse import urlsplit

import pytest

from tunekit import Session
from tunekit.bike.starters import starter
from tunekit.runs import plan_to_text, starter_plan
from tunekit.session import make_entry, session_to_text
from tunekit.show.runs_sheet import runs_html
from tunekit.show.sheet import sheet_html

PAGES = ["bike", "fit", "chain", "gears", "setup_walk", "log", "advice", "sheet"]
HOSTILE = (
    "![x](http://elsewhere.example/p.png) [y](http://elsewhere.example) "
    "<img src=http://elsewhere.example/q onerror=\"document.title='owned'\"> "
    "<script>document.title='owned'</script> www.elsewhere.example"
)


def hostile_session() -> Session:
    log = (
        make_entry("noted", text=HOSTILE),
        make_entry("heard", ring=50, cog=17, moment="to_larger_cog", what="slow"),
    )
    return Session(title=HOSTILE[:200], bike=starter("road-double-11"), log=log)


def hostile_plan() -> dict:
    plan = json.loads(plan_to_text(starter_plan("road", "electronic")))
    for device in plan["devices"]:
        device["name"] = f"{device['name']} {HOSTILE}"[:60]
    return plan


def harmless(bench) -> None:
    page = bench.page
    assert page.locator("a[href*=elsewhere], img[src*=elsewhere]").count() == 0
    assert page.title() != "owned"
    assert not [url for url in bench.asked if "elsewhere" in url]


def open_everything(bench) -> None:
    bench.at_rest()
    bench.page.evaluate("document.querySelectorAll('details:not([open]) > summary').forEach(s => s.click())")
    bench.page.wait_for_timeout(500)  # the script of a page that called out would have run by then
    bench.at_rest()


def upload(bench, summary: str, name: str, content: str) -> None:
    bench.page.locator("summary", has_text=summary).click()
    file = {"name": name, "mimeType": "application/json", "buffer": content.encode()}
    bench.page.locator("input[type=file]").set_input_files(file)


@pytest.mark.parametrize("page", PAGES)
def test_a_session_s_texts(bench, page):
    upload(bench, "Open a session file", "s.json", session_to_text(hostile_session()))
    bench.page.locator(".st-key-main_open_file button").click()
    bench.page.wait_for_url("**bike=*")
    here = urlsplit(bench.page.url)
    bench.page.goto(f"{here.scheme}://{here.netloc}/{page}?{here.query}")
    bench.page.get_by_role("heading").first.wait_for()
    open_everything(bench)
    harmless(bench)


def test_the_start_page_of_everybody_and_a_refusal(bench):
    upload(bench, "Open a session file", "s.json", json.dumps({"tunekit_session": HOSTILE}))
    bench.sees("tunekit_session must be")
    harmless(bench)


def test_a_plan_s_texts(bench):
    bench.page.goto(f"{bench.page.url.rstrip('/')}/wires")
    bench.page.get_by_role("heading").first.wait_for()
    upload(bench, "Open a", "plan.json", json.dumps(hostile_plan()))
    bench.at_rest()
    open_everything(bench)
    harmless(bench)


@pytest.mark.parametrize("what", ["sheet", "runs"])
def test_a_printed_page_s_texts(new_page, tmp_path, what):
    from tunekit.runs import RunPlan, plan_runs

    if what == "sheet":
        html = sheet_html(hostile_session())
    else:
        plan = RunPlan.model_validate_json(plan_to_text(starter_plan("road", "electronic")))
        html = runs_html(plan, plan_runs(plan))
    path, page, asked = tmp_path / "page.html", new_page(), []
    path.write_text(html, encoding="utf-8")
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    assert page.evaluate("document.scripts.length") == 0
    assert page.title() != "owned"
