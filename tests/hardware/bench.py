"""What the hardware tests share: a clock moved by hand."""


class Hand:
    """Seconds that pass only when somebody says so."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    def __call__(self) -> float:
        """The time now, in seconds."""
        return self.now_s

    def wait(self, seconds: float) -> None:
        """Let seconds pass."""
        self.now_s += seconds
