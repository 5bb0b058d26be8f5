"""What the closer look sees of examples with damage drawn into them, of which there can be any number: it begins with
those, before it is fitted on what was rendered. The product's own copies are server/imaging/src/{places,closer}.rs:
both must stay the same."""

import concurrent.futures
import math
import multiprocessing
import os

import cv2
import numpy as np
import torch

import closer
import judge
from network import Closer, as_written

# Pixels along an example's side: the view with what is around reaches 240.
WIDE = 320
# Places of an example, and those among them that show nothing new: about as many for its size as a picture has.
MOST, MOST_OTHERS = 6, 3
# Least score, before the logistic function, the product's unit of length, and the share two places may cover.
LEAST, UNIT, SHARED = math.log(0.12 / 0.88), 16, 0.3
# Pixels of the pictures that are rendered.
PICTURE = 896 * 672


def places(said, size, most=MOST):
    """Boxes (left, top, right, bottom) in pixels and their scores, highest first."""
    score = said[0]
    height, width = score.shape
    wider = np.pad(score, 1, constant_values=-np.inf)
    highest = np.max([wider[dy : dy + height, dx : dx + width] for dy in range(3) for dx in range(3)], 0)
    ys, xs = np.where((score >= highest) & (score >= LEAST))
    kept = []
    for k in np.argsort(-score[ys, xs], kind="stable"):
        own = said[:, ys[k], xs[k]]
        sizes = UNIT * np.exp(np.clip(own[1:3], -2, 4))
        middle = (np.array([xs[k], ys[k]]) + np.clip(own[3:5], -4, 4) + 0.5) * 4
        box = [int(v) for v in np.clip(np.floor(np.r_[middle - sizes / 2, middle + sizes / 2] + 0.5), 0, size)]
        if box[0] < box[2] and box[1] < box[3] and all(shared(box, other) <= SHARED for other, _ in kept):
            kept.append((box, float(own[0])))
        if len(kept) == most:
            break
    return kept


def shared(a, b):
    """Share of the smaller box that both cover."""
    across, down = (max(0, min(a[k + 2], b[k + 2]) - max(a[k], b[k])) for k in (0, 1))
    return across * down / max(1, min((v[2] - v[0]) * (v[3] - v[1]) for v in (a, b)))


def square(told, saw, said, box):
    """What a closer look sees of a place, (channels, side, side): from near, and with what is around."""
    _, height, width = told.shape
    up = lambda v: v.repeat(2, -1).repeat(2, -2)
    inside = np.zeros((1, height, width), np.float32)
    inside[0, box[1] // 2 : -(-box[3] // 2), box[0] // 2 : -(-box[2] // 2)] = 1
    around = np.concatenate([told, up(said[:1]) / 4, inside])
    near = np.concatenate([around, up(saw) / 2])
    mx, my, half = (box[0] + box[2]) // 2 // 2, (box[1] + box[3]) // 2 // 2, closer.SIDE // 2

    def cut(planes, by):
        wider = np.pad(planes, ((0, 0), *[(by * half, by * half)] * 2))
        return wider[:, my : my + 2 * by * half, mx : mx + 2 * by * half]

    farther = cut(around, 3).reshape(-1, closer.SIDE, 3, closer.SIDE, 3).mean((2, 4))
    return np.concatenate([cut(near, 1), farther])


def some(scenes, network, seed, count, example, inputs):
    """At least so many of the first network's places of drawn examples: as `closer.candidates`, with what the first
    network says of each."""
    torch.set_num_threads(1)
    cv2.setNumThreads(1)
    rng = np.random.default_rng(seed)
    network, saw, out = as_written(network), [], []
    network.last.register_forward_pre_hook(lambda _, given: saw.append(given[0]))
    while len(out) < count:
        *seen, boxes = example(scenes[rng.integers(len(scenes))], rng, WIDE)
        with torch.no_grad():
            told = inputs(*(torch.from_numpy(np.stack([v]).astype(np.float32)) for v in seen))
            said = network(told)[0].numpy()
        others = 0
        for (left, top, right, bottom), score in places(said, WIDE):
            place = [left, top, right - left, bottom - top]
            counts = [b[4] for b in boxes if judge.hits(place, b[:4], PICTURE)]
            beside = not counts and any(closer.touches(place, b[:4]) for b in boxes)
            others += not counts
            if beside or (counts and max(counts) == 0) or (not counts and others > MOST_OTHERS):
                continue
            seen_there = square(told[0].numpy(), saw[-1][0].numpy(), said, (left, top, right, bottom))
            as_bytes = np.clip(np.round(seen_there * (127 / 4)) + 128, 0, 255).astype(np.uint8)
            out.append((as_bytes, float(bool(counts)), max(counts, default=1.0), score))
        saw.clear()
    squares, *numbers = (np.stack(v) for v in zip(*out))
    return squares, *(v.astype(np.float32) for v in numbers)


def drawn(scenes, network, seed, count, example, inputs):
    """The same, by as many processes as there are processors."""
    workers = os.cpu_count() or 1
    with concurrent.futures.ProcessPoolExecutor(workers, multiprocessing.get_context("fork"), begin, (scenes, network, example, inputs)) as pool:
        parts = list(pool.map(part, [(seed + k, count // workers) for k in range(workers)]))
    return tuple(np.concatenate(v) for v in zip(*parts))


given = None


def begin(*what):
    global given
    given = what


def part(asked):
    scenes, network, example, inputs = given
    return some(scenes, network, *asked, example, inputs)
