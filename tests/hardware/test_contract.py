"""What the station expects of any sensor: one suite over the simulator's, the real adapters, and the parts of a Pi."""

from pathlib import Path

import pytest
from gpiozero.pins.mock import MockFactory

from station.domain.quality import LIGHT_MOST_LX, RH_LIMITS, TEMP_LIMITS
from station.domain.readings import Miss, Sample
from tests.hardware import fitted
from tests.hardware.bench import Hand
from tests.hardware.buses import Bus
from tests.hardware.fitted import Fitted, Workshop
from tests.hardware.frames import Wire

HERE = [
    fitted.simulated_climate,
    fitted.simulated_light,
    fitted.simulated_probe,
    fitted.dht22,
    fitted.dht11,
    fitted.corrected_dht22,
    fitted.ds18b20,
    fitted.bh1750,
    fitted.veml7700,
    fitted.mcp3008,
    fitted.photoresistor,
]
ON_A_PI = ["dht22", "dht11", "ds18b20", "bh1750", "veml7700", "mcp3008", "photoresistor"]
BELIEVED = {
    "temp_c": (TEMP_LIMITS.low, TEMP_LIMITS.high),
    "rh_pct": (RH_LIMITS.low, RH_LIMITS.high),
    "light_lx": (0.0, LIGHT_MOST_LX),
}


@pytest.fixture(
    params=[pytest.param(fit, id=fit.__name__) for fit in HERE]
    + [pytest.param(fitted.real(kind), id=f"real_{kind}", marks=pytest.mark.pi) for kind in ON_A_PI]
)
def one(request: pytest.FixtureRequest, hand: Hand, wire: Wire, bus: Bus, mock_pins: MockFactory, tmp_path: Path):
    """Each sensor in turn, opened."""
    fit = request.param(Workshop(hand, wire, bus, mock_pins, tmp_path))
    fit.sensor.open()
    yield fit
    fit.sensor.close()


def asked(one: Fitted, times: int = 1) -> list[Sample | Miss]:
    """The answers of a sensor that is asked within its spacing."""
    answers = []
    for _ in range(times):
        one.wait(one.sensor.spacing_s)
        answers.append(one.sensor.sample())
    return answers


def good(one: Fitted, most: int = 20) -> Sample:
    """The next good answer: a real part may miss a few."""
    return next(answer for answer in asked(one, most) if isinstance(answer, Sample))


def test_it_has_its_name_and_a_spacing(one: Fitted):
    assert one.sensor.name == "air"
    assert 0.0 < one.sensor.spacing_s <= 60.0


def test_every_answer_bears_its_name(one: Fitted):
    assert {(answer.sensor, type(answer) in (Sample, Miss)) for answer in asked(one, 3)} == {("air", True)}


def test_it_gives_what_it_measures_and_nothing_else(one: Fitted):
    sample = good(one)
    given = {name for name in BELIEVED if getattr(sample, name) is not None}
    assert given == one.measures


def test_what_it_gives_can_be_believed(one: Fitted):
    sample = good(one)
    for name in one.measures:
        low, high = BELIEVED[name]
        assert low <= getattr(sample, name) <= high


def test_it_is_silent_when_unplugged_and_comes_back(one: Fitted):
    if one.unplug is None or one.plug_in is None:
        pytest.skip("nobody can pull it here, or its silence is darkness")
    before = good(one)
    one.unplug()
    assert all(isinstance(answer, Miss) and answer.reason for answer in asked(one, 3))
    one.plug_in()
    assert good(one).sensor == before.sensor


def test_it_says_why_it_misses_in_a_few_words(one: Fitted):
    one.sensor.close()
    answer = one.sensor.sample()
    assert isinstance(answer, Miss)
    assert 2 <= len(answer.reason.split()) <= 12


def test_it_can_be_closed_twice_and_opened_again(one: Fitted):
    one.sensor.close()
    one.sensor.close()
    one.sensor.open()
    assert good(one).sensor == "air"
