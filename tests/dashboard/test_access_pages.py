"""The door: who is let in, who is sent to the login, and what ends a session."""

from datetime import timedelta

import pytest

from dashboard.access import local_path
from dashboard.views.access import browser_words
from station.errors import StoreError
from station.store.access import Access
from station.store.access_file import IDLE, NAME
from tests.builders import a_reading
from tests.dashboard.doors import WORDS, a_browser, a_token, browsers, log_in, protect, send
from tests.dashboard.forming import mark_of
from tests.dashboard.world import Shelf

PAGES = ("/", "/jars", "/climate", "/alerts", "/access", "/nowhere")


@pytest.fixture
def closed(shelf: Shelf) -> Shelf:
    """A shelf with a passphrase and a reading."""
    shelf.live([a_reading(0)])
    protect(shelf)
    return shelf


@pytest.mark.parametrize("path", PAGES)
def test_a_stranger_is_sent_to_the_login_and_from_there_to_the_page(closed: Shelf, path: str) -> None:
    with browsers(closed) as (stranger,):
        answer = stranger.get(path)
        assert (answer.status_code, answer.headers["location"]) == (303, f"/login?next={path}")
        page = stranger.get(answer.headers["location"])
        assert page.status_code == 200
        assert f'name="next" value="{path}"' in page.text


@pytest.mark.parametrize("path", ["/api/shelf", "/api/jars", "/api/openapi.json", "/api/nowhere", "/api", "/live"])
def test_a_program_without_a_token_is_told_so(closed: Shelf, path: str) -> None:
    with browsers(closed) as (program,):
        answer = program.get(path)

    assert answer.status_code == 401
    assert answer.headers["www-authenticate"] == "Bearer"
    assert set(answer.json()) == {"what", "remedy"}


@pytest.mark.parametrize("path", ["/static/jarside.css", "/login", "/manifest.webmanifest"])
def test_what_the_login_needs_is_open(closed: Shelf, path: str) -> None:
    with browsers(closed) as (stranger,):
        assert stranger.get(path).status_code == 200


def test_the_login_page_shows_nothing_of_the_shelf_and_no_way_into_it(closed: Shelf) -> None:
    closed.pack("comfrey")
    with browsers(closed) as (stranger,):
        page = stranger.get("/login").text

    assert "comfrey" not in page
    assert 'href="/jars"' not in page


def test_the_right_passphrase_lets_in_and_goes_where_one_was_going(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        answer = log_in(browser, after="/climate?span=week")
        assert (answer.status_code, answer.headers["location"]) == (303, "/climate?span=week")
        cookie = answer.headers["set-cookie"]
        assert "HttpOnly" in cookie
        assert "SameSite=strict" in cookie
        assert "Path=/" in cookie
        assert "Secure" not in cookie, "it would never be sent over plain http"
        assert browser.get("/").status_code == 200
        assert browser.get("/api/shelf").status_code == 200
        assert browser.get("/login").status_code == 303


def test_over_https_the_cookie_is_never_sent_in_the_open(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        browser.base_url = "https://127.0.0.1:8420"
        browser.headers["origin"] = "https://127.0.0.1:8420"
        assert "Secure" in log_in(browser).headers["set-cookie"]


def test_a_wrong_passphrase_is_said_in_its_place_and_never_shown(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        answer = log_in(browser, "something else", after="/jars")

    assert answer.status_code == 422
    assert "That is not the passphrase" in answer.text
    assert "something else" not in answer.text
    assert 'name="next" value="/jars"' in answer.text
    assert "set-cookie" not in answer.headers


def test_several_wrong_ones_make_a_wait_that_is_said_and_ends(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        statuses = [log_in(browser, "something else").status_code for _ in range(6)]
        assert statuses == [422, 422, 422, 429, 429, 429]
        waiting = log_in(browser)
        assert (waiting.status_code, "Try again in 1 second." in waiting.text) == (429, True)
        closed.now_at += timedelta(seconds=1)
        assert log_in(browser).status_code == 303


def test_the_owner_comes_in_at_the_machine_while_others_guess(closed: Shelf) -> None:
    with browsers(closed, address="192.0.2.9") as (stranger,):
        statuses = {log_in(stranger, f"guess number {number}").status_code for number in range(100)}
        assert statuses == {422, 429}
        assert log_in(stranger).status_code == 429
        assert log_in(a_browser(stranger.app)).status_code == 303


@pytest.mark.parametrize(
    "text",
    [
        "//elsewhere.example",
        "https://elsewhere.example/",
        "/\\elsewhere.example",
        "javascript:alert(1)",
        "",
        "/\t/x",
        "x",
    ],
)
def test_nobody_is_sent_elsewhere_after_the_login(closed: Shelf, text: str) -> None:
    assert local_path(text) == "/"
    with browsers(closed) as (browser,):
        assert log_in(browser, after=text).headers["location"] == "/"


def test_a_form_sent_after_the_session_ended_leads_back_to_its_page(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        answer = browser.post("/access/end", data={}, headers={"referer": "http://127.0.0.1:8420/access?x=1"})

    assert answer.headers["location"] == "/login?next=/access"


def test_logging_out_ends_the_session_and_its_cookie_opens_nothing_again(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        log_in(browser)
        stolen = browser.cookies["jarside"]
        assert send(browser, "/access", "/logout").headers["location"] == "/login"
        assert "jarside" not in browser.cookies
        browser.cookies.set("jarside", stolen)
        assert browser.get("/").status_code == 303
        assert browser.get("/api/shelf").status_code == 401


def test_a_login_makes_a_new_session_and_ends_the_one_before(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        browser.cookies.set("jarside", "planted-by-someone", "127.0.0.1")
        log_in(browser)
        first = browser.cookies["jarside"]
        assert first != "planted-by-someone"
        mark = mark_of(browser.get("/access").text)
        assert browser.post("/login", data={"mark": mark, "passphrase": WORDS}).status_code == 303
        assert browser.cookies["jarside"] != first
        with Access.open(closed.folder / NAME) as access:
            assert access.session(first, closed.now_at) is None
            assert len(access.sessions(closed.now_at)) == 1


def test_a_session_not_seen_for_a_month_has_ended_and_a_seen_one_goes_on(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        log_in(browser)
        for _ in range(3):
            closed.now_at += IDLE - timedelta(days=1)
            assert browser.get("/").status_code == 200
        closed.now_at += IDLE + timedelta(hours=1)
        assert browser.get("/").status_code == 303


def test_one_sees_who_is_let_in_and_ends_one_or_all_others(closed: Shelf) -> None:
    with browsers(closed, 3) as (desk, phone, tablet):
        phone.headers["user-agent"] = "Mozilla/5.0 (Linux; Android 14) Chrome/140.0 Mobile Safari/537.36"
        for one in (desk, phone, tablet):
            log_in(one)
        page = desk.get("/access").text
        assert "Chrome on Android" in page
        assert page.count("End this one") == 2
        with Access.open(closed.folder / NAME) as access:
            found = next(one for one in access.sessions(closed.now_at) if "Android" in one.browser)
        assert send(desk, "/access", "/access/end", session=found.id).status_code == 303
        assert [one.get("/").status_code for one in (desk, phone, tablet)] == [200, 303, 200]
        log_in(phone)
        send(desk, "/access", "/access/end-others")
        assert [one.get("/").status_code for one in (desk, phone, tablet)] == [200, 303, 303]


def test_a_mark_of_another_session_counts_for_nothing(closed: Shelf) -> None:
    with browsers(closed, 2) as (one, other):
        log_in(one)
        log_in(other)
        mark = mark_of(one.get("/access").text)
        for wrong in (mark, "", "made.up"):
            assert other.post("/access/end-others", data={"mark": wrong}).status_code == 422
        assert one.get("/").status_code == 200, "nothing was ended"
        assert one.post("/access/end-others", data={"mark": mark}).status_code == 303


def test_a_form_outlives_a_restart_of_the_pages(closed: Shelf) -> None:
    with browsers(closed) as (browser,):
        log_in(browser)
        cookie, mark = browser.cookies["jarside"], mark_of(browser.get("/access").text)
    with browsers(closed) as (again,):
        again.cookies.set("jarside", cookie)
        assert again.post("/access/end-others", data={"mark": mark}).status_code == 303


def test_without_a_passphrase_the_pages_open_on_this_machine_and_nowhere_else(shelf: Shelf) -> None:
    with browsers(shelf) as (owner,):
        assert owner.get("/").status_code == 200
        assert owner.get("/login").headers["location"] == "/"
        other = a_browser(owner.app, "192.0.2.9")
        assert [other.get(path).status_code for path in ("/", "/api/shelf", "/access")] == [403] * 3
        assert owner.get("/", headers={"x-forwarded-for": "192.0.2.9"}).status_code == 403


def test_the_first_visit_may_set_a_passphrase_and_stays_let_in(shelf: Shelf) -> None:
    with browsers(shelf, 2) as (owner, other):
        assert "No passphrase is set" in owner.get("/access").text
        answer = send(owner, "/access", new=WORDS, again=WORDS)
        assert (answer.status_code, answer.headers["location"]) == (303, "/access")
        assert owner.get("/access").status_code == 200
        assert other.get("/").status_code == 303
        assert log_in(other).status_code == 303


@pytest.mark.parametrize(
    ("new", "again", "says"),
    [(WORDS, WORDS + "!", "The two are not the same"), ("short", "short", "The passphrase has 5 characters")],
)
def test_a_passphrase_that_cannot_be_is_refused_in_its_place(shelf: Shelf, new: str, again: str, says: str) -> None:
    with browsers(shelf) as (owner,):
        answer = send(owner, "/access", new=new, again=again)
        assert (answer.status_code, says in answer.text) == (200, True)
        assert "No passphrase is set" in owner.get("/access").text


def test_another_passphrase_needs_the_one_before_and_ends_all_others(closed: Shelf) -> None:
    new = "four quite other words"
    with browsers(closed, 2) as (owner, other):
        log_in(owner)
        log_in(other)
        assert send(owner, "/access", old="something else", new=new, again=new).status_code == 422
        assert other.get("/").status_code == 200
        assert send(owner, "/access", old=WORDS, new=new, again=new).status_code == 303
        assert [one.get("/").status_code for one in (owner, other)] == [200, 303]
        assert log_in(other).status_code == 422
        assert log_in(other, new).status_code == 303


def test_a_token_opens_the_api_and_no_page_and_ends(closed: Shelf) -> None:
    shown = a_token(closed)
    with browsers(closed, 2) as (program, owner):
        assert program.get("/api/shelf", headers=shown).status_code == 200
        assert program.get("/", headers=shown).status_code == 303
        assert program.get("/live", headers=shown).status_code == 401
        log_in(owner)
        assert "meter" in owner.get("/access").text
        assert send(owner, "/access", "/access/end-token", program="meter").status_code == 303
        assert program.get("/api/shelf", headers=shown).status_code == 401
        assert send(owner, "/access", "/access/end-token", program="meter").status_code == 200


def test_a_wrong_token_is_told_so_before_there_is_a_passphrase_too(shelf: Shelf) -> None:
    shown = a_token(shelf)
    with browsers(shelf) as (program,):
        assert program.get("/api/shelf").status_code == 200
        assert program.get("/api/shelf", headers=shown).status_code == 200
        assert program.get("/api/shelf", headers={"authorization": "Bearer wrong"}).status_code == 401
        assert program.get("/", headers={"authorization": "Bearer wrong"}).status_code == 200  # pages know no tokens


def test_a_wrong_token_is_told_so_where_a_session_would_open(closed: Shelf) -> None:
    with browsers(closed) as (owner,):
        log_in(owner)
        assert owner.get("/api/shelf").status_code == 200
        assert owner.get("/api/shelf", headers={"authorization": "Bearer wrong"}).status_code == 401


def test_markup_in_the_name_of_a_token_stays_text(closed: Shelf) -> None:
    a_token(closed, "<b onclick=x>meter</b> & co")
    with browsers(closed) as (owner,):
        log_in(owner)
        page = owner.get("/access").text
        assert "&lt;b onclick=x&gt;meter&lt;/b&gt; &amp; co" in page
        assert "<b onclick" not in page


@pytest.mark.parametrize("shown", ["Bearer", "Bearer ", "Bearer wrong", "Basic bWV0ZXI6", "wrong", "Bearer \xe9"])
def test_what_is_no_token_opens_nothing(closed: Shelf, shown: str) -> None:
    with browsers(closed) as (program,):
        answer = program.get("/api/shelf", headers={"authorization": shown.encode("latin-1")})

    assert answer.status_code == 401


@pytest.mark.parametrize("cookie", ["", "wrong", "a=b; jarside=", "x" * 4000])
def test_what_is_no_session_opens_nothing(closed: Shelf, cookie: str) -> None:
    with browsers(closed) as (stranger,):
        assert stranger.get("/", headers={"cookie": f"jarside={cookie}"}).status_code == 303


@pytest.mark.parametrize(
    ("user_agent", "words"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) Version/18.5 Safari/604.1", "Safari on an iPhone"),
        ("curl/8.0", "A browser"),
        ("", "A browser"),
    ],
)
def test_a_browser_is_named_in_plain_words(user_agent: str, words: str) -> None:
    assert browser_words(user_agent) == words


def test_a_full_card_does_not_keep_out_who_is_let_in(closed: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """That somebody was seen is written once an hour; the shelf can be read where that fails."""
    token = a_token(closed)

    def full(*_: object) -> None:
        raise StoreError("access.db cannot be written: the disk is full", "Free some space.")

    with browsers(closed, 2) as (browser, program):
        log_in(browser)
        monkeypatch.setattr(Access, "seen", full)
        monkeypatch.setattr(Access, "used", full)
        closed.now_at += timedelta(hours=2)
        assert browser.get("/").status_code == 200
        assert program.get("/api/shelf", headers=token).status_code == 200
