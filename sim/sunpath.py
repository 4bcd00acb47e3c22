"""The sun over the scenario's place, asked of the almanac every few minutes and drawn out between."""

from datetime import datetime, timedelta

from station.domain.sun import Place, SunPosition, sun_position

ASK_EVERY_S = 300.0


class SunPath:
    """Where the sun stands at each second since the start; within 0.05° of the almanac away from the zenith."""

    def __init__(self, place: Place, start_at: datetime) -> None:
        self._place = place
        self._start_at = start_at
        self._slot = -2
        self._from = self._to = SunPosition(0.0, 0.0)

    def at(self, elapsed_s: float) -> SunPosition:
        """Return the sun's position `elapsed_s` seconds after the start."""
        slot = int(elapsed_s // ASK_EVERY_S)
        if slot != self._slot:
            self._from = self._to if slot == self._slot + 1 else self._ask(slot)
            self._to = self._ask(slot + 1)
            self._slot = slot
        share = elapsed_s / ASK_EVERY_S - slot
        turn_deg = (self._to.azimuth_deg - self._from.azimuth_deg + 180.0) % 360.0 - 180.0
        return SunPosition(
            self._from.elevation_deg + share * (self._to.elevation_deg - self._from.elevation_deg),
            (self._from.azimuth_deg + share * turn_deg) % 360.0,
        )

    def _ask(self, slot: int) -> SunPosition:
        return sun_position(self._place, self._start_at + timedelta(seconds=slot * ASK_EVERY_S))
