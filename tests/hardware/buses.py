"""Chips on an I²C bus, as their data sheets describe them, for the real CircuitPython drivers."""

from typing import Protocol


class Chip(Protocol):
    """A chip that is written to and read from."""

    def write(self, data: bytes) -> None:
        """Take bytes."""

    def read(self, count: int) -> bytes:
        """Give bytes."""


class Bus:
    """An I²C bus with what is plugged in; nobody at an address is an OSError, as on Linux."""

    def __init__(self) -> None:
        self.chips: dict[int, Chip] = {}

    def _chip(self, address: int) -> Chip:
        if address not in self.chips:
            raise OSError(121, "Remote I/O error")
        return self.chips[address]

    def try_lock(self) -> bool:
        """Nobody else is on this bus."""
        return True

    def unlock(self) -> None:
        """See try_lock."""

    def deinit(self) -> None:
        """Nothing to let go of."""

    def writeto(self, address: int, buffer: bytes, *, start: int = 0, end: int | None = None) -> None:
        """Write to one chip."""
        self._chip(address).write(bytes(buffer[start:end]))

    def readfrom_into(self, address: int, buffer: bytearray, *, start: int = 0, end: int | None = None) -> None:
        """Read from one chip."""
        end = len(buffer) if end is None else end
        buffer[start:end] = self._chip(address).read(end - start)

    def writeto_then_readfrom(
        self,
        address: int,
        out_buffer: bytes,
        in_buffer: bytearray,
        *,
        out_start: int = 0,
        out_end: int | None = None,
        in_start: int = 0,
        in_end: int | None = None,
    ) -> None:
        """Write, then read, in one go."""
        self.writeto(address, out_buffer, start=out_start, end=out_end)
        self.readfrom_into(address, in_buffer, start=in_start, end=in_end)


class Bh1750Chip:
    """BH1750FVI data sheet: opcode 0x10 measures in steps of 1 lx, 0x11 of 0.5 lx; off it says 0."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.opcode = 0x00

    def write(self, data: bytes) -> None:
        """Take an opcode."""
        if data:
            self.opcode = data[0]

    def read(self, count: int) -> bytes:
        """The latest conversion, high byte first."""
        return self.data[:count] if self.opcode in (0x10, 0x11) else b"\0\0"


class Veml7700Chip:
    """VEML7700 data sheet: 16-bit registers, low byte first; bit 0 of register 0 is shutdown, set at power-on."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.power_on()

    def power_on(self) -> None:
        """The registers after the supply came back."""
        self.registers = {0x00: 0x0001, 0x03: 0}
        self._pointer = 0

    def write(self, data: bytes) -> None:
        """Take a register number, and a value if there is one."""
        if data:
            self._pointer = data[0]
        if len(data) == 3:
            self.registers[data[0]] = int.from_bytes(data[1:], "little")

    def read(self, count: int) -> bytes:
        """The register that was named."""
        on = not self.registers[0x00] & 1
        light = {0x04: self.count if on else 0}
        return (light | self.registers).get(self._pointer, 0).to_bytes(count, "little")
