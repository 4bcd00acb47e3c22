import pytest
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send

from dashboard.gate import MOST_BODY_BYTES, SAFETY, Gate, host_name
from tests.dashboard.world import Shelf


@pytest.mark.parametrize(
    ("header", "name"),
    [
        ("127.0.0.1:8420", "127.0.0.1"),
        ("LocalHost", "localhost"),
        ("[::1]:8420", "::1"),
        ("[::1]", "::1"),
        ("", ""),
        ("shelf.example:80:90", "shelf.example"),
    ],
)
def test_the_name_is_read_out_of_the_header(header: str, name: str) -> None:
    assert host_name(header) == name


@pytest.mark.parametrize("host", ["shelf.example", "127.0.0.1.shelf.example", "", "[::2]", "localhost.shelf.example"])
@pytest.mark.parametrize("path", ["/", "/api/shelf", "/static/jarside.css", "/live"])
def test_a_page_is_not_given_under_a_foreign_name(shelf: Shelf, host: str, path: str) -> None:
    """A page elsewhere can point its own name at this machine; the Host header is what gives it away."""
    with shelf.client() as client:
        answer = client.get(path, headers={"host": host})

    assert answer.status_code == 400
    assert set(answer.json()) == {"what", "remedy"}


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:8420", "[::1]:8420"])
def test_a_page_is_given_under_the_names_of_this_machine(shelf: Shelf, host: str) -> None:
    with shelf.client() as client:
        assert client.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize("path", ["/", "/nowhere", "/api/shelf", "/api/nowhere", "/static/jarside.css"])
def test_every_answer_carries_the_safety_headers(shelf: Shelf, path: str) -> None:
    with shelf.client() as client:
        headers = client.get(path).headers

    assert {name: headers[name] for name in SAFETY} == SAFETY
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["cache-control"]
    assert "server" not in headers


def test_even_a_failure_carries_them_and_tells_nothing(shelf: Shelf) -> None:
    def broken() -> None:
        raise ZeroDivisionError("a secret")

    with shelf.client() as client:
        client.app.add_api_route("/api/broken", broken)  # type: ignore[attr-defined]
        answer = client.get("/api/broken")

    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert answer.headers["content-security-policy"] == SAFETY["content-security-policy"]


@pytest.mark.parametrize("length", [str(MOST_BODY_BYTES + 1), "1e9", "-1", "many"])
def test_a_body_that_says_it_is_large_is_refused_unread(shelf: Shelf, length: str) -> None:
    with shelf.client() as client:
        answer = client.post("/", content=b"x", headers={"content-length": length})

    assert answer.status_code == 413


def test_a_body_that_lies_about_its_length_is_cut_off() -> None:
    async def reader(scope: Scope, receive: Receive, send: Send) -> None:
        try:
            read = len(await Request(scope, receive).body())
        except HTTPException as error:
            await PlainTextResponse("too large", error.status_code)(scope, receive, send)
            return
        await PlainTextResponse(str(read))(scope, receive, send)

    def parts(count: int):  # type: ignore[no-untyped-def]
        yield from [b"x" * 1024] * count

    client = TestClient(Gate(reader, ("localhost",)), base_url="http://localhost")
    assert client.post("/", content=parts(64)).text == str(MOST_BODY_BYTES)
    assert client.post("/", content=parts(65)).status_code == 413
