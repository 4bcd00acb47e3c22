from datetime import timedelta

import pytest

from dashboard.slowdown import FREE, FREE_OF_ALL, MOST_ADDRESSES, Slowdown, network, own_machine, wait_words
from tests.dashboard.world import at


def guessed(slowdown: Slowdown, address: str, count: int, seconds: float = 0.0) -> list[float]:
    """Guess wrong `count` times at one moment, and return the waits."""
    return [slowdown.asked(address, at(0) + timedelta(seconds=seconds)) for _ in range(count)]


def test_fingers_may_slip_and_then_the_wait_doubles_up_to_a_minute() -> None:
    slowdown, seconds, waits = Slowdown(), 0.0, []
    guessed(slowdown, "192.0.2.1", FREE)
    for _ in range(9):
        (wait_s,) = guessed(slowdown, "192.0.2.1", 1, seconds)
        waits.append(wait_s)
        seconds += wait_s
        assert guessed(slowdown, "192.0.2.1", 1, seconds) == [0.0], "after the wait a guess is heard"

    assert waits == [1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 60.0, 60.0, 60.0]


def test_a_guess_during_the_wait_is_not_heard_and_makes_it_no_longer() -> None:
    slowdown = Slowdown()
    guessed(slowdown, "192.0.2.1", FREE + 50)

    assert guessed(slowdown, "192.0.2.1", 1, 1.0) == [0.0]


def test_the_right_one_clears_the_address() -> None:
    slowdown = Slowdown()
    guessed(slowdown, "192.0.2.1", FREE)
    slowdown.right("192.0.2.1")

    assert guessed(slowdown, "192.0.2.1", 1) == [0.0]


def test_wrong_ones_are_forgotten_after_a_quarter_of_an_hour() -> None:
    slowdown = Slowdown()
    guessed(slowdown, "192.0.2.1", FREE)

    assert guessed(slowdown, "192.0.2.1", FREE, 901.0) == [0.0] * FREE


def test_many_addresses_together_are_slowed_down_but_not_the_owner_at_the_machine() -> None:
    slowdown = Slowdown()
    waits = [guessed(slowdown, f"192.0.2.{number}", 1)[0] for number in range(FREE_OF_ALL + 1)]

    assert waits == [0.0] * FREE_OF_ALL + [1.0]
    assert guessed(slowdown, "127.0.0.1", 1) == [0.0]
    assert guessed(slowdown, "::1", 1) == [0.0]


def test_nobody_waits_longer_than_ten_seconds_for_the_guesses_of_others() -> None:
    slowdown, seconds = Slowdown(), 0.0
    for number in range(200):
        (wait_s,) = guessed(slowdown, f"198.51.100.{number}", 1, seconds)
        assert wait_s <= 10.0
        seconds += 10.0

    assert guessed(slowdown, "192.0.2.1", 1, seconds + 10.0) == [0.0]


def test_a_million_addresses_take_no_more_room_than_a_thousand() -> None:
    slowdown = Slowdown()
    for number in range(3 * MOST_ADDRESSES):
        slowdown.asked(f"10.0.{number // 250}.{number % 250}", at(0) + timedelta(seconds=20 * number))

    assert len(slowdown._made) <= MOST_ADDRESSES


def test_a_clock_that_is_set_back_makes_nobody_wait_longer() -> None:
    slowdown = Slowdown()
    guessed(slowdown, "192.0.2.1", FREE)

    assert guessed(slowdown, "192.0.2.1", 1, -86_400.0) == [1.0]


@pytest.mark.parametrize(
    ("address", "counted"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("2001:db8::1", "2001:db8::/64"),  # RFC 4291: the last 64 bits are the machine's own to choose
        ("2001:db8::ffff", "2001:db8::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("::ffff:192.0.2.7", "192.0.2.7"),  # RFC 4291, 2.5.5.2: as one who listens on both sees IPv4
        ("not an address", "unknown"),
    ],
)
def test_one_machine_counts_as_one(address: str, counted: str) -> None:
    assert network(address) == counted


@pytest.mark.parametrize(
    ("address", "own"),
    [("127.0.0.1", True), ("::1", True), ("::ffff:127.0.0.1", True), ("192.0.2.7", False), ("", False)],
)
def test_the_machines_own_address_is_known_however_it_is_written(address: str, own: bool) -> None:
    assert own_machine(address) is own


@pytest.mark.parametrize(("wait_s", "words"), [(7.2, "8 seconds."), (1.0, "1 second."), (0.01, "1 second.")])
def test_the_wait_is_said_in_words(wait_s: float, words: str) -> None:
    assert wait_words(wait_s) == f"Try again in {words}"
