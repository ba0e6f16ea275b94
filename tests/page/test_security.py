"""Who may speak with the page: every way round the guard is refused in words."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from cutplan.page.app import build_app
from cutplan.page.security import LARGEST_REQUEST, POLICY
from cutplan.page.session import Session

HOME = "http://127.0.0.1:8765"
SECRET = "a-secret-of-the-test"


class Browser:
    """A client that keeps the cookie and says where it is, as a browser on the page does."""

    def __init__(self, room: Path) -> None:
        self.session = Session(room)
        self.app: Any = build_app(self.session, SECRET, 8765)

    def ask(self, method: str, path: str, **more: Any) -> httpx.Response:
        import anyio

        headers = {"cookie": f"cutplan_8765={SECRET}", "origin": HOME, **more.pop("headers", {})}
        headers = {k: v for k, v in headers.items() if v is not None}

        async def run() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url=HOME) as client:
                return await client.request(method, path, headers=headers, **more)

        return anyio.run(run)


@pytest.fixture
def browser(tmp_path: Path) -> Iterator[Browser]:
    yield Browser(tmp_path)


def refused(answer: httpx.Response, status: int, words: str) -> None:
    assert answer.status_code == status, answer.text
    assert words in answer.json()["error"]["message"]
    assert answer.headers["content-security-policy"] == POLICY


def test_the_secret_in_the_address_becomes_a_cookie_of_this_site_alone(browser: Browser) -> None:
    answer = browser.ask("GET", f"/open?key={SECRET}", headers={"cookie": None, "origin": None})
    assert answer.status_code == 303 and answer.headers["location"] == "/"
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and SECRET in cookie
    refused(browser.ask("GET", "/open?key=guess", headers={"cookie": None, "origin": None}), 403, "secret")


@pytest.mark.parametrize("path", ["/", "/files/main.js", "/api/state", "/nothing"])
@pytest.mark.parametrize("cookie", [None, "cutplan_8765=guess", "cutplan_8766=" + SECRET, "cutplan_8765=", "x" * 5000])
def test_without_the_secret_nothing_is_told(browser: Browser, path: str, cookie: str | None) -> None:
    refused(browser.ask("GET", path, headers={"cookie": cookie}), 403, "secret is missing")


@pytest.mark.parametrize("host", ["evil.example:8765", "127.0.0.1:80", "127.0.0.1", "127.0.0.1.evil.example:8765", ""])
def test_another_name_for_this_machine_is_refused(browser: Browser, host: str) -> None:
    refused(browser.ask("GET", "/", headers={"host": host}), 421, "not the page's own")


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://127.0.0.1:1", "https://127.0.0.1:8765"])
@pytest.mark.parametrize("method, path", [("POST", "/api/undo"), ("GET", "/api/state")])
def test_another_site_is_refused(browser: Browser, origin: str, method: str, path: str) -> None:
    refused(browser.ask(method, path, headers={"origin": origin}, json={}), 403, "another site")


def test_a_change_must_say_where_it_comes_from(browser: Browser) -> None:
    refused(browser.ask("POST", "/api/undo", headers={"origin": None}, json={}), 403, "nobody says")


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_tells_of_another_site_counts(browser: Browser, site: str) -> None:
    headers = {"origin": None, "sec-fetch-site": site, "sec-fetch-mode": "no-cors"}
    refused(browser.ask("GET", "/api/state", headers=headers), 403, "another site")


@pytest.mark.parametrize(
    "path",
    [
        "/files/../app.py",
        "/files/%2e%2e/app.py",
        "/files/..%2fapp.py",
        "/files//etc/passwd",
        "/files/index.html%00.js",
        "/files/.",
        "/app.py",
    ],
)
def test_no_path_leads_out_of_the_pages_own_files(browser: Browser, path: str) -> None:
    answer = browser.ask("GET", path)
    assert answer.status_code == 404 and "def " not in answer.text and "root:" not in answer.text


@pytest.mark.parametrize("folder", ["..", ".", "/etc", "a/../..", "job\x00", "", "x" * 300])
def test_no_job_outside_the_room_is_opened(browser: Browser, folder: str) -> None:
    assert "error" in browser.ask("POST", "/api/open", json={"folder": folder}).json()
    assert browser.session.desk is None


def test_a_request_that_is_too_large_is_refused(browser: Browser) -> None:
    big = b'{"a": "' + b"x" * LARGEST_REQUEST + b'"}'
    headers = {"content-type": "application/json"}
    refused(browser.ask("POST", "/api/change", content=big, headers=headers), 413, "larger than 1 MiB")

    async def pieces() -> Any:  # without a length
        for _ in range(20):
            yield b"x" * 100_000

    refused(browser.ask("POST", "/api/change", content=pieces(), headers=headers), 413, "larger than 1 MiB")


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[]", b'"x"', b"[" * 100_000, b'{"changes": 3}', b'{"changes": [3]}', b'{"a": NaN}']
)
def test_a_request_that_makes_no_sense_is_answered_in_words(browser: Browser, body: bytes) -> None:
    answer = browser.ask("POST", "/api/change", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 200 and answer.json()["status"] == 400


def test_a_form_of_another_kind_is_no_change(browser: Browser) -> None:
    answer = browser.ask("POST", "/api/change", content=b'{"changes": []}', headers={"content-type": "text/plain"})
    assert answer.json()["status"] == 400


def test_names_are_shown_and_never_run(browser: Browser) -> None:
    title = "<script>alert(1)</script>"
    begun = browser.ask(
        "POST", "/api/begin", json={"kind": "shape", "title": title, "units": "mm", "plate": "4", "skin": "2.5"}
    )
    assert begun.headers["content-type"] == "application/json" and begun.json()["title"] == title
    folder = Path(begun.json()["folder"])
    assert folder.parent == browser.session.room and folder.name == "script-alert-1-script"


@pytest.mark.parametrize(
    "name", ["../../evil.dxf", "..\\evil.dxf", "/etc/passwd", "a\x00b.dxf", ".hidden", "con.dxf", "x" * 900]
)
def test_an_upload_lands_beside_its_job_whatever_it_is_called(browser: Browser, name: str) -> None:
    files = {"file": (name, b"0\nEOF\n", "application/octet-stream")}
    begun = browser.ask(
        "POST", "/api/begin/drawing", files=files, data={"title": "t", "units": "mm", "plate": "4", "skin": "2.5"}
    )
    assert begun.status_code in (200, 400), begun.text
    written = [p for p in browser.session.room.rglob("*") if p.is_file()]
    assert all(p.parent.parent == browser.session.room for p in written)
    assert not any(p.suffix not in (".dxf", ".svg", ".toml", ".changes") for p in written)


def test_every_answer_carries_the_policy(browser: Browser) -> None:
    for path in ("/", "/files/main.js", "/api/state", "/api/start"):
        headers = browser.ask("GET", path).headers
        assert headers["content-security-policy"] == POLICY
        assert headers["x-content-type-options"] == "nosniff" and headers["cache-control"] == "no-store"
        assert "unsafe" not in POLICY and "default-src 'none'" in POLICY
