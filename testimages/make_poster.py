"""Draws `poster.png`: flat colours and type, for a print studio that doesn't exist.

Run:

    pip install pillow==13.0.0
    mkdir fonts && cd fonts
    apt-get download fonts-league-spartan=2.210-1
    apt-get download fonts-ebgaramond=0.016+git20210310.42d4f9f2-1
    for package in *.deb; do dpkg-deb -x "$package" .; done
    cd .. && python3 make_poster.py fonts

The island, the studio, its address and its prints are invented, and the poster
says so at its foot. The drawing is ours (CC0). Both type families are under the
SIL Open Font License 1.1, which lets pictures made with them go anywhere.

Everything is drawn three times too large in ten flat inks and averaged down, so
that only edges hold mixed colours. Lengths are in finished pixels, at 300 to the
inch: 6 × 8 inches.
"""

import math
import sys
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

import icc_profiles

WIDTH, HEIGHT, SCALE, DPI = 1800, 2400, 3, 300
TARGET = Path(__file__).parent / "poster.png"

PAPER = "#F6EEDF"
NAVY = "#16324F"
DEEP_TEAL = "#1C5F6E"
TEAL = "#2F8C8F"
MIST = "#A9D0C8"
PEACH = "#F7C9A3"
CORAL = "#E8573F"
OCHRE = "#F0AE3C"
PINK = "#DB6C93"
FERN = "#2E6148"

LEFT, RIGHT, SILL = 150, 1650, 1730  # the window: an arch above a sill
ARCH_CENTRE, ARCH_RADIUS = (900, 870), 750
HORIZON = 1090
SUN = (1090, 790)

FAMILIES = {
    "display": "usr/share/fonts/opentype/league-spartan/LeagueSpartan-Bold.otf",
    "label": "usr/share/fonts/opentype/league-spartan/LeagueSpartan-SemiBold.otf",
    "text": "usr/share/fonts/opentype/ebgaramond/EBGaramond12-Italic.otf",
}


class Sheet:
    """A large canvas that takes lengths in finished pixels."""

    def __init__(self, background):
        self.image = Image.new("RGB", (WIDTH * SCALE, HEIGHT * SCALE), background)
        self.pen = ImageDraw.Draw(self.image)

    def polygon(self, points, ink):
        self.pen.polygon([(x * SCALE, y * SCALE) for x, y in points], fill=ink)

    def box(self, left, top, right, bottom, ink):
        self.pen.rectangle((left * SCALE, top * SCALE, right * SCALE - 1, bottom * SCALE - 1), fill=ink)

    def disc(self, centre, radius, ink):
        (x, y), r = centre, radius
        self.pen.ellipse(((x - r) * SCALE, (y - r) * SCALE, (x + r) * SCALE, (y + r) * SCALE), fill=ink)

    def line(self, points, width, ink):
        """A line with round joints and ends."""
        for a, b in zip(points, points[1:]):
            self.pen.line([c * SCALE for c in (*a, *b)], fill=ink, width=round(width * SCALE))
        for point in points:
            self.disc(point, width / 2, ink)

    def text(self, middle, baseline, words, font, ink, tracking=0.0):
        """A centred line of type; tracking is the extra space between letters."""
        advance = [font.getlength(letter) + tracking * SCALE for letter in words]
        x = middle * SCALE - (sum(advance) - tracking * SCALE) / 2
        if not tracking:
            self.pen.text((middle * SCALE, baseline * SCALE), words, font=font, fill=ink, anchor="ms")
            return
        for letter, step in zip(words, advance):
            self.pen.text((x, baseline * SCALE), letter, font=font, fill=ink, anchor="ls")
            x += step

    def finished(self):
        return self.image.reduce(SCALE)


def curve(a, b, c, d, steps=40):
    """Points of a cubic Bézier curve."""
    points = []
    for step in range(steps + 1):
        t = step / steps
        weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        points.append(tuple(sum(w * p[axis] for w, p in zip(weights, (a, b, c, d))) for axis in (0, 1)))
    return points


def leaf(base, angle, length, width, steps=24):
    """A pointed leaf; the angle is in degrees, 0 to the right and 90 upwards."""
    along = (math.cos(math.radians(angle)), -math.sin(math.radians(angle)))
    across = (-along[1], along[0])

    def edge(t, side):
        bulge = side * width / 2 * math.sin(math.pi * t**0.8)
        return tuple(base[k] + along[k] * length * t + across[k] * bulge for k in (0, 1))

    forth = [edge(step / steps, 1) for step in range(steps + 1)]
    return forth + [edge(step / steps, -1) for step in range(steps, -1, -1)]


def slope(points, index):
    """The direction of a drawn stem at one of its points, in degrees."""
    (x0, y0), (x1, y1) = points[max(index - 1, 0)], points[min(index + 1, len(points) - 1)]
    return math.degrees(math.atan2(y0 - y1, x1 - x0))


def hill(sheet, heights, foot, ink):
    """A flat silhouette through evenly spaced heights, softened by a cosine between them."""
    step = (RIGHT - LEFT) / (len(heights) - 1)
    outline = []
    for x in range(LEFT, RIGHT + 1, 4):
        place = min((x - LEFT) / step, len(heights) - 1 - 1e-9)
        index, part = int(place), (1 - math.cos(math.pi * (place % 1))) / 2
        outline.append((x, heights[index] * (1 - part) + heights[index + 1] * part))
    sheet.polygon(outline + [(RIGHT, foot), (LEFT, foot)], ink)


def sky(sheet):
    sheet.box(LEFT, 0, RIGHT, SILL, MIST)
    sheet.disc(SUN, 470, PEACH)
    sheet.disc(SUN, 330, OCHRE)
    sheet.disc(SUN, 200, CORAL)
    for x, y, span in ((560, 430, 62), (700, 520, 44), (470, 580, 36), (1240, 400, 40)):
        gull(sheet, x, y, span)


def gull(sheet, x, y, span):
    left = curve((x - span, y - span * 0.28), (x - span * 0.6, y - span * 0.62), (x - span * 0.2, y - span * 0.3), (x, y))
    right = curve((x, y), (x + span * 0.2, y - span * 0.3), (x + span * 0.6, y - span * 0.62), (x + span, y - span * 0.28))
    sheet.line(left + right, max(span * 0.11, 4.5), NAVY)


def land(sheet):
    hill(sheet, [880, 850, 905, 960, 1010, 1050, 1085, 1095, 1090, 1080, 1040, 1000, 985], HORIZON + 10, TEAL)
    hill(sheet, [985, 940, 935, 975, 1010, 1040, 1075, 1110, 1130, 1130, 1130, 1130, 1130], HORIZON + 60, DEEP_TEAL)


def sea(sheet):
    sheet.box(LEFT, HORIZON, RIGHT, SILL, DEEP_TEAL)
    hill(sheet, [1130, 1126, 1132, 1128, 1120, 1130, 1126, 1132, 1126], SILL, TEAL)
    hill(sheet, [1330, 1350, 1326, 1352, 1330, 1350, 1326, 1348, 1330], SILL, DEEP_TEAL)
    hill(sheet, [1520, 1496, 1524, 1498, 1520, 1494, 1522, 1500, 1518], SILL, NAVY)
    for row, half in enumerate((176, 150, 168, 120, 142, 96, 112, 64, 78, 40)):
        y, shift = 1112 + row * 25, (-14, 10, -6, 18)[row % 4]
        ink = (CORAL, OCHRE)[row % 2]
        sheet.line([(SUN[0] - half + shift, y), (SUN[0] + half + shift, y)], 9, ink)
    for x, y, half in ((330, 1396, 70), (560, 1440, 46), (860, 1408, 60), (1420, 1428, 78), (1230, 1460, 40)):
        sheet.line([(x - half, y), (x + half, y)], 7, TEAL)


def lighthouse(sheet):
    x, foot, top = 385, 950, 660
    sheet.polygon([(x - 44, foot), (x - 27, top), (x + 27, top), (x + 44, foot)], PAPER)
    for share in (0.22, 0.62):
        y0, y1 = foot - (foot - top) * share, foot - (foot - top) * (share + 0.18)
        w0, w1 = 44 - 17 * share, 44 - 17 * (share + 0.18)
        sheet.polygon([(x - w0, y0), (x - w1, y1), (x + w1, y1), (x + w0, y0)], CORAL)
    sheet.box(x - 42, top - 10, x + 42, top, NAVY)
    sheet.box(x - 22, top - 58, x + 22, top - 10, OCHRE)
    for bar in (-22, -2, 18):
        sheet.box(x + bar, top - 58, x + bar + 5, top - 10, NAVY)
    sheet.polygon([(x - 34, top - 56), (x, top - 98), (x + 34, top - 56)], CORAL)
    sheet.disc((x, top - 100), 7, NAVY)


def cottage(sheet, left, foot, width, wall_height, wall, roof):
    """A gabled house that shows its long side, with a chimney, two windows and a door."""
    eaves, ridge = foot - wall_height, foot - wall_height - width * 0.36
    sheet.box(left + width * 0.72, ridge - 26, left + width * 0.84, eaves - 6, NAVY)
    sheet.box(left, eaves, left + width, foot, wall)
    sheet.polygon(
        [(left - 10, eaves), (left + width * 0.14, ridge), (left + width * 0.86, ridge), (left + width + 10, eaves)], roof
    )
    pane = width * 0.15
    for share in (0.13, 0.72):
        sheet.box(left + width * share, eaves + 22, left + width * share + pane, eaves + 22 + pane * 1.2, NAVY)
    sheet.box(left + width * 0.42, eaves + 24, left + width * 0.58, foot, NAVY)


def harbour(sheet):
    for left, width, wall_height, wall, roof in (
        (180, 128, 74, PEACH, CORAL),
        (326, 112, 96, PAPER, NAVY),
        (454, 134, 70, OCHRE, FERN),
        (606, 108, 84, MIST, CORAL),
    ):
        cottage(sheet, left, 1140, width, wall_height, wall, roof)
    sheet.polygon([(LEFT, 1138), (780, 1138), (812, 1200), (LEFT, 1200)], NAVY)
    for x in range(LEFT + 40, 780, 84):
        sheet.box(x, 1160, x + 50, 1166, TEAL)
    sheet.box(752, 1104, 764, 1138, NAVY)
    sheet.disc((758, 1100), 13, OCHRE)


def boat(sheet):
    x, water = 905, 1330
    sheet.line([(x, water - 30), (x, water - 372)], 8, NAVY)
    mainsail = curve((x + 14, water - 360), (x + 130, water - 230), (x + 165, water - 140), (x + 172, water - 62))
    sheet.polygon([*mainsail, (x + 14, water - 62)], OCHRE)
    jib = curve((x - 14, water - 318), (x - 70, water - 210), (x - 96, water - 130), (x - 104, water - 62))
    sheet.polygon([*jib, (x - 14, water - 62)], PAPER)
    sheet.polygon([(x, water - 372), (x + 52, water - 356), (x, water - 338)], CORAL)
    hull = curve((x - 150, water - 44), (x - 120, water + 34), (x - 60, water + 36), (x + 20, water + 36))
    hull += curve((x + 20, water + 36), (x + 110, water + 36), (x + 160, water + 20), (x + 196, water - 44))
    sheet.polygon(hull, CORAL)
    sheet.polygon([(x - 150, water - 44), (x + 196, water - 44), (x + 189, water - 26), (x - 144, water - 26)], PAPER)


def fern(sheet, stem, ink, longest, lean):
    """A frond: pairs of narrow leaves that shorten towards the tip."""
    sheet.line(stem, 9, ink)
    count = len(stem)
    for index in range(4, count - 1, 2):
        share = index / count
        length = longest * math.sin(math.pi * (0.28 + 0.70 * share)) ** 0.9
        for side in (1, -1):
            sheet.polygon(leaf(stem[index], slope(stem, index) + side * (62 - 18 * share) + lean, length, length * 0.25), ink)
    sheet.polygon(leaf(stem[-2], slope(stem, count - 1), longest * 0.32, longest * 0.09), ink)


def thrift(sheet, foot, head, radius, stem_ink):
    """A sea pink: a bare stem and a round head of florets."""
    stem = curve(foot, (foot[0], foot[1] - 180), (head[0] - (head[0] - foot[0]) * 0.1, head[1] + 160), head)
    sheet.line(stem, 10, stem_ink)
    for direction in (28, 152):
        sheet.polygon(leaf((head[0], head[1] + radius * 1.06), direction, radius * 0.62, radius * 0.26), stem_ink)
    florets(sheet, head, radius * 0.82, 13, radius * 0.235, PINK)
    sheet.disc(head, radius * 0.80, PINK)
    florets(sheet, head, radius * 0.84, 13, radius * 0.075, PAPER)
    florets(sheet, head, radius * 0.52, 9, radius * 0.13, CORAL)
    florets(sheet, head, radius * 0.52, 9, radius * 0.06, PAPER)
    florets(sheet, head, radius * 0.2, 4, radius * 0.1, OCHRE)


def florets(sheet, middle, distance, count, radius, ink):
    """A ring of discs around a middle."""
    for step in range(count):
        angle = math.radians(step * 360 / count + 90)
        sheet.disc((middle[0] + math.cos(angle) * distance, middle[1] - math.sin(angle) * distance), radius, ink)


def broad_leaves(sheet, stem, ink, vein, longest):
    """A branch of broad leaves in turn to left and right, each with a paper-coloured vein."""
    sheet.line(stem, 9, ink)
    for number, index in enumerate(range(6, len(stem), 5)):
        side = 1 if number % 2 else -1
        length = longest * (1 - 0.45 * index / len(stem))
        angle = slope(stem, index) + side * 48
        sheet.polygon(leaf(stem[index], angle, length, length * 0.42), ink)
        turn = math.radians(angle)
        start, end = 0.14, 0.78
        sheet.line(
            [(stem[index][0] + math.cos(turn) * length * t, stem[index][1] - math.sin(turn) * length * t) for t in (start, end)], 4.5, vein
        )
    sheet.polygon(leaf(stem[-1], slope(stem, len(stem) - 1), longest * 0.55, longest * 0.22), ink)


def berries(sheet, stem, ink, berry):
    sheet.line(stem, 7, ink)
    for number, index in enumerate(range(8, len(stem), 5)):
        side = 1 if number % 2 else -1
        turn = math.radians(slope(stem, index) + side * 55)
        end = (stem[index][0] + math.cos(turn) * 46, stem[index][1] - math.sin(turn) * 46)
        sheet.line([stem[index], end], 6, ink)
        sheet.disc(end, 19, berry)
        sheet.disc((end[0] - 6, end[1] - 6), 5, PAPER)
    sheet.disc(stem[-1], 19, berry)


def plants(sheet):
    """The foreground, which grows out of the window."""
    fern(sheet, curve((250, 1760), (190, 1560), (110, 1380), (96, 1120)), FERN, 150, 0)
    fern(sheet, curve((330, 1770), (340, 1620), (400, 1500), (500, 1400)), TEAL, 112, 0)
    broad_leaves(sheet, curve((1560, 1770), (1620, 1560), (1700, 1380), (1690, 1130)), FERN, MIST, 190)
    berries(sheet, curve((1430, 1770), (1420, 1620), (1430, 1500), (1490, 1400)), MIST, CORAL)
    for foot, head, radius in (
        ((610, 1770), (580, 1560), 62),
        ((740, 1770), (728, 1452), 88),
        ((870, 1770), (884, 1600), 58),
        ((1060, 1770), (1030, 1524), 74),
        ((1210, 1770), (1236, 1436), 98),
    ):
        thrift(sheet, foot, head, radius, MIST)
    ground(sheet)


def ground(sheet):
    """A tuft of grass that hides the feet of all stems, and the sill below it."""
    x = 190
    for number in range(92):
        height = 70 + 46 * math.sin(number * 1.9) + 26 * math.sin(number * 0.7)
        sheet.polygon(leaf((x, 1746), 90 + 26 * math.sin(number * 2.7), height, 22), FERN)
        x += 15.6
    sheet.box(100, SILL, 1700, SILL + 400, PAPER)
    sheet.box(LEFT - 24, SILL, RIGHT + 24, SILL + 14, NAVY)


def window(sheet):
    """Covers what lies outside the arch with paper and draws the arch's rim."""
    (x, y), radius = ARCH_CENTRE, ARCH_RADIUS
    arc = [(x + radius * math.cos(math.radians(a)), y - radius * math.sin(math.radians(a))) for a in range(181)]
    sheet.polygon([(WIDTH, y), *arc, (0, y), (0, 0), (WIDTH, 0)], PAPER)
    sheet.box(0, y, LEFT, HEIGHT, PAPER)
    sheet.box(RIGHT, y, WIDTH, HEIGHT, PAPER)
    rim = [(LEFT - 18, SILL)] + [
        (x + (radius + 18) * math.cos(math.radians(a)), y - (radius + 18) * math.sin(math.radians(a))) for a in range(180, -1, -1)
    ] + [(RIGHT + 18, SILL)]
    sheet.line(rim, 7, NAVY)


def lettering(sheet, folder):
    def font(family, size):
        return ImageFont.truetype(str(folder / FAMILIES[family]), size * SCALE)

    sheet.text(900, 1960, "FARROWSAY", font("display", 226), NAVY, tracking=10)
    sheet.text(900, 2052, "PRINT STUDIO", font("label", 62), CORAL, tracking=38)
    sheet.box(520, 2096, 1280, 2101, NAVY)
    sheet.disc((900, 2098), 13, PAPER)
    sheet.disc((900, 2098), 8, CORAL)
    sheet.text(900, 2186, "Botanical & harbour prints, pulled by the sea", font("text", 74), NAVY)
    sheet.text(900, 2256, "THE OLD NET LOFT  ·  TIDE LANE  ·  OPEN EASTER TO OCTOBER", font("label", 30), DEEP_TEAL, tracking=5)
    sheet.text(900, 2334, "An invented island and an invented studio: a test picture.", font("text", 30), DEEP_TEAL)


def draw(folder):
    sheet = Sheet(PAPER)
    for part in (sky, land, lighthouse, sea, harbour, boat, window, plants):
        part(sheet)
    lettering(sheet, folder)
    return sheet.finished()


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: python3 make_poster.py FOLDER-WITH-UNPACKED-FONT-PACKAGES")
    poster = draw(Path(sys.argv[1]))
    poster.save(TARGET, optimize=True, dpi=(DPI, DPI), icc_profile=icc_profiles.srgb())


if __name__ == "__main__":
    main()
