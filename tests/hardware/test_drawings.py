"""The wiring guide and its drawings: up to date, and true to the Pi and to the program."""

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from gpiozero.pins.mock import MockFactory

import hardware
from hardware.drawings.__main__ import DRAWINGS
from hardware.drawings.terminals import AIR, BLUE, BUTTON, BUZZER, GREEN, LIGHT, PROBE, RED, USED
from hardware.rig import BUS_PINS, USUAL_PIN, check_pins
from station.settings_file import load

FOLDER = Path(hardware.__file__).parent
GUIDE = (FOLDER / "README.md").read_text(encoding="utf-8")


def gpio(name: str) -> int:
    found = re.match(r"GPIO (\d+)", name)
    assert found
    return int(found[1])


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_is_as_the_program_draws_it(name: str):
    assert (FOLDER / "drawings" / name).read_text(encoding="utf-8") == DRAWINGS[name]()


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_has_a_title_and_says_in_words_what_it_shows(name: str):
    root = ElementTree.fromstring(DRAWINGS[name]())  # noqa: S314 - our own
    space = "{http://www.w3.org/2000/svg}"
    assert root.findtext(f"{space}title")
    assert len(root.findtext(f"{space}desc") or "") > 40


@pytest.mark.parametrize("name", DRAWINGS)
def test_no_words_run_off_the_paper(name: str):
    """At 0.52 em a letter on average; common sans-serif fonts take 0.45 for such words."""
    root = ElementTree.fromstring(DRAWINGS[name]())  # noqa: S314 - our own
    width = float(root.attrib["viewBox"].split()[2])
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        kind = text.attrib.get("class", "")
        size = 19 if "title" in kind else 13 if "small" in kind else 15
        length = 0.52 * size * len(text.text or "")
        at = float(text.attrib["x"])
        start = {"start": at, "middle": at - length / 2, "end": at - length}[text.attrib["text-anchor"]]
        assert start >= 0, text.text
        assert start + length <= width, text.text


def test_the_pins_are_where_they_are_on_a_pi(mock_pins: MockFactory):
    """Against gpiozero's own table of the 40-pin header."""
    header = mock_pins.board_info.headers["J8"]
    for pin in USED:
        real = header.pins[pin.number]
        expected = f"GPIO{gpio(pin.name)}" if pin.name.startswith("GPIO") else {"3.3 V": "3V3", "GND": "GND"}[pin.name]
        assert real.name == expected, pin


def test_the_note_about_further_grounds_is_true(mock_pins: MockFactory):
    header = mock_pins.board_info.headers["J8"]
    assert [number for number, pin in header.pins.items() if pin.name == "GND"] == [6, 9, 14, 20, 25, 30, 34, 39]
    assert [number for number, pin in header.pins.items() if pin.name == "3V3"] == [1, 17]


def test_the_drawings_show_the_pins_that_the_program_takes():
    assert {USUAL_PIN["dht22"], USUAL_PIN["dht11"]} == {gpio(AIR.name)}
    assert USUAL_PIN["photoresistor"] == gpio(LIGHT.name)
    assert BUS_PINS["1-Wire"] == (gpio(PROBE.name),)
    bus = {gpio(pin.name) for pin, use in USED.items() if use == "MCP3008"}
    assert set(BUS_PINS["the SPI bus"]) == bus


def test_the_settings_in_the_guide_are_valid_together_and_use_the_drawn_pins(tmp_path: Path):
    blocks = re.findall(r"```toml\n(.*?)```", GUIDE, flags=re.DOTALL)
    assert len(blocks) == 6
    text = "\n".join(blocks).replace("shelf-light", "light-%d")
    numbered = iter(range(10))
    (tmp_path / "guide.toml").write_text(re.sub("light-%d", lambda _: f"light-{next(numbered)}", text))
    settings = load(tmp_path / "guide.toml")
    check_pins(settings)
    assert {sensor.part for sensor in settings.sensors} == {"dht22", "bh1750", "photoresistor", "mcp3008", "ds18b20"}
    signal = settings.signal
    drawn = tuple(gpio(pin.name) for pin in (RED, GREEN, BLUE, BUZZER, BUTTON))
    assert (signal.red_pin, signal.green_pin, signal.blue_pin, signal.buzzer_pin, signal.button_pin) == drawn


def test_the_guide_shows_every_drawing_and_no_other():
    assert set(re.findall(r"\(drawings/([a-z0-9-]+\.svg)\)", GUIDE)) == set(DRAWINGS)
    assert {path.name for path in (FOLDER / "drawings").glob("*.svg")} == set(DRAWINGS)


@pytest.mark.parametrize("word", ["drip loop", "over the mouth", "Never in the sun", "Low voltage only", "one metre"])
def test_the_guide_warns_where_it_matters(word: str):
    assert word.lower() in GUIDE.lower()
