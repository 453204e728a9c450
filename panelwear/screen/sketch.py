"""A page's drawing: boxes, discs and strokes to scale, with labels that stand clear of each other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from panelwear.screen.blocks import Block, Rows
from panelwear.screen.letters import Face, cut
from panelwear.screen.page import Box, Dot, Drawing, Stroke
from panelwear.screen.palette import BREAK, Role
from panelwear.screen.pen import Area, Pen

FINER = 2
"""Slanted lines and discs are drawn twice as large and reduced."""
LEAST_LETTERS = 5
"""A label cut shorter than this says nothing and is left out."""
Point = tuple[float, float]
Line = tuple[Point, Point]


def drawing_block(pen: Pen, drawing: Drawing, wide: int, page_h: int, most: int) -> Block:
    """Lay out a drawing, as high as it asks for and as ``wide`` and ``most`` allow."""
    height = min(round(page_h * drawing.height_share), most, round(wide / drawing.aspect))
    width = round(height * drawing.aspect)

    def draw(x: int, y: int) -> Rows:
        _shapes(pen, drawing, (x, y, width, height))
        _labels(pen, drawing, (x, y, width, height))
        return {}

    return Block(height, draw, gap=BREAK)


def _shapes(pen: Pen, drawing: Drawing, area: Area) -> None:
    import pygame

    x, y, w, h = area
    size = (w + 2 * pen.hair) * FINER, (h + 2 * pen.hair) * FINER
    fine = pygame.Surface(size, depth=32)
    fine.fill(pen.codes("ground"))
    canvas = _Canvas(pygame, fine, pen, (w * FINER, h * FINER))
    for shape in drawing.shapes:
        match shape:
            case Box():
                canvas.box(shape)
            case Dot():
                canvas.dot(shape)
            case Stroke():
                canvas.stroke(shape)
    reduced = pygame.transform.smoothscale(fine, (size[0] // FINER, size[1] // FINER))
    pen.surface.blit(reduced, (x - pen.hair, y - pen.hair))


@dataclass(frozen=True, slots=True)
class _Canvas:
    pygame: Any
    surface: Any
    pen: Pen
    size: tuple[int, int]

    def _at(self, point: Point) -> Point:
        edge = self.pen.hair * FINER
        return edge + point[0] * self.size[0], edge + point[1] * self.size[1]

    def _line(self, *, strong: bool) -> int:
        return self.pen.hair * FINER * (2 if strong else 1)

    def box(self, box: Box) -> None:
        """Draw a rectangle, its edge inside it."""
        left, top = self._at(box.at[:2])
        right, bottom = self._at((box.at[0] + box.at[2], box.at[1] + box.at[3]))
        # On whole pixels of the page, so that edges stay sharp.
        edges = [round(edge / FINER) * FINER for edge in (left, top, right, bottom)]
        area = (edges[0], edges[1], max(FINER, edges[2] - edges[0]), max(FINER, edges[3] - edges[1]))
        if box.filled:
            self.surface.fill(self.pen.codes("filled"), area)
        self.pygame.draw.rect(self.surface, _edge(self.pen, strong=box.strong), area, self._line(strong=box.strong))

    def dot(self, dot: Dot) -> None:
        """Draw a disc or a ring."""
        middle, radius = self._at(dot.at), max(FINER * 2.0, dot.radius * self.size[0])
        if dot.filled:
            role: Role = "ink" if dot.strong else "filled"
            self.pygame.draw.circle(self.surface, self.pen.codes(role), middle, radius)
        line = self._line(strong=dot.strong)
        self.pygame.draw.circle(self.surface, _edge(self.pen, strong=dot.strong), middle, radius, line)

    def stroke(self, stroke: Stroke) -> None:
        """Draw a line through points, with a head where it is an arrow."""
        codes, line = _edge(self.pen, strong=stroke.strong), self._line(strong=stroke.strong)
        points = [self._at(point) for point in stroke.through]
        if stroke.arrow and len(points) > 1:
            head, neck = _head(points[-2], points[-1], max(line * 5, self.pen.px(0.55) * FINER))
            self.pygame.draw.polygon(self.surface, codes, head)
            points[-1] = neck
        for begin, end in pairwise(points):
            self.pygame.draw.polygon(self.surface, codes, _bar(begin, end, line))


def _edge(pen: Pen, *, strong: bool) -> tuple[int, int, int]:
    return pen.codes("ink" if strong else "soft")


def _head(before: Point, tip: Point, length: float) -> tuple[list[Point], Point]:
    """Return the triangle of an arrow's head and where its line ends."""
    angle = math.atan2(tip[1] - before[1], tip[0] - before[0])
    back = (tip[0] - length * math.cos(angle), tip[1] - length * math.sin(angle))
    across = (0.42 * length * math.sin(angle), -0.42 * length * math.cos(angle))
    wings = [(back[0] + side * across[0], back[1] + side * across[1]) for side in (1, -1)]
    return [tip, *wings], (back[0] + 0.2 * length * math.cos(angle), back[1] + 0.2 * length * math.sin(angle))


def _bar(begin: Point, end: Point, line: float) -> list[Point]:
    """Return the corners of a straight line of a thickness: every direction looks equally thick."""
    angle = math.atan2(end[1] - begin[1], end[0] - begin[0])
    across = (line / 2 * math.sin(angle), -line / 2 * math.cos(angle))
    return [
        (begin[0] + across[0], begin[1] + across[1]),
        (end[0] + across[0], end[1] + across[1]),
        (end[0] - across[0], end[1] - across[1]),
        (begin[0] - across[0], begin[1] - across[1]),
    ]


def _labels(pen: Pen, drawing: Drawing, area: Area) -> None:
    """Set labels where they are free of each other; what is left without a free place is cut until it has one."""
    taken: list[Area] = []
    lines = [_on_page(line, area) for s in drawing.shapes if isinstance(s, Stroke) for line in pairwise(s.through)]
    for shape in drawing.shapes:
        if isinstance(shape, Stroke) or not shape.label:
            continue
        text, at = place_label(shape, area, pen.small, pen.px(0.35), taken, lines=lines)
        if not text:
            continue
        box = (*at, pen.small.width(text), pen.small.line_px)
        taken.append(box)
        pen.write(text, at, "ink", pen.small)


def _on_page(line: Line, area: Area) -> Line:
    x, y, w, h = area
    begin, end = ((x + w * across, y + h * down) for across, down in line)
    return begin, end


def place_label(
    shape: Box | Dot, area: Area, face: Face, pad: int, taken: list[Area], *, lines: Sequence[Line] = ()
) -> tuple[str, tuple[int, int]]:
    """Choose what of a label is set, and where its upper left corner stands; an empty text: nowhere is room.

    Args:
        shape: What is labelled.
        area: The drawing's place on the page; a label stays inside it.
        face: It is set in.
        pad: Pixels between a shape's edge and its label.
        taken: Where labels stand already.
        lines: Strokes of the drawing, on the page; a label crosses one only where it must.
    """
    text, high = shape.label, face.line_px
    while text:
        size = (face.width(text), high)
        for at in sorted(_places(shape, area, size, pad), key=lambda at: _crossed((*at, *size), lines)):
            if _inside((*at, *size), area) and not any(_touch((*at, *size), other) for other in taken):
                return text, at
        shorter = cut(text, face, size[0] - max(1, face.size // 2))
        if len(shorter) < LEAST_LETTERS or shorter == text:
            break
        text = shorter
    return "", (area[0], area[1])


def _places(shape: Box | Dot, area: Area, size: tuple[int, int], pad: int) -> list[tuple[int, int]]:
    """Return the places for a label of a size, best first."""
    w, h = size
    if isinstance(shape, Dot):
        mid_x, mid_y = area[0] + shape.at[0] * area[2], area[1] + shape.at[1] * area[3]
        radius = shape.radius * area[2]
        left, top, right, bottom = mid_x - radius, mid_y - radius, mid_x + radius, mid_y + radius
        inside = [(mid_x - w / 2, mid_y - h / 2)] if math.hypot(w, h) < 2 * radius and not shape.filled else []
        beside = [(right + pad, mid_y - h / 2), (left - pad - w, mid_y - h / 2)]
        found = inside + beside + [(mid_x - w / 2, top - h), (mid_x - w / 2, bottom)]
    else:
        left, top = area[0] + shape.at[0] * area[2], area[1] + shape.at[1] * area[3]
        right, bottom = left + shape.at[2] * area[2], top + shape.at[3] * area[3]
        found = []
        if w + 2 * pad <= right - left and h <= bottom - top:
            found = [(left + pad, top + pad / 2), (left + pad, bottom - h - pad / 2), (right - pad - w, top + pad / 2)]
        found += [(left, bottom), (left, top - h), (right + pad, top), (left - pad - w, top), (right - w, bottom)]
    return [(round(x), round(y)) for x, y in found]


def _crossed(box: Area, lines: Sequence[Line]) -> int:
    import pygame

    return sum(bool(pygame.Rect(box).clipline(*line)) for line in lines)


def _inside(box: Area, area: Area) -> bool:
    x, y, w, h = box
    return x >= area[0] and y >= area[1] and x + w <= area[0] + area[2] and y + h <= area[1] + area[3]


def _touch(one: Area, other: Area) -> bool:
    return (
        one[0] < other[0] + other[2]
        and other[0] < one[0] + one[2]
        and one[1] < other[1] + other[3]
        and other[1] < one[1] + one[3]
    )
