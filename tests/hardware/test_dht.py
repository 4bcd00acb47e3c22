"""The DHT adapter over the real driver, with frames from the data sheets."""

import errno

import pytest

from hardware.dht import DHT11, DHT22, Dht
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError
from tests.hardware.bench import Hand
from tests.hardware.frames import Wire, a_climate, a_frame, summed


def a_dht(hand: Hand, model=DHT22) -> Dht:
    dht = Dht("air", 17, model, monotonic_s=hand)
    dht.open()
    return dht


def a_bare_driver():
    """The library's own DHT22, without any guard."""
    import adafruit_dht

    return adafruit_dht.DHT22(object(), use_pulseio=False)


@pytest.mark.parametrize(
    ("frame", "rh_pct", "temp_c"),
    [
        ((0x02, 0x8C, 0x01, 0x5F, 0xEE), 65.2, 35.1),  # AM2302 data sheet, example
        (summed(0x02, 0x8C, 0x80, 0x65), 65.2, -10.1),  # AM2302 data sheet: 0x8065 is -10.1 °C
        ((0x02, 0x20, 0x80, 0xAA, 0x4C), 54.4, -17.0),  # capture of a real part
    ],
)
def test_a_data_sheet_frame_of_a_dht22_gives_its_values(wire: Wire, hand: Hand, frame, rh_pct, temp_c):
    wire.trains = [a_frame(*frame)]
    assert a_dht(hand).sample() == Sample("air", temp_c=temp_c, rh_pct=rh_pct)


def test_a_data_sheet_frame_of_a_dht11_gives_its_values(wire: Wire, hand: Hand):
    wire.trains = [a_frame(0x35, 0x00, 0x18, 0x00, 0x4D)]  # DHT11 data sheet: 53 %, 24 °C
    assert a_dht(hand, DHT11).sample() == Sample("air", temp_c=24.0, rh_pct=53.0)


def test_a_wrong_check_sum_is_a_miss(wire: Wire, hand: Hand):
    wire.trains = [a_frame(0x35, 0x00, 0x18, 0x00, 0x49)]  # DHT11 data sheet: 49 at the end: discard
    assert a_dht(hand, DHT11).sample() == Miss("air", Reason.BAD_FRAME)


def test_a_part_that_counts_below_zero_in_twos_complement_is_understood(wire: Wire, hand: Hand):
    wire.trains = [a_frame(*summed(0x02, 0x8C, 0xFF, 0x9B))]  # -101 tenths
    assert a_dht(hand).sample() == Sample("air", temp_c=-10.1, rh_pct=65.2)


def test_it_works_again_after_it_was_unplugged(wire: Wire, hand: Hand):
    wire.trains = [a_climate(55, 20), a_frame()[:1], a_frame()[:1], a_climate(56, 21)]
    dht, answers = a_dht(hand), []
    for _ in range(4):
        answers.append(dht.sample())
        hand.wait(10)
    assert [isinstance(one, Miss) for one in answers] == [False, True, True, False]
    assert answers[-1] == Sample("air", temp_c=21.0, rh_pct=56.0)


def test_a_pin_that_another_program_holds_is_said(wire: Wire, hand: Hand):
    wire.trains = [OSError(errno.EBUSY, "busy")]
    assert a_dht(hand).sample() == Miss("air", Reason.IN_USE)


def test_a_pin_that_does_not_exist_is_an_error_with_a_remedy(wire: Wire):
    with pytest.raises(SensorError, match=r"pin = 26.*no such pin"):
        Dht("air", 26).open()


class TestTrapsOfTheDriver:
    """Each trap is first shown in the bare driver: without the guard its value would be believed."""

    def test_old_values_within_two_seconds_of_a_failed_read(self, wire: Wire, hand: Hand):
        failed = a_frame(*summed(0x02, 0x8C, 0x01, 0x5F)[:4], 0x00)
        wire.trains = [a_climate(65.2, 35.1), failed]
        bare = a_bare_driver()
        assert bare.temperature == 35.1
        bare._last_called -= 3  # three seconds later
        with pytest.raises(RuntimeError):
            bare.measure()
        assert bare.temperature == 35.1, "the trap: the old value, without an error"

        wire.trains = [a_climate(65.2, 35.1), failed]
        dht = a_dht(hand)
        assert isinstance(dht.sample(), Sample)
        hand.wait(3)
        assert dht.sample() == Miss("air", Reason.BAD_FRAME)
        hand.wait(0.1)
        assert dht.sample() == Miss("air", Reason.TOO_SOON)

    def test_none_after_a_first_read_that_failed(self, wire: Wire, hand: Hand):
        wire.trains = [a_frame()]
        bare = a_bare_driver()
        with pytest.raises(RuntimeError):
            bare.measure()
        assert bare.temperature is None, "the trap: None, without an error"

        assert a_dht(hand)._checked(bare.temperature, bare.humidity) == Miss("air", Reason.BAD_FRAME)

    def test_temperature_and_humidity_of_two_frames(self, wire: Wire, hand: Hand):
        wire.trains = [a_climate(40, 10), a_climate(80, 30)]
        bare = a_bare_driver()
        temp_c = bare.temperature
        bare._last_called -= 3  # the machine was held up for three seconds
        assert (temp_c, bare.humidity) == (10.0, 80.0), "the trap: a mixture that was never measured"

        wire.trains = [a_climate(40, 10), a_climate(80, 30)]
        dht = a_dht(hand)
        assert dht.sample() == Sample("air", temp_c=10.0, rh_pct=40.0)
        assert wire.reads == 3, "one frame for one sample"

    def test_a_read_that_was_held_up_is_not_believed(self, wire: Wire, hand: Hand, monkeypatch: pytest.MonkeyPatch):
        wire.trains = [a_climate(40, 10)]
        dht = a_dht(hand)
        read = wire.read
        monkeypatch.setattr(wire, "read", lambda: (hand.wait(2.0), read())[1])
        assert dht.sample() == Miss("air", Reason.TOO_SLOW)

    @pytest.mark.parametrize(
        "train",
        [
            pytest.param(a_frame(0, 0, 0, 0, 0), id="zeros"),
            pytest.param(a_climate(65.2, 35.1)[1:], id="the first pulse lost"),
            pytest.param(a_frame(0x02, 0x8C, 0x01, 0x5F, 0xEE, one_us=51), id="ones of 51 µs"),
        ],
    )
    def test_an_empty_frame_with_a_valid_check_sum(self, wire: Wire, hand: Hand, train):
        wire.trains = [train]
        bare = a_bare_driver()
        assert (bare.temperature, bare.humidity) == (0.0, 0.0), "the trap: 0.0 °C and 0.0 %, without an error"

        assert a_dht(hand).sample() == Miss("air", Reason.EMPTY_FRAME)

    def test_a_temperature_that_no_part_can_measure(self, wire: Wire, hand: Hand):
        wire.trains = [a_frame(*summed(0x02, 0x8C, 0x7F, 0xFF))]
        assert a_bare_driver().temperature == 3276.7, "the trap: 3,276.7 °C, without an error"

        assert a_dht(hand).sample() == Miss("air", Reason.OUT_OF_RANGE)

    def test_the_pulse_helper_is_never_used(self, wire: Wire, hand: Hand, monkeypatch: pytest.MonkeyPatch):
        """It replaces the SIGTERM handler, can spin a core and can block its reader for ever."""
        import adafruit_dht

        def no_helper(*_, **__):
            raise AssertionError("the pulse helper was started")

        monkeypatch.setattr(adafruit_dht, "PulseIn", no_helper, raising=False)
        with pytest.raises(AssertionError):  # the trap: what the driver does on a Pi unless told otherwise
            adafruit_dht.DHT22(object(), use_pulseio=True)

        wire.trains = [a_climate(55, 20)]
        assert isinstance(a_dht(hand).sample(), Sample)


def test_asked_faster_than_the_data_sheet_allows_it_waits(wire: Wire, hand: Hand):
    wire.trains = [a_climate(55, 20)]
    dht = Dht("air", 17, spacing_s=0.5, monotonic_s=hand)
    assert dht.spacing_s >= 2.1
    dht.open()
    dht.sample()
    hand.wait(1.0)
    assert dht.sample() == Miss("air", Reason.TOO_SOON)
    assert wire.reads == 1
