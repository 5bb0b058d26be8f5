"""Damage and weather drawn into pictures, seeded. Grey levels 0 to 255; `colours` at half the size.

Everything works in place. Sizes are in pixels of a picture of about 900 across a vehicle's side, strengths in grey
levels; both are judgement (no source).
"""

import cv2
import numpy as np


def between(rng, low, high):
    """Evenly in the logarithm: small is as likely as large."""
    return float(np.exp(rng.uniform(np.log(low), np.log(high))))


def texture(rng, shape, size):
    coarse = rng.normal(0, 1, (max(2, int(shape[0] / size) + 2), max(2, int(shape[1] / size) + 2))).astype(np.float32)
    return cv2.resize(coarse, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)


def line(shape, points, width):
    big = np.zeros((shape[0] * 4, shape[1] * 4), np.uint8)
    cv2.polylines(big, [np.round(np.array(points) * 4).astype(np.int32)], False, 255, max(1, round(width * 4)), cv2.LINE_AA)
    return cv2.resize(big, (shape[1], shape[0]), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def walk(rng, at, heading, length, bend, jag):
    points = [at]
    steps = max(3, int(length / 4))
    for _ in range(steps):
        heading += rng.normal(0, bend)
        way = heading + rng.normal(0, jag)
        x, y = points[-1]
        points.append((x + length / steps * np.cos(way), y + length / steps * np.sin(way)))
    return points


def grid(shape):
    return np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float32)


def scratch(rng, after, x, y):
    heading = rng.uniform(0, np.pi) if rng.random() < 0.5 else rng.normal(0, 0.35)
    length = between(rng, 14, 120)
    mask = np.zeros_like(after)
    for _ in range(1 if rng.random() < 0.55 else rng.integers(2, 7)):
        dx, dy = rng.normal(0, length * 0.1 + 2, 2)
        own = length * rng.uniform(0.4, 1)
        start = (x - own / 2 * np.cos(heading) + dx, y - own / 2 * np.sin(heading) + dy)
        one = line(after.shape, walk(rng, start, heading + rng.normal(0, 0.06), own, 0.04, 0.02), between(rng, 0.5, 2.6))
        one *= np.clip(1 + 0.5 * texture(rng, after.shape, rng.uniform(4, 14)), 0, 1.3)
        mask = np.maximum(mask, one * rng.uniform(0.5, 1))
    after += cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 1)) * rng.choice([-1, 1]) * between(rng, 14, 75)


def crack(rng, after, x, y, local):
    star = rng.random() < 0.35
    dark = rng.random() < 0.7 or local > 200
    strength = -between(rng, 15, 90) if dark else between(rng, 20, 100)
    length = between(rng, 12, 70)
    mask = np.zeros_like(after)
    for _ in range(rng.integers(4, 10) if star else 1):
        heading = rng.uniform(0, 2 * np.pi)
        points = walk(rng, (x, y), heading, length * rng.uniform(0.4, 1) * (0.5 if star else 1), 0.1, 0.4)
        mask = np.maximum(mask, line(after.shape, points, rng.uniform(0.5, 1.7)))
        for _ in range(0 if star else rng.integers(0, 4)):
            aside = walk(rng, points[rng.integers(len(points))], heading + rng.choice([-1, 1]) * rng.uniform(0.4, 1.3),
                         length * rng.uniform(0.15, 0.5), 0.1, 0.4)
            mask = np.maximum(mask, line(after.shape, aside, rng.uniform(0.4, 1.2)) * rng.uniform(0.5, 1))
    after += cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 1)) * strength


def dent(rng, after, x, y, local):
    radius, narrow, turn = between(rng, 6, 34), rng.uniform(0.45, 1), rng.uniform(0, np.pi)
    yy, xx = grid(after.shape)
    u = ((xx - x) * np.cos(turn) + (yy - y) * np.sin(turn)) / radius
    v = (-(xx - x) * np.sin(turn) + (yy - y) * np.cos(turn)) / (radius * narrow)
    bump = np.exp(-(u * u + v * v) * 1.6)
    # What is mirrored or drawn there bends with it.
    bend = rng.uniform(0, 0.35) * radius
    mx, my = ((q + bend * r * bump).astype(np.float32) for q, r in ((xx, u), (yy, v)))
    after[:] = cv2.remap(after, mx, my, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    light = rng.normal(-np.pi / 2, 0.8)
    strength = rng.choice([-1, 1]) * between(rng, 9, 45)
    shade = 2.2 * (np.cos(light) * u + np.sin(light) * v) * bump * strength
    if rng.random() < 0.4:
        shade = np.where(shade * np.sign(strength) > 0, shade, shade * rng.uniform(0.1, 0.6))
    if rng.random() < 0.5:  # a crease
        start = (x - radius * 0.5 * np.cos(turn), y - radius * 0.5 * np.sin(turn))
        crease = line(after.shape, walk(rng, start, turn, radius, 0.1, 0.05), rng.uniform(0.8, 2))
        shade += cv2.GaussianBlur(crease, (0, 0), 1) * rng.choice([-1, 1]) * rng.uniform(10, 45)
    if rng.random() < 0.3:  # rubbed paint
        shade += np.clip(texture(rng, after.shape, 3), 0, 2) * bump * rng.uniform(-25, 25)
    after += shade * np.clip(local / 150, 0.35, 1.2)


def hole(rng, after, colours, x, y):
    radius, corners = between(rng, 4, 24), rng.integers(6, 12)
    angles, reach = np.sort(rng.uniform(0, 2 * np.pi, corners)), radius * rng.uniform(0.5, 1.1, corners)
    points = np.stack([x + reach * np.cos(angles), y + reach * np.sin(angles) * rng.uniform(0.6, 1)], 1)
    big = np.zeros((after.shape[0] * 4, after.shape[1] * 4), np.uint8)
    cv2.fillPoly(big, [np.round(points * 4).astype(np.int32)], 255)
    mask = cv2.resize(big, after.shape[::-1], interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    rim = line(after.shape, np.vstack([points, points[:1]]), rng.uniform(0.8, 2.5)) * rng.uniform(0, 1)
    inside = rng.uniform(15, 70) + texture(rng, after.shape, rng.uniform(2, 6)) * rng.uniform(0, 25)
    after[:] = after * (1 - mask) + inside * mask
    after[:] = after * (1 - rim) + (after * 0.3 + 0.7 * rng.uniform(120, 235)) * rim
    colours[:2] *= 1 - cv2.resize(mask, colours.shape[:0:-1], interpolation=cv2.INTER_AREA)


def missing(rng, after, before, colours, x, y, local):
    """Gives the mask of what was taken away: BEFORE mostly gets a part that AFTER lacks."""
    wide = between(rng, 4.5, 30)
    high = float(np.clip(wide * np.exp(rng.normal(0, 0.5)), 4, 40))
    yy, xx = grid(after.shape)
    power = rng.choice([2, 4, 8])
    mask = np.clip((1 - (np.abs((xx - x) / wide) ** power + np.abs((yy - y) / high) ** power)) * min(wide, high) * 0.7 + 0.5, 0, 1)
    level = rng.uniform(20, 235)
    if abs(level - local) < 30:
        level = local + np.sign(level - local + 0.1) * 45
    within = np.clip(1 - (np.abs((xx - x) / (wide * 0.6)) ** power + np.abs((yy - y) / (high * 0.6)) ** power), 0, 1)
    part = level + texture(rng, after.shape, rng.uniform(2, 8)) * rng.uniform(0, 10) + within * rng.uniform(-40, 40) * (rng.random() < 0.6)
    way = rng.random()
    if way < 0.75:
        before[:] = before * (1 - mask) + np.clip(part, 5, 250) * mask
        half = cv2.resize(mask, colours.shape[:0:-1], interpolation=cv2.INTER_AREA)
        for channel in (2, 3):
            colours[channel] = colours[channel] * (1 - half) + half * rng.uniform(-20, 20)
    if 0.25 <= way < 0.5:  # holes of screws
        for _ in range(rng.integers(1, 4)):
            px, py = x + rng.uniform(-0.6, 0.6) * wide, y + rng.uniform(-0.6, 0.6) * high
            after -= np.exp(-((xx - px) ** 2 + (yy - py) ** 2) / (2 * rng.uniform(0.7, 2.2) ** 2)) * rng.uniform(30, 130)
    elif way >= 0.5:  # what was behind it
        deep = rng.uniform(8, 60) + np.abs(texture(rng, after.shape, rng.uniform(1.5, 5))) * rng.uniform(0, 70) * (rng.random() < 0.7)
        if rng.random() < 0.4:
            deep = local + rng.choice([-1, 1]) * rng.uniform(20, 70) + texture(rng, after.shape, rng.uniform(2, 8)) * rng.uniform(0, 12)
        after[:] = after * (1 - mask) + deep * mask
    return mask


def mark(rng, after, before, colours):
    """Draws one damage somewhere; gives its box (x, y, w, h), or nothing where it can hardly be seen."""
    height, width = after.shape
    kind = rng.choice(["scratch", "dent", "crack", "hole", "missing"], p=[0.3, 0.27, 0.18, 0.08, 0.17])
    x, y = rng.uniform(20, width - 20), rng.uniform(20, height - 20)
    local = float(np.median(after[int(y - 12) : int(y + 12), int(x - 12) : int(x + 12)]))
    old, old_before = after.copy(), before.copy()
    if kind == "missing":
        mask = missing(rng, after, before, colours, x, y, local)
        np.clip(after, 0, 255, out=after)
        ys, xs = np.where(mask > 0.3)
        if len(xs) < 25:
            after[:], before[:] = old, old_before
            return None
        return xs.min(), ys.min(), xs.max() - xs.min() + 1, ys.max() - ys.min() + 1
    {"scratch": lambda: scratch(rng, after, x, y), "dent": lambda: dent(rng, after, x, y, local),
     "crack": lambda: crack(rng, after, x, y, local), "hole": lambda: hole(rng, after, colours, x, y)}[kind]()
    np.clip(after, 0, 255, out=after)
    change = np.abs(after - old)
    seen = change > 7
    ys, xs = np.where(seen)
    if len(xs) < 30 or np.sort(change[seen])[-max(20, len(xs) // 5) :].mean() < 11:
        after[:] = old
        return None
    left, right, top, bottom = np.percentile(xs, 1), np.percentile(xs, 99), np.percentile(ys, 1), np.percentile(ys, 99)
    return left, top, right - left + 1, bottom - top + 1


def old_mark(rng, after, before, colours):
    """Draws a mark that both show, not quite alike: nothing new."""
    old_after, old_before, old_colours = after.copy(), before.copy(), colours.copy()
    if mark(rng, after, before, colours) is None:
        return
    dx, dy = rng.normal(0, 0.8, 2)
    moved = lambda change: cv2.warpAffine(change, np.float32([[1, 0, dx], [0, 1, dy]]), after.shape[::-1]) * rng.uniform(0.6, 1.25)
    came, part = after - old_after, before - old_before
    colours[:] = old_colours
    if np.abs(part).max() > 8:  # a part, then: AFTER has it still
        after[:] = old_after + moved(part)
    else:
        before[:] = old_before + moved(came)
    np.clip(after, 0, 255, out=after)
    np.clip(before, 0, 255, out=before)


def bent(rng, picture, most):
    """Laid over a little less well, differently in each corner."""
    side = picture.shape[::-1]
    gx, gy = (cv2.resize(rng.normal(0, most, (4, 4)).astype(np.float32), side, interpolation=cv2.INTER_CUBIC) for _ in range(2))
    yy, xx = grid(picture.shape)
    return cv2.remap(picture, xx + gx, yy + gy, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)


def lens(rng, into, colours, px, py, reach):
    """A drop on the lens: a soft round place that shows a blurred, turned-over bit of the picture."""
    bright = rng.uniform(-0.2, 0.2)
    for plane, times in ((into, 1), *((c, 0.5) for c in colours)):
        r, cx, cy = reach * times, px * times, py * times
        yy, xx = grid(plane.shape)
        off = np.hypot(xx - cx, (yy - cy) * 0.92) / r
        share = np.clip((1 - off) * 2.2, 0, 1) * 0.8
        turned = cv2.remap(cv2.GaussianBlur(plane, (0, 0), 9 * times), cx - (xx - cx) * 1.6, cy - (yy - cy) * 1.6, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        if times == 1:
            turned = turned * (1 + bright * np.clip(1 - np.abs(off - 0.75) * 5, 0, 1) * np.sign(cy - yy))
        plane[:] = plane * (1 - share) + turned * share


# Red and blue against green of leaves: brown, green, red; about what the rendered ones have.
LEAVES = ((25, -40), (-20, -35), (40, -10))


def leaf(rng, into, colours, px, py):
    """A leaf that sticks there: nobody's damage."""
    size, turn, times = between(rng, 5, 16), rng.uniform(0, 2 * np.pi), 4
    angles = np.linspace(0, 2 * np.pi, 15)[:-1]
    u, v = size * np.cos(angles), size * 0.5 * np.sin(angles) * (1 - 0.4 * np.cos(angles)) * rng.uniform(0.5, 1)
    points = np.stack([px + u * np.cos(turn) - v * np.sin(turn), py + u * np.sin(turn) + v * np.cos(turn)], 1)
    big = np.zeros((into.shape[0] * times, into.shape[1] * times), np.uint8)
    cv2.fillPoly(big, [np.round(points * times).astype(np.int32)], 255)
    mask = cv2.resize(big, into.shape[::-1], interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    level = rng.uniform(25, 150) + texture(rng, into.shape, rng.uniform(2, 8)) * rng.uniform(0, 10)
    into[:] = into * (1 - mask) + level * mask
    half, tint = cv2.resize(mask, colours.shape[:0:-1], interpolation=cv2.INTER_AREA), LEAVES[rng.integers(len(LEAVES))]
    for plane, value in zip(colours, tint):
        plane[:] = plane * (1 - half) + half * value * rng.uniform(0.4, 1.3)


def weather(rng, after, before, colours):
    """Draws something that is no damage into one of the two: the edge of a shadow, drops, dirt, a shine,
    drops on the lens, a leaf, or what dark glass mirrors. `colours` are AFTER's and then BEFORE's."""
    yy, xx = grid(after.shape)
    height, width = after.shape
    into, tints = (after, colours[:2]) if rng.random() < 0.65 else (before, colours[2:4])
    what = rng.choice(["shadow", "drops", "dirt", "shine", "lens", "leaf", "glass"], p=[0.22, 0.17, 0.12, 0.12, 0.12, 0.12, 0.13])

    def around(px, py, reach):
        left, right, top, bottom = (int(v) for v in (max(px - reach, 0), min(px + reach + 1, width), max(py - reach, 0), min(py + reach + 1, height)))
        return (slice(top, bottom), slice(left, right)), xx[top:bottom, left:right] - px, yy[top:bottom, left:right] - py

    if what == "shadow":
        turn = rng.uniform(0, 2 * np.pi)
        depth = (xx - rng.uniform(0, width)) * np.cos(turn) + (yy - rng.uniform(0, height)) * np.sin(turn)
        if rng.random() < 0.4:
            depth = rng.uniform(8, 40) - np.abs(depth)
        if rng.random() < 0.5:
            depth = depth + texture(rng, after.shape, rng.uniform(8, 40)) * rng.uniform(1, 10)
        into *= 1 - rng.uniform(0.1, 0.55) / (1 + np.exp(-np.clip(depth / between(rng, 0.7, 12), -30, 30)))
    elif what == "drops":
        for _ in range(rng.integers(3, 60)):
            size = between(rng, 0.9, 5)
            at, u, v = around(rng.uniform(0, width), rng.uniform(0, height), 3 * size + 2)
            u, v = u / size, v / size
            into[at] += np.exp(-((u * u + v * v) ** 2)) * (v * rng.uniform(5, 35) + rng.uniform(-8, 8))
            into[at] += np.exp(-((u + 0.4) ** 2 + (v + 0.45) ** 2) * 8) * rng.uniform(0, 70)
    elif what == "glass":
        dark = np.clip((90 - cv2.GaussianBlur(into, (0, 0), 3)) / 30, 0, 1)
        shape = texture(rng, after.shape, between(rng, 4, 50)) + 0.5 * texture(rng, after.shape, rng.uniform(2, 6))
        into += dark * rng.uniform(8, 60) / (1 + np.exp(-np.clip(shape * rng.uniform(1, 12), -30, 30)))
    elif what in ("lens", "leaf"):
        for _ in range(rng.integers(1, 4)):
            px, py = rng.uniform(0, width), rng.uniform(0, height)
            if what == "lens":
                lens(rng, into, tints, px, py, rng.uniform(9, 34))
            else:
                leaf(rng, into, tints, px, py)
    elif what == "dirt":
        where, level = np.clip(texture(rng, after.shape, rng.uniform(20, 80)), 0, 2), rng.uniform(50, 130)
        for _ in range(rng.integers(10, 150)):
            px, py, size = rng.uniform(0, width), rng.uniform(0, height), between(rng, 0.7, 4)
            if where[int(py), int(px)] >= rng.uniform(0, 1.5):
                at, u, v = around(px, py, 3 * size + 3)
                spot = np.clip((1.2 - np.hypot(u / size, v / (size * rng.uniform(0.8, 1.6)))) * size * 0.7 + 0.3, 0, 1) * rng.uniform(0.2, 0.8)
                into[at] = into[at] * (1 - spot) + level * spot
        film = np.clip(where * rng.uniform(0, 0.25), 0, 0.6)
        into[:] = into * (1 - film) + level * film
    else:
        px, py, turn = rng.uniform(0, width), rng.uniform(0, height), rng.uniform(0, np.pi)
        size, narrow = between(rng, 6, 60), rng.uniform(0.15, 1)
        u = ((xx - px) * np.cos(turn) + (yy - py) * np.sin(turn)) / size
        v = (-(xx - px) * np.sin(turn) + (yy - py) * np.cos(turn)) / (size * narrow)
        into += np.exp(-(u * u + v * v)) * rng.uniform(10, 90)
    np.clip(after, 0, 255, out=after)
    np.clip(before, 0, 255, out=before)
