"""A sheet of paper to draw a circuit on: black on white, readable in print."""

from xml.sax.saxutils import escape

Point = tuple[float, float]

STYLE = (
    "text{font:15px sans-serif;fill:#000}"
    ".small{font-size:13px}.title{font-size:19px;font-weight:bold}.bold{font-weight:bold}"
    ".wire{fill:none;stroke:#000;stroke-width:2}.box{fill:#fff;stroke:#000;stroke-width:2}"
    ".thin{fill:none;stroke:#000;stroke-width:1.2}.faint{fill:#eee;stroke:#000;stroke-width:1.2}"
    ".dash{fill:none;stroke:#000;stroke-width:1.5;stroke-dasharray:6 4}.solid{fill:#000;stroke:none}"
)


class Sheet:
    """A drawing under way.

    Args:
        width, height: in pixels.
        title: what is drawn; also read out by screen readers.
        about: one sentence that says it in words.
    """

    def __init__(self, width: int, height: int, title: str, about: str) -> None:
        self._size = width, height
        self._head = f"<title>{escape(title)}</title><desc>{escape(about)}</desc>"
        self._parts: list[str] = []
        self.text((20, 32), title, kind="title")

    def text(self, at: Point, words: str, *, kind: str = "", anchor: str = "start") -> None:
        """Write words."""
        css = f' class="{kind}"' if kind else ""
        self._parts.append(f'<text x="{at[0]:g}" y="{at[1]:g}"{css} text-anchor="{anchor}">{escape(words)}</text>')

    def line(self, *points: Point, kind: str = "wire") -> None:
        """Draw a line through points."""
        path = " ".join(f"{x:g},{y:g}" for x, y in points)
        self._parts.append(f'<polyline class="{kind}" points="{path}"/>')

    def box(self, at: Point, width: float, height: float, *, kind: str = "box", radius: float = 6) -> None:
        """Draw a rectangle from its upper left corner."""
        size = f'width="{width:g}" height="{height:g}" rx="{radius:g}"'
        self._parts.append(f'<rect class="{kind}" x="{at[0]:g}" y="{at[1]:g}" {size}/>')

    def circle(self, at: Point, radius: float, *, kind: str = "box") -> None:
        """Draw a circle."""
        self._parts.append(f'<circle class="{kind}" cx="{at[0]:g}" cy="{at[1]:g}" r="{radius:g}"/>')

    def shape(self, path: str, *, kind: str = "thin") -> None:
        """Draw an SVG path."""
        self._parts.append(f'<path class="{kind}" d="{path}"/>')

    def dot(self, at: Point) -> None:
        """Mark where wires are joined."""
        self.circle(at, 4, kind="solid")

    def arrow(self, start: Point, end: Point) -> None:
        """Draw a thin arrow."""
        (x0, y0), (x1, y1) = start, end
        length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        self.line(start, end, kind="thin")
        head = [(x1 - 8 * ux + 4 * side * uy, y1 - 8 * uy - 4 * side * ux) for side in (1, -1)]
        self.shape(f"M{x1:g},{y1:g} L{head[0][0]:g},{head[0][1]:g} L{head[1][0]:g},{head[1][1]:g} Z", kind="solid")

    def upright(self, x: float, top: float, bottom: float, words: str, *, light: bool = False) -> None:
        """Draw a resistor between two heights; with `light`, one that light falls on."""
        middle = (top + bottom) / 2
        self.line((x, top), (x, bottom))
        self.box((x - 9, middle - 22), 18, 44, radius=0)
        if light:
            for shift in (-12, 2):
                self.arrow((x - 44, middle + shift - 14), (x - 14, middle + shift))
        self.text((x + 16, middle + 5), words)

    def level(self, y: float, left: float, right: float, words: str) -> None:
        """Draw a resistor lying in a wire."""
        middle = (left + right) / 2
        self.line((left, y), (right, y))
        self.box((middle - 22, y - 9), 44, 18, radius=0)
        self.text((middle, y - 15), words, anchor="middle", kind="small")

    def capacitor(self, x: float, top: float, bottom: float, words: str) -> None:
        """Draw a capacitor between two heights."""
        middle = (top + bottom) / 2
        self.line((x, top), (x, middle - 5))
        self.line((x, middle + 5), (x, bottom))
        self.line((x - 18, middle - 5), (x + 18, middle - 5))
        self.line((x - 18, middle + 5), (x + 18, middle + 5))
        self.text((x + 26, middle + 5), words)

    def svg(self) -> str:
        """Return the drawing."""
        width, height = self._size
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" role="img">'
        paper = f'<rect width="{width}" height="{height}" fill="#fff"/>'
        return "\n".join([head, self._head, f"<style>{STYLE}</style>", paper, *self._parts, "</svg>", ""])
