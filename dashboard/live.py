"""Live values: a stream of server-sent events that says when there is something new to show."""

import asyncio
import json
from collections.abc import AsyncIterator, Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import StreamingResponse
from starlette.routing import Route

from dashboard.access import still_in
from dashboard.books import Mark
from dashboard.desk import Desk
from station.domain.readings import Reading
from station.errors import StoreError
from station.store.access import Access

LOOK_EVERY_S = 1.0
AGE_EVERY_S = 30.0
"""A page is told to look again after this long even if nothing came: ages grow, and silence is news."""


def live_route(desk: Desk, access: Access) -> Route:
    """Return `/live`, the stream of changes; it ends with the session."""

    async def live(request: Request) -> StreamingResponse:
        def over() -> bool:
            return request.app.state.stopping() or not still_in(request, access, desk.now())

        stream = events(desk, over)
        return StreamingResponse(stream, media_type="text/event-stream", headers={"cache-control": "no-store"})

    return Route("/live", live)


async def events(desk: Desk, stopping: Callable[[], bool]) -> AsyncIterator[str]:
    """Yield one event at once, then one whenever a file has changed, until the server is to end."""
    yield "retry: 5000\n\n"
    loop, told_s = asyncio.get_running_loop(), 0.0
    seen: Mark = ()
    while not stopping():
        mark = desk.books.mark()
        if mark != seen or loop.time() - told_s >= AGE_EVERY_S:
            seen, told_s = mark, loop.time()
            reading = await run_in_threadpool(_latest, desk)
            yield f"event: shelf\ndata: {event_data(reading)}\n\n"
        await asyncio.sleep(LOOK_EVERY_S)


def _latest(desk: Desk) -> Reading | None:
    try:
        return desk.books.shelf.latest()
    except StoreError:
        return None  # the page itself says what is wrong with the file


def event_data(reading: Reading | None) -> str:
    """Return what an event carries: the latest reading, or null."""
    if reading is None:
        return "null"
    values = {"temp_c": reading.temp_c, "rh_pct": reading.rh_pct, "light_lx": reading.light_lx}
    return json.dumps({"measured_at": reading.measured_at.isoformat(), **values})
