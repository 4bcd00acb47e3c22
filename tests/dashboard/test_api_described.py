"""The API is what its description says: schemathesis asks it all that the description allows, and what it does not."""

import re
import tempfile
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import settings
from schemathesis import Case, HookContext

from dashboard.app import create_app
from dashboard.serve import Serving
from station.domain.bottling import Filled
from station.domain.feeding import Fed, Method
from station.domain.rounds import RoundSet
from station.domain.trials import Arm, Sown
from station.store.bottles import Bottles, Fill
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.rounds import Rounds
from station.store.trials import Trials
from tests.dashboard.doors import a_token, protect
from tests.dashboard.places import a_settable_kitchen
from tests.dashboard.world import SETTINGS, Shelf, at


def description() -> dict[str, Any]:
    """Return the description of the API, as programs get it."""
    with tempfile.TemporaryDirectory() as folder:
        return create_app(SETTINGS, Path(folder), lambda: at(0)).openapi()


schema = schemathesis.openapi.from_dict(description())

LONG_S = 60.0
"""How long one answer may take before it counts as none: a play of a week takes its time on a busy machine."""

KNOWN = {
    "jars": ("comfrey-1", "dandelion-1", "stinging-nettle-1"),
    "bottles": ("nettle-a",),
    "feedings": ("feed-1",),
    "rounds": ("beans-1",),
    "trials": ("beans-1",),
}
"""What the kitchen holds, by the second part of a path."""


@schema.hook
def map_path_parameters(context: HookContext, path_parameters: dict[str, Any] | None) -> dict[str, Any] | None:
    """Take every second name that could be one for one that is known: behind it lies more to go wrong."""
    if not path_parameters:
        return path_parameters
    name, known = path_parameters.get("name", ""), KNOWN.get(context.operation.path.split("/")[2], ())
    if known and isinstance(name, str) and re.fullmatch(r"[a-z0-9][a-z0-9-]{,79}", name) and len(name) % 2:
        return {**path_parameters, "name": known[len(name) % len(known)]}
    return path_parameters


@dataclass(frozen=True)
class Served:
    """Where a kitchen is served, and the header that lets a program in."""

    url: str
    headers: dict[str, str]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A kitchen behind a passphrase, with something of every kind in it, served on loopback."""
    kitchen = a_settable_kitchen(tmp_path_factory.mktemp("described"))
    stock(kitchen)
    protect(kitchen)
    app = create_app(kitchen.settings, kitchen.folder, lambda: kitchen.now_at, lent=kitchen.lent)
    server = Serving(app, "127.0.0.1", 0)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield Served(server.url.rstrip("/"), {"Authorization": a_token(kitchen)["authorization"]})
    server.stop()
    thread.join(20)


def stock(kitchen: Shelf) -> None:
    """Put a bottle, a round, a soak and a trial into the notebook."""
    with Notebook.open(kitchen.folder / "notebook.db") as notebook:
        now_at = at(6)
        Bottles(notebook).fill([Fill(500.0, 750.0)], Filled("", now_at, "", "nettle", 0.0), now_at=now_at)
        Rounds(notebook).set_up(RoundSet("", now_at, Method.LEAF_SPRAY, "beans"), now_at=now_at)
        Feedings(notebook).feed(Fed("", now_at, Method.SEED_SOAK, 0.2, 100.0), now_at=now_at)
        arms = (Arm("soaked", (20, 20)), Arm("plain", (20, 20)))
        Trials(notebook).sow(Sown("", now_at, "beans", arms, "plain"), now_at=now_at)


def asked(case: Case, served: Served) -> None:
    """Ask, and look at the answer with every check there is."""
    case.call_and_validate(base_url=served.url, headers=served.headers, timeout=LONG_S)


@schema.parametrize()
@settings(max_examples=5, derandomize=True)
def test_every_answer_is_as_described(case: Case, served: Served) -> None:
    asked(case, served)


@pytest.mark.long
@schema.parametrize()
@settings(max_examples=200)
def test_every_answer_is_as_described_at_length(case: Case, served: Served) -> None:
    asked(case, served)


def test_one_thing_after_another_is_as_described(served: Served) -> None:
    """What was made is there afterwards: the same checks, along chains of requests."""

    class Chains(schema.as_state_machine()):  # type: ignore[misc]
        def get_call_kwargs(self, case: Case) -> dict[str, Any]:
            return {"headers": served.headers, "base_url": served.url}

    Chains.run(settings=settings(max_examples=5, stateful_step_count=8, derandomize=True))
