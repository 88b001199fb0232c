"""Draws invented photos and papers for the sample jobs. No site, firm or product is shown.

`photo` and `paper` give the same bytes for the same words, so the samples can be made again.
Every picture says in a corner that it is invented.
"""

from __future__ import annotations

import random
import zlib
from collections.abc import Callable, Sequence
from datetime import datetime
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

INVENTED = "INVENTED DEMONSTRATION IMAGE"
LARGEST_BYTES = 150_000
WIDTH_PX, HEIGHT_PX = 1600, 1200
FONT_FOLDERS = (
    Path(__file__).parent.parent / "compliance" / "documents" / "fonts",
    Path("/usr/share/fonts/truetype/dejavu"),
)

_FINE = 2
"""Scenes are drawn this much larger and made small at the end, so that edges are smooth."""

Colour = tuple[int, int, int]
Box = tuple[float, float, float, float]
WHITE, INK, STEEL = (244, 244, 240), (28, 30, 34), (150, 154, 158)
PLASTIC, PLASTIC_DARK, BLACK = (214, 216, 214), (176, 179, 178), (40, 41, 44)
COPPER, EARTH_GREEN, EARTH_YELLOW = (196, 118, 72), (58, 128, 66), (216, 196, 62)
TIMBER, MASONRY, PLASTER = (176, 140, 98), (158, 104, 84), (216, 208, 194)
SLATE, SKY, GLASS = (98, 100, 108), (176, 204, 228), (30, 42, 66)


def photo(
    path: Path,
    *,
    caption: str,
    drawing: str,
    taken: datetime,
    size: tuple[int, int] = (WIDTH_PX, HEIGHT_PX),
    position: tuple[float, float] | None = None,
    text_lines: Sequence[str] = (),
) -> None:
    """Save the picture `drawing` as a JPEG that claims to have been taken at `taken`.

    Args:
        path: The file to write.
        caption: Small words in the lower left corner; also what makes the grain differ.
        drawing: One of `DRAWINGS`.
        taken: Local time of the claim.
        size: Width and height of the picture. [px]
        position: Latitude and longitude of the claim, none by default. [deg]
        text_lines: Words on the label, plate or display in the scene.
    """
    scene = Scene(zlib.crc32(f"{drawing}|{caption}".encode()))
    DRAWINGS[drawing](scene, list(text_lines))
    picture = scene.developed()
    _sign(picture, caption)
    if size != picture.size:
        picture = picture.resize(size, Image.Resampling.LANCZOS)
    path.write_bytes(_jpeg(picture, _claims(taken, position)))


def paper(path: Path, *, title: str, lines: Sequence[str], taken: datetime) -> None:
    """Save a one-page PDF test sheet with a title, lines of text and a date.

    A line `name: value` is printed in two columns.
    """
    from reportlab.lib.pagesizes import A4
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    for name in ("DejaVuSans", "DejaVuSans-Bold"):
        pdfmetrics.registerFont(TTFont(name, str(_font_file(name))))
    width, height = A4
    sheet = Canvas(str(path), pagesize=A4, invariant=1)
    sheet.setTitle(title)
    sheet.setFont("DejaVuSans-Bold", 15)
    sheet.drawString(56, height - 76, title)
    sheet.setFont("DejaVuSans", 9)
    sheet.drawString(56, height - 94, f"Filled in on {taken:%Y-%m-%d} at {taken:%H:%M}")
    sheet.line(56, height - 104, width - 56, height - 104)
    y = height - 128
    for line in lines:
        name, colon, value = line.partition(": ")
        sheet.setFont("DejaVuSans", 10)
        sheet.drawString(56, y, name if colon else line)
        if colon:
            sheet.drawString(300, y, value)
        y -= 18
    sheet.setFont("DejaVuSans", 8)
    sheet.drawString(56, 48, "INVENTED DEMONSTRATION PAPER: no such site, firm or person")
    sheet.save()


class Scene:
    """A drawing sheet measured in the pixels of the finished 1600 × 1200 picture."""

    def __init__(self, seed: int) -> None:
        self.noise = random.Random(seed)
        self.image = Image.new("RGB", (WIDTH_PX * _FINE, HEIGHT_PX * _FINE), PLASTER)
        self.draw = ImageDraw.Draw(self.image)

    def box(self, box: Box, fill: Colour, *, radius: float = 0, edge: Colour | None = None) -> None:
        """A rectangle `x, y, width, height`, with round corners and an edge if wished."""
        x, y, width, height = box
        self.draw.rounded_rectangle(
            _fine((x, y, x + width, y + height)), radius * _FINE, fill, edge, width=3 * _FINE
        )

    def solid(self, box: Box, fill: Colour, *, radius: float = 12) -> None:
        """A rectangle that stands out: with a shadow below and light from the upper left."""
        x, y, width, height = box
        self.shadow(box)
        self.box(box, shade(fill, 0.82), radius=radius)
        self.box((x, y, width - 5, height - 6), shade(fill, 1.1), radius=radius)
        self.box((x + 5, y + 5, width - 10, height - 11), fill, radius=radius)

    def shadow(self, box: Box, *, reach: float = 26, depth: float = 0.42) -> None:
        """A soft shadow to the lower right of a rectangle."""
        x, y, width, height = box
        left, top = int(x - 2 * reach), int(y - 2 * reach)
        small = Image.new("L", (int(width + 4 * reach) // 4, int(height + 4 * reach) // 4), 255)
        dark = int(255 * (1 - depth))
        inner = [
            v / 4 for v in (2.5 * reach, 2.7 * reach, width + 2.5 * reach, height + 2.7 * reach)
        ]
        ImageDraw.Draw(small).rectangle(inner, dark)
        small = small.filter(ImageFilter.GaussianBlur(reach / 8))
        full = small.resize((int(width + 4 * reach) * _FINE, int(height + 4 * reach) * _FINE))
        place = (left * _FINE, top * _FINE)
        under = self.image.crop((*place, place[0] + full.width, place[1] + full.height))
        self.image.paste(ImageChops.multiply(under, full.convert("RGB")), place)

    def circle(self, x: float, y: float, radius: float, fill: Colour) -> None:
        """A disc round `x, y`."""
        self.draw.ellipse(_fine((x - radius, y - radius, x + radius, y + radius)), fill)

    def shape(self, points: Sequence[tuple[float, float]], fill: Colour) -> None:
        """A filled outline."""
        self.draw.polygon([(x * _FINE, y * _FINE) for x, y in points], fill)

    def cable(
        self, points: Sequence[tuple[float, float]], colour: Colour, *, width: float = 16
    ) -> None:
        """A round cable along a smooth way through the points, lit along its upper side."""
        way = [(x * _FINE, y * _FINE) for x, y in smooth(points)]
        for part, tone, shift in ((1.0, 0.72, 0.0), (0.7, 1.0, -0.08), (0.2, 1.28, -0.22)):
            moved = [(x + shift * width * _FINE, y + shift * width * _FINE) for x, y in way]
            thick = max(2, int(width * part * _FINE))
            self.draw.line(moved, shade(colour, tone), thick)
            for x, y in moved:
                half = thick / 2 - 0.5
                self.draw.ellipse((x - half, y - half, x + half, y + half), shade(colour, tone))

    def words(
        self,
        text: str,
        x: float,
        y: float,
        height: float,
        *,
        ink: Colour = INK,
        is_bold: bool = False,
        anchor: str = "mm",
        room: float = 0,
    ) -> None:
        """A line of text, smaller if it would be wider than `room`."""
        font = font_of(height * _FINE, is_bold=is_bold)
        if room and font.getlength(text) > room * _FINE:
            font = font_of(height * room * _FINE**2 / font.getlength(text), is_bold=is_bold)
        self.draw.text((x * _FINE, y * _FINE), text, ink, font, anchor)

    def sign(self, box: Box, lines: Sequence[str], *, fill: Colour = WHITE) -> None:
        """A plain label with the words given, the first line larger."""
        x, y, width, height = box
        self.shadow(box, reach=8, depth=0.3)
        self.box(box, fill, radius=8, edge=INK)
        step = height / (len(lines) + 0.5)
        for number, line in enumerate(lines):
            tall = min(step * (0.56 if number == 0 else 0.46), 44)
            at = y + step * (number + 0.75)
            self.words(line, x + width / 2, at, tall, is_bold=number == 0, room=width - 40)

    def screw(self, x: float, y: float) -> None:
        """A screw head with a cross slot."""
        self.circle(x, y, 10, shade(STEEL, 0.7))
        self.circle(x - 1, y - 1, 8, shade(STEEL, 1.15))
        for dx, dy in ((5, 2), (-2, 5)):
            line = _fine((x - dx, y - dy, x + dx, y + dy))
            self.draw.line(line, shade(STEEL, 0.5), 3 * _FINE)

    def cloud(self, cell_px: int, strength: float, box: Box | None = None) -> None:
        """Uneven tone over the sheet or a part of it, in patches of about `cell_px`."""
        x, y, width, height = box or (0, 0, WIDTH_PX, HEIGHT_PX)
        across, down = max(2, int(width / cell_px)), max(2, int(height / cell_px))
        cells = bytes(int(255 - 255 * strength * self.noise.random()) for _ in range(across * down))
        tone = Image.frombytes("L", (across, down), cells)
        tone = tone.resize((int(width) * _FINE, int(height) * _FINE), Image.Resampling.BICUBIC)
        place = (int(x) * _FINE, int(y) * _FINE)
        under = self.image.crop((*place, place[0] + tone.width, place[1] + tone.height))
        self.image.paste(ImageChops.multiply(under, tone.convert("RGB")), place)

    def developed(self) -> Image.Image:
        """The finished picture: made small, lit unevenly, with a camera's grain."""
        picture = self.image.resize((WIDTH_PX, HEIGHT_PX), Image.Resampling.BOX)
        light = Image.radial_gradient("L").point([255 - v * 48 // 255 for v in range(256)])
        lit = light.resize(picture.size, Image.Resampling.BICUBIC).convert("RGB")
        picture = ImageChops.multiply(picture, lit)
        across, down = WIDTH_PX // 2, HEIGHT_PX // 2
        grain = Image.frombytes("L", (across, down), self.noise.randbytes(across * down))
        grain = grain.point([124 + v * 8 // 255 for v in range(256)])
        grain = grain.resize(picture.size, Image.Resampling.BILINEAR).convert("RGB")
        return ImageChops.add(picture, grain, 1, -128).filter(ImageFilter.GaussianBlur(0.6))


def shade(colour: Colour, tone: float) -> Colour:
    """A colour made lighter or darker."""
    red, green, blue = (max(0, min(255, round(part * tone))) for part in colour)
    return red, green, blue


def smooth(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A soft way through points (Catmull-Rom)."""
    padded = [points[0], *points, points[-1]]
    way = []
    for a, b, c, d in zip(padded, padded[1:], padded[2:], padded[3:], strict=False):
        for step in range(24):
            t = step / 24
            way.append(
                tuple(
                    0.5
                    * (
                        2 * b[i]
                        + (c[i] - a[i]) * t
                        + (2 * a[i] - 5 * b[i] + 4 * c[i] - d[i]) * t**2
                        + (3 * b[i] - a[i] - 3 * c[i] + d[i]) * t**3
                    )
                    for i in (0, 1)
                )
            )
    return [(x, y) for x, y in [*way, points[-1]]]


def font_of(height_px: float, *, is_bold: bool = False) -> ImageFont.FreeTypeFont:
    """The embedded open font in a size."""
    file = _font_file("DejaVuSans-Bold" if is_bold else "DejaVuSans")
    return ImageFont.truetype(str(file), max(8, round(height_px)))


# --- backgrounds


def plaster(scene: Scene, colour: Colour = PLASTER) -> None:
    scene.box((0, 0, WIDTH_PX, HEIGHT_PX), colour)
    scene.cloud(260, 0.12)
    scene.cloud(14, 0.05)


def brickwork(scene: Scene) -> None:
    scene.box((0, 0, WIDTH_PX, HEIGHT_PX), (188, 180, 168))
    for row in range(17):
        for column in range(-1, 9):
            x, y = column * 220 + (row % 2) * 110, row * 74
            tone = 0.86 + 0.26 * scene.noise.random()
            scene.box((x + 5, y + 5, 210, 64), shade(MASONRY, tone), radius=4)
    scene.cloud(300, 0.15)
    scene.cloud(9, 0.1)


def boards(scene: Scene) -> None:
    """Timber boards, as in a loft or on a bench."""
    for column in range(6):
        tone = 0.86 + 0.18 * scene.noise.random()
        scene.box((column * 270, 0, 264, HEIGHT_PX), shade(TIMBER, tone))
        scene.box((column * 270 + 264, 0, 6, HEIGHT_PX), shade(TIMBER, 0.45))
        for _ in range(14):
            x = column * 270 + 12 + scene.noise.random() * 240
            bend = scene.noise.uniform(-8, 8)
            way = [(x, -20), (x + bend, 400), (x - bend, 800), (x + bend, 1220)]
            points = [(a * _FINE, b * _FINE) for a, b in smooth(way)]
            scene.draw.line(points, shade(TIMBER, tone * 0.9), 2 * _FINE)
    scene.cloud(320, 0.14)


def roof(scene: Scene) -> None:
    """Sky and a slope of plain tiles seen from a scaffold."""
    for y in range(0, 330, 6):
        scene.box((0, y, WIDTH_PX, 6), shade(SKY, 0.88 + y / 2000))
    scene.cloud(400, 0.1, (0, 0, WIDTH_PX, 320))
    top, course = 300.0, 0
    while top < HEIGHT_PX:
        deep = 24 + course * 2.6
        wide = 54 + course * 5.5
        shift = wide / 2 if course % 2 else 0
        scene.box((0, top, WIDTH_PX, deep + 4), shade(SLATE, 0.5))
        for column in range(-1, int(WIDTH_PX / wide) + 2):
            tone = 0.88 + 0.22 * scene.noise.random()
            at = column * wide - shift
            scene.box((at + 1, top, wide - 3, deep - 3), shade(SLATE, tone), radius=2)
        top += deep
        course += 1
    scene.cloud(220, 0.16, (0, 300, WIDTH_PX, 900))
    scene.box((0, 286, WIDTH_PX, 22), shade(SLATE, 0.62), radius=8)


# --- scenes


def draw_label(scene: Scene, lines: list[str]) -> None:
    plaster(scene)
    scene.solid((300, 120, 1000, 900), PLASTIC, radius=26)
    for x, y in ((350, 170), (1250, 170), (350, 970), (1250, 970)):
        scene.screw(x, y)
    scene.box((380, 210, 840, 70), PLASTIC_DARK, radius=10)
    words = lines or ["Two supplies", "Switch both off and prove dead"]
    scene.sign((410, 350, 780, min(560, 110 + 84 * len(words))), words)
    scene.cable([(700, 1010), (700, 1100), (690, 1230)], BLACK, width=34)
    scene.cable([(900, 1010), (900, 1100), (910, 1230)], BLACK, width=34)


def draw_isolator(scene: Scene, lines: list[str]) -> None:
    brickwork(scene)
    scene.solid((500, 130, 600, 700), PLASTIC, radius=30)
    for x, y in ((545, 175), (1055, 175), (545, 785), (1055, 785)):
        scene.screw(x, y)
    scene.circle(803, 446, 196, shade(PLASTIC, 0.74))
    scene.circle(800, 440, 192, shade(PLASTIC, 1.06))
    scene.circle(800, 440, 150, shade(BLACK, 1.3))
    scene.shape([(766, 280), (834, 280), (846, 600), (754, 600)], shade(BLACK, 0.75))
    scene.shape([(772, 284), (816, 284), (822, 592), (766, 592)], shade(BLACK, 1.75))
    scene.box((792, 292, 16, 60), WHITE, radius=4)
    scene.words("ON", 1044, 440, 36, is_bold=True)
    scene.words("OFF", 800, 206, 36, is_bold=True)
    for x in (640, 740, 860, 960):
        scene.solid((x - 26, 826, 52, 44), BLACK, radius=8)
        scene.cable([(x, 868), (x, 990), (x + (x - 800) * 0.12, 1230)], BLACK, width=24)
    if lines:
        scene.sign((580, 656, 440, 150), lines)


def draw_array(scene: Scene, lines: list[str]) -> None:
    roof(scene)
    rows, columns = 2, 5
    for row in range(rows):
        for column in range(columns):
            _module(scene, row, column, columns)
    if lines:
        scene.sign((1180, 40, 380, 60 + 56 * len(lines)), lines)


def _slope(column: float, row: float, columns: int) -> tuple[float, float]:
    """Where a corner of the array lies: wider towards the eaves."""
    y = 400 + row * 300 + row * row * 20
    half = 480 + (y - 400) * 0.34
    return 800 - half + 2 * half * column / columns, y


def _module(scene: Scene, row: int, column: int, columns: int) -> None:
    gap = 0.012
    corners = ((gap, gap), (1 - gap, gap), (1 - gap, 1 - gap), (gap, 1 - gap))
    at = [_slope(column + x, row + y, columns) for x, y in corners]
    scene.shape([(x + 8, y + 14) for x, y in at], shade(SLATE, 0.35))
    scene.shape(at, (196, 200, 204))
    inner = ((0.035, 0.025), (0.965, 0.025), (0.965, 0.975), (0.035, 0.975))
    tone = 0.95 + 0.1 * scene.noise.random()
    scene.shape([_slope(column + x, row + y, columns) for x, y in inner], shade(GLASS, tone))
    for step in range(1, 6):
        share = 0.035 + 0.93 * step / 6
        line = [
            _slope(column + share, row + 0.03, columns),
            _slope(column + share, row + 0.97, columns),
        ]
        scene.draw.line([(x * _FINE, y * _FINE) for x, y in line], shade(GLASS, 1.7), 2)
    for step in range(1, 10):
        share = 0.025 + 0.95 * step / 10
        line = [
            _slope(column + 0.04, row + share, columns),
            _slope(column + 0.96, row + share, columns),
        ]
        scene.draw.line([(x * _FINE, y * _FINE) for x, y in line], shade(GLASS, 1.6), 2)
    glint = ((0.1, 0.025), (0.42, 0.025), (0.2, 0.975), (0.035, 0.975), (0.035, 0.4))
    sheen = Image.new("L", (WIDTH_PX, HEIGHT_PX), 0)
    points = [_slope(column + x, row + y, columns) for x, y in glint]
    ImageDraw.Draw(sheen).polygon(points, 22)
    scene.image.paste(SKY, mask=sheen.resize(scene.image.size))


def draw_rails(scene: Scene, lines: list[str]) -> None:
    roof(scene)
    for y in (470, 640, 850, 1070):
        wide = 700 + (y - 400) * 0.5
        for step in range(7):
            x = 800 - wide + 60 + step * (2 * wide - 120) / 6
            scene.solid((x - 14, y - 44, 28, 60), STEEL, radius=4)
        scene.solid((800 - wide, y, 2 * wide, 24), (190, 194, 198), radius=4)
    scene.cable([(180, 505), (500, 512), (900, 508), (1240, 512), (1290, 620)], BLACK, width=12)
    scene.cable([(1290, 620), (1320, 760), (1330, 960), (1350, 1220)], BLACK, width=14)
    for x in (420, 720, 1020):
        scene.box((x, 494, 10, 28), shade(STEEL, 0.6), radius=3)
    if lines:
        scene.sign((60, 60, 420, 60 + 56 * len(lines)), lines)


def draw_meter(scene: Scene, lines: list[str]) -> None:
    boards(scene)
    scene.cable([(700, 960), (560, 1080), (420, 1010), (240, 1100), (-30, 1040)], (168, 40, 40))
    scene.cable([(900, 960), (1040, 1090), (1180, 1030), (1360, 1120), (1640, 1050)], BLACK)
    scene.solid((470, 60, 660, 920), (70, 84, 96), radius=70)
    scene.box((510, 100, 580, 840), (54, 58, 62), radius=50)
    scene.box((560, 150, 480, 270), shade(BLACK, 0.8), radius=16)
    scene.box((576, 166, 448, 238), (186, 198, 178), radius=8)
    reading, rest = (lines or ["0.00 V"])[0], lines[1:3]
    scene.words(reading, 800, 260 if rest else 285, 84, ink=(34, 42, 36), is_bold=True, room=410)
    for number, line in enumerate(rest):
        scene.words(line, 800, 340 + 36 * number, 28, ink=(34, 42, 36), room=410)
    scene.circle(803, 626, 128, shade(BLACK, 0.6))
    scene.circle(800, 620, 122, (96, 100, 104))
    scene.shape([(784, 510), (816, 510), (822, 720), (778, 720)], (58, 62, 66))
    scene.box((794, 516, 12, 44), WHITE, radius=4)
    for step in range(9):
        scene.circle(676 + step * 31, 772 - abs(step - 4) * -6 - 8, 4, (150, 154, 158))
    for x, colour in ((700, (168, 40, 40)), (800, STEEL), (900, BLACK)):
        scene.circle(x, 880, 34, shade(BLACK, 0.7))
        scene.circle(x, 880, 26, colour)
    for x, colour in ((700, (168, 40, 40)), (900, BLACK)):
        scene.solid((x - 20, 868, 40, 104), colour, radius=14)


def draw_cable_ends(scene: Scene, lines: list[str]) -> None:
    boards(scene)
    ways = [
        ([(-30, 240), (300, 300), (620, 390), (860, 420)], (168, 40, 40)),
        ([(-30, 560), (280, 590), (600, 570), (860, 560)], BLACK),
    ]
    for way, colour in ways:
        scene.cable(way, colour, width=34)
        x, y = way[-1]
        scene.solid((x - 40, y - 34, 230, 68), (52, 54, 58), radius=26)
        scene.solid((x + 170, y - 26, 70, 52), (120, 124, 128), radius=18)
        scene.box((x - 66, y - 22, 18, 44), shade(WHITE, 0.94), radius=4)
    words = lines or ["Ends capped", "Open circuit, live in daylight"]
    scene.cable([(500, 580), (560, 700), (640, 770)], shade(TIMBER, 0.7), width=6)
    scene.sign((560, 760, 820, 100 + 80 * len(words)), words)


def draw_cable_run(scene: Scene, lines: list[str]) -> None:
    """Cables along the rafters of a loft, with one of the warnings on them."""
    boards(scene)
    for y in (150, 1010):
        scene.solid((-20, y, WIDTH_PX + 40, 90), shade(TIMBER, 0.62), radius=4)
    for number, colour in enumerate(((168, 40, 40), BLACK, (168, 40, 40), BLACK)):
        y = 480 + number * 66
        scene.cable([(-30, y), (420, y + 8), (900, y - 6), (1640, y + 4)], colour, width=30)
    for x in (120, 800, 1480):
        scene.solid((x - 16, 446, 32, 276), PLASTIC_DARK, radius=8)
    scene.sign((210, 500, 500, 170), lines or ["DC cable", "live in daylight"])


def draw_surge_device(scene: Scene, lines: list[str]) -> None:
    """A surge device on its rail: two plug-in parts, each with a window; words on a label."""
    plaster(scene, (206, 208, 206))
    scene.solid((200, 140, 1200, 920), (232, 233, 232), radius=22)
    scene.box((260, 560, 1080, 56), STEEL)
    for x in (470, 810):
        scene.solid((x, 330, 320, 480), (222, 224, 222), radius=10)
        scene.box((x + 24, 440, 272, 260), (190, 194, 196), radius=8, edge=STEEL)
        scene.box((x + 110, 470, 100, 60), BLACK, radius=6)
        scene.box((x + 118, 478, 84, 44), WHITE, radius=4)
        scene.words("good", x + 160, 500, 26, is_bold=True, room=76)
        for y in (372, 768):
            scene.screw(x + 90, y)
            scene.screw(x + 230, y)
    for x in (560, 900):
        scene.cable([(x, 330), (x, 240), (x + 6, 60), (x + 8, -30)], BLACK, width=24)
    way = [(1040, 790), (1046, 900), (1060, 1060), (1066, 1230)]
    scene.cable(way, EARTH_GREEN, width=30)
    scene.draw.line([(x * _FINE, y * _FINE) for x, y in smooth(way)], EARTH_YELLOW, 9 * _FINE)
    scene.sign((270, 850, 620, 180), lines or ["Surge device"])


def draw_board(scene: Scene, lines: list[str]) -> None:
    plaster(scene, (206, 208, 206))
    scene.solid((140, 180, 1320, 760), (232, 233, 232), radius=22)
    scene.box((200, 330, 1200, 380), (72, 74, 78), radius=8)
    scene.box((200, 488, 1200, 40), STEEL)
    labels = (
        ["Main switch", *lines] if lines else ["Main switch", "PV", "Cooker", "Sockets", "Lights"]
    )
    for slot in range(11):
        x = 216 + slot * 107
        scene.solid((x, 372, 98, 280), (238, 238, 234), radius=6)
        scene.box((x + 16, 398, 66, 44), (224, 225, 222), radius=4)
        scene.box((x + 24, 472, 50, 92), shade(BLACK, 1.1), radius=6)
        scene.box((x + 28, 476, 42, 40), shade(BLACK, 1.9), radius=5)
        name = labels[slot] if slot < len(labels) else "Spare"
        scene.box((x + 2, 738, 94, 76), WHITE, radius=3)
        for number, word in enumerate(name.split(" ", 1)):
            scene.words(word, x + 49, 760 + 30 * number, 20, room=86)
    scene.words("Circuits", 800, 262, 44, is_bold=True)
    for x in (420, 700, 980, 1240):
        scene.cable([(x, 190), (x, 90), (x + 10, -30)], (208, 208, 204), width=30)


def draw_inverter(scene: Scene, lines: list[str]) -> None:
    boards(scene)
    scene.solid((430, 80, 740, 760), (226, 228, 228), radius=40)
    scene.box((470, 120, 660, 250), (214, 216, 217), radius=24)
    scene.solid((600, 170, 400, 150), shade(BLACK, 0.9), radius=12)
    scene.words((lines or ["Waiting for grid"])[0], 800, 245, 38, ink=(196, 214, 206), room=360)
    for number in range(9):
        scene.box((480, 440 + number * 26, 640, 8), shade(STEEL, 1.15), radius=4)
    if lines[1:]:
        scene.sign((520, 676, 560, 130), lines[1:])
    for x, colour in (
        (520, BLACK),
        (600, BLACK),
        (680, BLACK),
        (760, BLACK),
        (1020, (206, 206, 204)),
    ):
        scene.solid((x - 22, 836, 44, 46), shade(BLACK, 1.2), radius=8)
        scene.cable([(x, 880), (x, 980), (x + (x - 800) * 0.1, 1230)], colour, width=22)


def draw_plate(scene: Scene, lines: list[str]) -> None:
    plaster(scene, (196, 199, 200))
    scene.solid((90, 90, 1420, 980), (208, 211, 212), radius=30)
    words = lines or ["Invented equipment", "Serial INVENTED-0001"]
    box = (240, 230, 1120, 700)
    scene.shadow(box, reach=8, depth=0.3)
    scene.box(box, (228, 230, 230), radius=14, edge=STEEL)
    step = min(110.0, 640 / len(words))
    for number, line in enumerate(words):
        y = 230 + step * (number + 0.75)
        height = min(step * 0.5, 46)
        scene.words(line, 290, y, height, is_bold=number == 0, anchor="lm", room=1020)
    for x, y in ((140, 140), (1460, 140), (140, 1020), (1460, 1020)):
        scene.screw(x, y)


def draw_battery(scene: Scene, lines: list[str]) -> None:
    plaster(scene, (204, 206, 202))
    scene.box((0, 960, WIDTH_PX, 240), (140, 138, 134))
    scene.cloud(40, 0.16, (0, 960, WIDTH_PX, 240))
    for number in range(3):
        scene.solid((480, 240 + number * 240, 640, 230), (236, 237, 236), radius=18)
        scene.box((520, 420 + number * 240, 560, 12), shade(PLASTIC, 0.9), radius=6)
    scene.solid((460, 130, 680, 110), (92, 96, 102), radius=18)
    scene.box((560, 168, 220, 34), shade(BLACK, 0.8), radius=8)
    scene.cable(
        [(1130, 190), (1260, 210), (1300, 420), (1300, 740), (1420, 890), (1640, 900)],
        BLACK,
        width=26,
    )
    scene.box((0, 930, WIDTH_PX, 32), (232, 230, 224))
    scene.solid((440, 950, 720, 34), (80, 82, 86), radius=6)
    if lines:
        scene.sign((560, 284, 480, 110), lines)


def draw_charger(scene: Scene, lines: list[str]) -> None:
    brickwork(scene)
    scene.solid((590, 180, 420, 620), (58, 62, 68), radius=90)
    scene.box((640, 240, 320, 250), (74, 79, 86), radius=50)
    scene.circle(800, 620, 92, shade(BLACK, 0.7))
    scene.circle(800, 620, 74, (96, 100, 106))
    for x, y in ((770, 600), (830, 600), (750, 640), (800, 650), (850, 640)):
        scene.circle(x, y, 11, shade(BLACK, 0.6))
    for turn in range(3):
        wide = 190 - turn * 26
        way = [(960, 700), (960 + wide * 1.5, 740), (1180 + wide, 960), (1000, 1150 - turn * 30)]
        way += [(960 - wide * 0.4, 960), (1000, 780)]
        scene.cable(way, BLACK, width=30)
    scene.cable([(640, 795), (600, 900), (596, 1060), (596, 1230)], (96, 98, 102), width=34)
    if lines:
        scene.sign((650, 280, 300, 150), lines)


def draw_scaffold(scene: Scene, lines: list[str]) -> None:
    for y in range(0, HEIGHT_PX, 6):
        scene.box((0, y, WIDTH_PX, 6), shade(SKY, 0.86 + y / 6000))
    scene.cloud(420, 0.1)
    house = (206, 192, 168)
    scene.box((240, 470, 1120, 760), house)
    scene.cloud(60, 0.08, (240, 470, 1120, 730))
    scene.shape([(170, 480), (430, 190), (1170, 190), (1430, 480)], SLATE)
    for row in range(1, 10):
        y = 190 + row * 29
        inset = 260 - row * 26
        line = _fine((170 + inset, y, 1430 - inset, y))
        scene.draw.line(line, shade(SLATE, 0.72), 3 * _FINE)
    for x in (400, 720, 1040):
        scene.box((x, 640, 180, 220), WHITE)
        scene.box((x + 10, 650, 160, 200), (122, 146, 166))
        scene.box((x + 84, 650, 10, 200), WHITE)
    for x in (200, 560, 920, 1280, 1400):
        scene.cable([(x, 330), (x, 1190)], (150, 154, 158), width=14)
        scene.box((x - 28, 1176, 56, 14), shade(TIMBER, 0.7))
    for y in (370, 440, 760, 830):
        scene.cable([(170, y), (1430, y)], (160, 164, 168), width=12)
    for y in (520, 910):
        scene.solid((170, y, 1260, 22), TIMBER, radius=2)
        scene.box((170, y - 46, 1260, 40), shade(TIMBER, 0.9))
    scene.cable([(200, 1180), (560, 520)], (150, 154, 158), width=10)
    if lines:
        scene.sign((620, 985, 520, 70 + 50 * len(lines)), lines)


def draw_earth_clamp(scene: Scene, lines: list[str]) -> None:
    brickwork(scene)
    scene.cable([(420, -40), (420, 600), (420, 1240)], COPPER, width=90)
    scene.solid((350, 500, 190, 130), (168, 172, 176), radius=10)
    scene.screw(520, 540)
    scene.screw(520, 595)
    way = [(530, 566), (700, 590), (900, 760), (1180, 800), (1640, 700)]
    scene.cable(way, EARTH_GREEN, width=34)
    stripes = [(x * _FINE, y * _FINE) for x, y in smooth(way)]
    scene.draw.line(stripes, EARTH_YELLOW, 11 * _FINE, joint="curve")
    words = lines or ["Main bonding", "Do not take off"]
    scene.cable([(600, 575), (660, 500), (700, 430)], shade(STEEL, 0.8), width=5)
    scene.sign((640, 250, 640, 80 + 70 * len(words)), words)


def draw_intake(scene: Scene, lines: list[str]) -> None:
    boards(scene)
    brown, blue = (132, 84, 60), (70, 104, 160)
    scene.cable([(420, 1240), (420, 1040), (420, 930)], (70, 72, 76), width=60)
    for shift, colour in ((0, brown), (64, blue)):
        up = [(376 + shift, 660), (376 + shift, 590), (500, 520 + shift), (575 - shift / 2, 660)]
        scene.cable(
            [*up, (620, 860 - shift), (700 + shift, 850), (700 + shift, 730)], colour, width=24
        )
        down = [(890 + shift, 730), (900 + shift, 850), (1100, 930 - shift), (1260 + shift, 820)]
        scene.cable([*down, (1270 + shift, 640)], colour, width=24)
    scene.solid((320, 640, 200, 300), (60, 62, 66), radius=14)
    scene.solid((352, 690, 136, 120), (82, 84, 88), radius=10)
    scene.solid((640, 300, 380, 440), (226, 227, 224), radius=20)
    scene.box((690, 350, 280, 110), (172, 186, 168), radius=8)
    scene.words((lines or ["00412.6 kWh"])[0], 830, 405, 44, is_bold=True, room=260)
    scene.solid((1180, 330, 280, 330), (232, 233, 232), radius=14)
    scene.box((1240, 420, 160, 120), (72, 74, 78), radius=6)
    scene.box((1296, 436, 48, 88), shade(BLACK, 1.7), radius=5)
    if lines[1:]:
        scene.sign((640, 110, 520, 70 + 50 * len(lines[1:])), lines[1:])


DRAWINGS: dict[str, Callable[[Scene, list[str]], None]] = {
    "array": draw_array,
    "battery": draw_battery,
    "board": draw_board,
    "cable-ends": draw_cable_ends,
    "cable-run": draw_cable_run,
    "charger": draw_charger,
    "earth-clamp": draw_earth_clamp,
    "intake": draw_intake,
    "inverter": draw_inverter,
    "isolator": draw_isolator,
    "label": draw_label,
    "meter": draw_meter,
    "plate": draw_plate,
    "rails": draw_rails,
    "scaffold": draw_scaffold,
    "surge-device": draw_surge_device,
}


# --- saving


def _sign(picture: Image.Image, caption: str) -> None:
    """The words that keep anybody from taking it for a real photo."""
    draw = ImageDraw.Draw(picture)
    font = font_of(20)
    for text, x, anchor in ((INVENTED, WIDTH_PX - 16, "rb"), (caption, 16, "lb")):
        at = (x, HEIGHT_PX - 12)
        draw.text(at, text, WHITE, font, anchor, stroke_width=3, stroke_fill=INK)


def _claims(taken: datetime, position: tuple[float, float] | None) -> Image.Exif:
    exif = Image.Exif()
    exif[0x010E] = INVENTED
    exif.get_ifd(0x8769)[0x9003] = f"{taken:%Y:%m:%d %H:%M:%S}"
    if position:
        latitude, longitude = position
        exif.get_ifd(0x8825).update(
            {
                1: "N" if latitude >= 0 else "S",
                2: _degrees(latitude),
                3: "E" if longitude >= 0 else "W",
                4: _degrees(longitude),
            }
        )
    return exif


def _degrees(angle_deg: float) -> tuple[float, float, float]:
    minutes, degrees = abs(angle_deg) % 1 * 60, abs(angle_deg) // 1
    return degrees, minutes // 1, round(minutes % 1 * 60, 2)


def _jpeg(picture: Image.Image, exif: Image.Exif) -> bytes:
    """The picture in the best quality from 82 down that stays below the largest size."""
    for quality in range(82, 20, -6):
        file = BytesIO()
        picture.save(file, "JPEG", quality=quality, exif=exif, optimize=True)
        if len(file.getvalue()) <= LARGEST_BYTES:
            break
    return file.getvalue()


def _fine(box: Box) -> Box:
    x0, y0, x1, y1 = box
    return x0 * _FINE, y0 * _FINE, x1 * _FINE, y1 * _FINE


def _font_file(name: str) -> Path:
    return next(f / f"{name}.ttf" for f in FONT_FOLDERS if (f / f"{name}.ttf").is_file())
