"""Where the parts belong on the shelf."""

from hardware.drawings.sheet import Sheet


def place() -> str:
    """Draw a shelf with jars, sensor, Pi and what to keep away from."""
    about = (
        "A shelf with three jars. The air sensor is beside them at half their height, not over a mouth and out of the "
        "sun. The Pi stands higher than the jars' liquid, its lead hangs in a loop, mains and water are away."
    )
    sheet = Sheet(820, 500, "Where things belong", about)
    sheet.line((60, 400), (700, 400))
    sheet.line((60, 410), (700, 410))
    sheet.line((470, 150), (700, 150))
    sheet.line((470, 160), (700, 160))
    for x in (110, 200, 290):
        _jar(sheet, x)
    _air_sensor(sheet)
    _pi_and_lead(sheet)
    _steam(sheet)
    _sun(sheet)
    sheet.text((110, 440), "Jar probe: taped to the glass at half height,", kind="small")
    sheet.text((110, 458), "under a strip of foam.", kind="small")
    sheet.line((186, 340), (206, 424), kind="thin")
    sheet.text((500, 440), "Mains adaptor and sink: at least 1 m away,", kind="small")
    sheet.text((500, 458), "the adaptor above the worktop. Only 5 V and", kind="small")
    sheet.text((500, 476), "3.3 V come near the jars.", kind="small")
    return sheet.svg()


def _jar(sheet: Sheet, x: float) -> None:
    sheet.shape(f"M{x},300 h60 q10,6 10,20 v80 h-80 v-80 q0,-14 10,-20 z", kind="box")
    sheet.line((x - 10, 330), (x + 70, 330), kind="dash")
    sheet.box((x - 4, 286), 68, 16, kind="faint")
    if x == 200:
        sheet.box((x - 18, 334), 14, 30, kind="solid", radius=2)


def _air_sensor(sheet: Sheet) -> None:
    sheet.box((400, 325), 34, 48)
    for y in (335, 345, 355):
        sheet.line((406, y), (428, y), kind="thin")
    sheet.text((462, 330), "Air sensor: beside the jars,", kind="small")
    sheet.text((462, 348), "at half their height, free on", kind="small")
    sheet.text((462, 366), "all sides, 10 cm from a wall.", kind="small")
    sheet.text((462, 384), "Light sensor: where the jars stand.", kind="small")


def _pi_and_lead(sheet: Sheet) -> None:
    sheet.box((560, 104), 110, 44)
    sheet.text((615, 131), "Pi, in a case", anchor="middle", kind="small")
    sheet.shape("M560,126 C510,126 500,180 494,240 C488,290 442,280 442,330 C442,400 417,410 417,373", kind="wire")
    sheet.text((520, 222), "Drip loop: just before the sensor the lead", kind="small")
    sheet.text((520, 240), "hangs lower than where it goes in.", kind="small")
    sheet.text((520, 186), "Higher than the liquid in the jars.", kind="small")


def _steam(sheet: Sheet) -> None:
    for x in (128, 150):
        sheet.shape(f"M{x},280 q-8,-14 0,-28 q8,-14 0,-28", kind="thin")
    sheet.box((122, 178), 34, 40, kind="dash")
    sheet.line((118, 174), (160, 222))
    sheet.line((160, 174), (118, 222))
    sheet.text((175, 190), "Never over a mouth: what rises there is", kind="small")
    sheet.text((175, 208), "moist and a little acid, and spoils the", kind="small")
    sheet.text((175, 226), "sensor.", kind="small")


def _sun(sheet: Sheet) -> None:
    sheet.circle((60, 90), 22)
    for end in ((110, 110), (98, 132), (74, 142)):
        sheet.arrow((60 + (end[0] - 60) * 0.55, 90 + (end[1] - 90) * 0.55), end)
    sheet.text((125, 95), "Never in the sun: the air sensor then measures its own", kind="small")
    sheet.text((125, 113), "warmth. Let the light sensor see what the jars see.", kind="small")
