"""Live values: a stream of server-sent events that says when there is something new to show."""

import asyncio
import json
from collections.abc import AsyncIterator, Callable

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import StreamingResponse
from starlette.routing import Route

from dashboard.desk import Desk
from station.domain.readings import Reading

LOOK_EVERY_S = 1.0
AGE_EVERY_S = 30.0
"""A page is told to look again after this long even if nothing came: ages grow, and silence is news."""


def live_route(desk: Desk) -> Route:
    """Return `/live`, the stream of changes."""

    async def live(request: Request) -> StreamingResponse:
        events = _events(desk, request.app.state.stopping)
        return StreamingResponse(events, media_type="text/event-stream", headers={"cache-control": "no-store"})

    return Route("/live", live)


async def _events(desk: Desk, stopping: Callable[[], bool]) -> AsyncIterator[str]:
    """Yield one event at once, then one whenever a reading or a note has come, until the server is to end."""
    yield "retry: 5000\n\n"
    loop, seen, told_s = asyncio.get_running_loop(), "", 0.0
    while not stopping():
        now = await run_in_threadpool(_present, desk)
        if now != seen or loop.time() - told_s >= AGE_EVERY_S:
            seen, told_s = now, loop.time()
            yield f"event: shelf\ndata: {now}\n\n"
        await asyncio.sleep(LOOK_EVERY_S)


def _present(desk: Desk) -> str:
    return event_data(desk.books.shelf.latest(), desk.books.version())


def event_data(reading: Reading | None, notebook: int) -> str:
    """Return what an event carries: the latest reading, and a number that changes with the notebook."""
    if reading is None:
        return json.dumps({"notebook": notebook})
    values = {"temp_c": reading.temp_c, "rh_pct": reading.rh_pct, "light_lx": reading.light_lx}
    return json.dumps({"measured_at": reading.measured_at.isoformat(), **values, "notebook": notebook})
