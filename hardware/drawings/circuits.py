"""The circuits of the wiring guide, one drawing each."""

from hardware.drawings.sheet import Sheet
from hardware.drawings.terminals import (
    AIR,
    BLUE,
    BUTTON,
    BUZZER,
    CE0,
    GREEN,
    GROUND,
    LIGHT,
    MISO,
    MOSI,
    PI_EDGE,
    PROBE,
    RED,
    SCL,
    SCLK,
    SDA,
    TALL,
    THREE_VOLTS,
    USED,
    part,
    pi,
)

PART_LEFT = 520


def header() -> str:
    """Draw the whole header with what each pin is for."""
    sheet = Sheet(720, 640, "The header", "The 40 pins of a Raspberry Pi and which part each of the used ones is for.")
    sheet.text(
        (20, 56), "Seen from above, the board's corner with pin 1 at the top, the USB sockets below.", kind="small"
    )
    names = {pin.number: (pin.name, use) for pin, use in USED.items()}
    for number in range(1, 41):
        column, row = (number - 1) % 2, (number - 1) // 2
        x, y = 340 + 40 * column, 84 + 27 * row
        used = number in names
        sheet.circle((x, y), 11, kind="box" if used else "faint")
        sheet.text((x, y + 4.5), str(number), kind="small bold" if used else "small", anchor="middle")
        if used:
            name, use = names[number]
            at, anchor = (x + 30, "start") if column else (x - 30, "end")
            sheet.text((at, y + 5), f"{name} · {use}" if column else f"{use} · {name}", kind="small", anchor=anchor)
    sheet.box((318, 68), 84, 20 * 27 + 4, kind="dash")
    for row, words in enumerate(
        ("Ground is also at 6, 14, 20, 25,", "30, 34, 39; 3.3 V also at 17.", "Never use 5 V (2, 4) for these.")
    ):
        sheet.text((430, 530 + 20 * row), words, kind="small")
    return sheet.svg()


def dht() -> str:
    """Draw a DHT22 or DHT11."""
    about = "Supply, data with a 10 kΩ pull-up to 3.3 V, and ground, from the Pi to the sensor."
    sheet = Sheet(720, 360, "Air: DHT22 or DHT11", about)
    supply, data, ground = pi(sheet, (THREE_VOLTS, AIR, GROUND), TALL)
    part(sheet, PART_LEFT, 180, "DHT22 or DHT11", ("1  VCC", "2  DATA", "4  GND"), TALL)
    for y in (supply, data, ground):
        sheet.line((PI_EDGE, y), (PART_LEFT, y))
    _pull_up(sheet, 360, supply, data, "10 kΩ")
    sheet.text(
        (20, 340), "Leg 3 stays free. A part on a small board has the resistor already. Lead up to 2 m.", kind="small"
    )
    return sheet.svg()


def one_wire() -> str:
    """Draw DS18B20 probes."""
    about = "Supply, data with a 4.7 kΩ pull-up to 3.3 V, and ground; more probes go on the same three wires."
    sheet = Sheet(720, 380, "Jar probes: DS18B20", about)
    supply, data, ground = pi(sheet, (THREE_VOLTS, PROBE, GROUND), TALL)
    part(sheet, PART_LEFT, 180, "DS18B20", ("VDD  (red)", "DQ  (yellow)", "GND  (black)"), TALL)
    for y in (supply, data, ground):
        sheet.line((PI_EDGE, y), (PART_LEFT, y))
    _pull_up(sheet, 330, supply, data, "4.7 kΩ")
    for y in (supply, data, ground):
        sheet.dot((470, y))
        sheet.line((470, y), (488, y + 22), kind="dash")
    sheet.text(
        (20, 340),
        "More probes join at the dots; one resistor serves all. The colours of a cable may differ:",
        kind="small",
    )
    sheet.text(
        (20, 360), "read its sheet. Tape the tip to the jar at half height, under a strip of foam.", kind="small"
    )
    return sheet.svg()


def i2c() -> str:
    """Draw a light sensor on I²C."""
    about = "Four wires from the Pi to the sensor: 3.3 V, SDA, SCL and ground."
    sheet = Sheet(720, 340, "Light: BH1750 or VEML7700", about)
    rows = pi(sheet, (THREE_VOLTS, SDA, SCL, GROUND))
    part(sheet, PART_LEFT, 180, "BH1750, VEML7700", ("VIN", "SDA", "SCL", "GND"))
    for y in rows:
        sheet.line((PI_EDGE, y), (PART_LEFT, y))
    sheet.text(
        (20, 296),
        "The boards have their own pull-ups. ADDR of a BH1750 open or to GND: 0x23; to 3.3 V: 0x5C.",
        kind="small",
    )
    return sheet.svg()


def photoresistor() -> str:
    """Draw a photoresistor that charges a capacitor."""
    about = "From 3.3 V through the photoresistor to a node; from there 10 µF to ground and 330 Ω to GPIO 27."
    sheet = Sheet(720, 420, "Light: photoresistor and capacitor", about)
    supply, data, ground = pi(sheet, (THREE_VOLTS, LIGHT, GROUND), TALL)
    node, bottom = (500.0, data), ground + 50
    sheet.line((PI_EDGE, supply), (500, supply))
    sheet.upright(500, supply, node[1], "photoresistor", light=True)
    sheet.level(data, PI_EDGE, node[0], "330 Ω")
    sheet.dot(node)
    sheet.capacitor(500, node[1], bottom, "10 µF, + at the top")
    sheet.line((500, bottom), (290, bottom), (290, ground), (PI_EDGE, ground))
    sheet.text(
        (20, 414),
        "The 330 Ω protect the pin while it empties the capacitor. 1 µF: write capacitor_uf = 1.",
        kind="small",
    )
    return sheet.svg()


def mcp3008() -> str:
    """Draw a photoresistor on an MCP3008."""
    about = "The chip on the SPI pins; on channel 0 a photoresistor to 3.3 V and 1 kΩ to ground."
    sheet = Sheet(800, 500, "Light: photoresistor on an MCP3008", about)
    rows = pi(sheet, (THREE_VOLTS, SCLK, MISO, MOSI, CE0, GROUND))
    legs = ("16 VDD, 15 VREF", "13 CLK", "12 DOUT", "11 DIN", "10 CS", "9 DGND, 14 AGND")
    part(sheet, 330, 170, "MCP3008", legs)
    for y in rows:
        sheet.line((PI_EDGE, y), (330, y))
    top, channel, bottom = rows[0] - 30, rows[2], rows[5]
    sheet.circle((500, channel), 4)
    sheet.text((488, channel + 5), "1 CH0", anchor="end", kind="small")
    sheet.line((500, channel), (620, channel))
    sheet.dot((620, channel))
    sheet.upright(620, top, channel, "photoresistor", light=True)
    sheet.text((620, top - 8), "3.3 V", anchor="middle")
    sheet.upright(620, channel, bottom, "1 kΩ")
    sheet.line((604, bottom), (636, bottom))
    sheet.text((620, bottom + 20), "GND", anchor="middle")
    sheet.text(
        (20, 450),
        "Leg numbers are the chip's. The 1 kΩ measure from 10 lx to 30,000 lx; another value goes",
        kind="small",
    )
    sheet.text((20, 470), "into the settings as resistor_ohm. Never give the chip more than 3.3 V.", kind="small")
    return sheet.svg()


def signals() -> str:
    """Draw lamp, buzzer and button."""
    about = "Each colour of the lamp through 330 Ω, the buzzer and the button from their pins to ground."
    sheet = Sheet(720, 480, "Lamp, buzzer, button", about)
    red, green, blue, buzzer, button, ground = pi(sheet, (RED, GREEN, BLUE, BUZZER, BUTTON, GROUND))
    for y in (red, green, blue):
        sheet.level(y, PI_EDGE, 430, "330 Ω")
    sheet.box((430, red - 46), 150, blue - red + 68)
    sheet.text((444, red - 24), "RGB lamp", kind="bold")
    for y, name in ((red, "red"), (green, "green"), (blue, "blue")):
        sheet.circle((430, y), 4)
        sheet.text((444, y + 5), name)
    sheet.circle((580, green), 4)
    sheet.text((568, green + 5), "long leg", anchor="end", kind="small")
    sheet.line((580, green), (640, green), (640, ground))
    sheet.line((PI_EDGE, buzzer), (430, buzzer))
    sheet.box((430, buzzer - 16), 150, 32)
    sheet.text((505, buzzer + 5), "active buzzer, 3 V", anchor="middle", kind="small")
    sheet.line((580, buzzer), (640, buzzer))
    sheet.dot((640, buzzer))
    sheet.line((PI_EDGE, button), (470, button))
    sheet.line((470, button), (528, button - 20))
    sheet.line((530, button), (640, button))
    sheet.circle((470, button), 4)
    sheet.circle((530, button), 4)
    sheet.text((500, button + 22), "button", anchor="middle", kind="small")
    sheet.dot((640, button))
    sheet.line((640, ground), (PI_EDGE, ground))
    sheet.text(
        (20, 430), "Common cathode as drawn. Common anode: long leg to 3.3 V, and common_anode = true.", kind="small"
    )
    sheet.text(
        (20, 450),
        "A buzzer that draws more than 10 mA needs a transistor. The button has no resistor: the Pi's own",
        kind="small",
    )
    sheet.text((20, 468), "pull-up serves.", kind="small")
    return sheet.svg()


def _pull_up(sheet: Sheet, x: float, supply: float, data: float, words: str) -> None:
    sheet.dot((x, supply))
    sheet.dot((x, data))
    sheet.upright(x, supply, data, words)
