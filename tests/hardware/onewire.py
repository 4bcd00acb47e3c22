"""1-Wire files as the kernel writes them."""

from pathlib import Path

SERIAL = "28-0316a2794aff"


def kernel_text(word: int, verdict: str = "YES", rest: str = "4b 46 7f ff 0c 10 1c") -> str:
    """What the kernel's w1_slave file says for a 16-bit word."""
    scratchpad = f"{word & 0xFF:02x} {word >> 8:02x} {rest}"
    return f"{scratchpad} : crc=1c {verdict}\n{scratchpad} t=0\n"


def a_probe(devices: Path, word: int = 0x0191, serial: str = SERIAL) -> Path:
    """A probe on the bus."""
    folder = devices / serial
    folder.mkdir(parents=True)
    (folder / "w1_slave").write_text(kernel_text(word))
    return folder
