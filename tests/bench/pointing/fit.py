"""Fits the network that points at change. Started by tests/bench/fit-pointing, which says how."""

import argparse
import copy
import json
import math
import multiprocessing
import os
import pathlib
import struct
import subprocess
import tempfile
import time

import cv2
import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

import closer
import drawn
import judge
import squares
from network import INPUTS, Closer, Network, as_written, measured, sight, started, weights

ROOT = pathlib.Path(__file__).resolve().parents[3]
SOURCES = ROOT / "server" / "imaging" / "src"
CHECK = ROOT / "fixtures" / "reference" / "pointing_network.csv"
CHECK_CLOSER = ROOT / "fixtures" / "reference" / "pointing_closer.csv"
SIDE = 192
BATCH = 16
# Batches that examples are shuffled among, and how often each is used.
SHUFFLED, TIMES = 160, 4


def listed(path, part):
    """Pairs of a list that can be laid over each other, with the folder they lie in."""
    pairs = json.loads(path.read_text())
    return [(path.parent, p) for p in pairs if p["alignable"] and p["set"] == part]


def lay(pairs, folder):
    """Lays the pairs over each other by the product and reads what it wrote."""
    lines = "".join(f"{p['id']}\t{at / p['before']}\t{at / p['after']}\n" for at, p in pairs)
    subprocess.run(["cargo", "run", "--release", "--quiet", "-p", "handsel-imaging", "--example", "laid_over", "--", folder],
                   input=lines, text=True, check=True, cwd=ROOT)
    out = []
    for _, pair in pairs:
        path = pathlib.Path(folder) / f"{pair['id']}.bin"
        if path.exists():
            raw = path.read_bytes()
            planes, at = [], 4
            while at < len(raw):
                width, height = struct.unpack_from("<II", raw, at)
                # Left as they were written, in hundredths: there are a thousand of them and more.
                planes.append(np.frombuffer(raw, "<i2", width * height, at + 8).reshape(height, width))
                at += 8 + 2 * width * height
            after, before, *colours, light, light2, loose, shown = planes
            out.append({"pair": pair, "noise": struct.unpack_from("<f", raw)[0], "after": after, "before": before,
                        "half": [*colours, light, loose, shown], "light2": light2})
    return out


def example(scene, rng, whole=SIDE):
    """A square out of a pair, with damage and weather drawn into it, and boxes (x, y, w, h) of what is new in it with
    what each counts: 0 is not judged."""
    height, width = scene["after"].shape
    new = scene["pair"]["new"]
    # Nearer or further off: a square of another size, brought to the one size.
    side = round(whole / drawn.between(rng, 0.75, 1.35) / 8) * 8 if rng.random() < 0.6 else whole
    times = whole / side
    x, y = int(rng.integers(0, (width - side) // 4 + 1)) * 4, int(rng.integers(0, (height - side) // 4 + 1)) * 4
    if new and rng.random() < 0.4:
        bx, by, bw, bh = new[rng.integers(len(new))]["after"]
        x = int(np.clip(bx + bw / 2 - rng.uniform(30, side - 30), 0, width - side)) // 4 * 4
        y = int(np.clip(by + bh / 2 - rng.uniform(30, side - 30), 0, height - side)) // 4 * 4

    def cut(plane, k):
        part = plane[y // k : (y + side) // k, x // k : (x + side) // k].astype(np.float32) / 100
        return cv2.resize(part, (whole // k, whole // k), interpolation=cv2.INTER_AREA if times < 1 else cv2.INTER_LINEAR)

    after, before, light2 = cut(scene["after"], 1), cut(scene["before"], 1), cut(scene["light2"], 4)
    half = np.stack([cut(plane, 2) for plane in scene["half"]])
    half[6] = half[6] > 0.99
    boxes = []

    def seen(bx, by, bw, bh):
        """Whether BEFORE shows its middle at all."""
        return half[6][min(int((by + bh / 2) / 2), whole // 2 - 1), min(int((bx + bw / 2) / 2), whole // 2 - 1)] >= 1

    for damage in new:
        bx, by, bw, bh = damage["after"]
        bx, by, bw, bh = (bx - x) * times, (by - y) * times, bw * times, bh * times
        if 0 <= bx + bw / 2 < whole and 0 <= by + bh / 2 < whole:
            weight = 0.5 if damage["severity"] == "minor" or max(bw, bh) < 9 else 1.0
            boxes.append((bx, by, bw, bh, weight if seen(bx, by, bw, bh) else 0.0))
        elif bx < whole and by < whole and bx + bw > 0 and by + bh > 0:
            boxes.append((bx, by, bw, bh, 0.0))
    for _ in range(rng.choice([0, 1, 2, 3], p=[0.4, 0.3, 0.2, 0.1])):
        drawn.old_mark(rng, after, before, half[:4])
    if rng.random() < 0.25:
        drawn.weather(rng, after, before, half[:4])
    for _ in range(rng.choice([0, 1, 2, 3], p=[0.25, 0.4, 0.25, 0.1])):
        box = drawn.mark(rng, after, before, half[:4])
        if box:
            boxes.append((*box, 1.0 if seen(*box) else 0.0))
    noise = scene["noise"]
    if rng.random() < 0.6:
        before = drawn.bent(rng, before, abs(rng.normal(0, 1)))
    if rng.random() < 0.3:  # out of focus, one of them
        soft = rng.uniform(0.4, 1.2)
        if rng.random() < 0.5:
            after = cv2.GaussianBlur(after, (0, 0), soft)
        else:
            before = cv2.GaussianBlur(before, (0, 0), soft)
    if rng.random() < 0.3:  # a poorer camera
        more = rng.uniform(0.3, 4)
        after += rng.normal(0, more, after.shape).astype(np.float32)
        before += rng.normal(0, more, before.shape).astype(np.float32)
        noise = math.hypot(noise, more)
    if rng.random() < 0.5:  # another exposure and tone curve, of one or of both
        curve, gain, which = np.exp(rng.normal(0, 0.15)), rng.uniform(0.75, 1.2), rng.random()
        again = lambda v: 255 * np.clip(v * gain / 255, 0, 1) ** curve
        after = again(after) if which < 0.75 else after
        before = again(before) if not 0.5 <= which < 0.75 else before
    half[4], light2 = light(after, before)
    if rng.random() < 0.5:
        after, before, half, light2 = (np.ascontiguousarray(v[..., ::-1]) for v in (after, before, half, light2))
        boxes = [(whole - bx - bw, by, bw, bh, k) for bx, by, bw, bh, k in boxes]
    if rng.random() < 0.15:
        after, before, half, light2 = (np.ascontiguousarray(v[..., ::-1, :]) for v in (after, before, half, light2))
        boxes = [(bx, whole - by - bh, bw, bh, k) for bx, by, bw, bh, k in boxes]
    return after[None], before[None], half, light2[None], np.float32(noise).reshape(1, 1, 1), boxes


def light(after, before):
    """What the difference of tones has in common over neighbourhoods, at half the size and a quarter: its median."""
    tone = lambda v: 80 * np.log1p(np.maximum(v, 0) / 48)
    median = lambda d: cv2.medianBlur(np.clip(d * 2 + 128, 0, 255).round().astype(np.uint8), 17).astype(np.float32) / 2 - 64
    small = lambda d, side: cv2.resize(d, (side, side), interpolation=cv2.INTER_AREA)
    side = after.shape[0]
    half = small(tone(after) - tone(before), side // 2)
    return median(half), median(small(half, side // 4))


def wanted(boxes):
    """How much each place is the middle of a change, what it counts, and sizes and middles with their weights."""
    cells = SIDE // 4
    heat, counts = np.zeros((1, cells, cells), np.float32), np.ones((1, cells, cells), np.float32)
    sizes, sized = np.zeros((4, cells, cells), np.float32), np.zeros((1, cells, cells), np.float32)
    gy, gx = np.mgrid[0:cells, 0:cells]
    for x, y, w, h, weight in boxes:
        if weight == 0:
            left, right, top, bottom = (int(np.clip(v / 4, 0, cells)) for v in (x - 4, x + w + 8, y - 4, y + h + 8))
            counts[0, top:bottom, left:right] = 0
            continue
        cx, cy = (x + w / 2) / 4 - 0.5, (y + h / 2) / 4 - 0.5
        hill = np.exp(-((gx - cx) ** 2 / (2 * max(w / 24, 0.8) ** 2) + (gy - cy) ** 2 / (2 * max(h / 24, 0.8) ** 2)))
        hill[int(np.clip(round(cy), 0, cells - 1)), int(np.clip(round(cx), 0, cells - 1))] = 1
        if weight < 1:
            counts[0][hill > 0.1] = np.minimum(counts[0][hill > 0.1], weight)
        own = (hill > heat[0]) & (hill > 0.5)
        heat[0] = np.maximum(heat[0], hill)
        for channel, value in enumerate((math.log(w / 16), math.log(h / 16), cx - gx, cy - gy)):
            sizes[channel][own] = value if channel < 2 else value[own]
        sized[0][own] = hill[own] * weight
    return heat, counts, sizes, sized


def inputs(after, before, half, light2, noise):
    return sight(after, before, half[:, :4], half[:, 4:5], light2, half[:, 5:6], half[:, 6:7], noise)


def loss_of(told, heat, counts, sizes, sized):
    """Penalty-reduced focal loss for middles (Law and Deng, 2018, eq. 1), smooth L1 for the rest."""
    p = torch.sigmoid(told[:, :1]).clamp(1e-4, 1 - 1e-4)
    middle = (heat >= 0.999).float()
    found = -((1 - p) ** 2 * torch.log(p) * middle * counts).sum()
    quiet = -((1 - heat) ** 4 * p**2 * torch.log(1 - p) * (1 - middle) * counts).sum()
    rest = (F.smooth_l1_loss(told[:, 1:], sizes, reduction="none", beta=0.3) * sized).sum() / sized.sum().clamp(min=1) / 2
    return (found + quiet) / middle.sum().clamp(min=4) + 0.5 * rest


def draw(scenes, seed, into):
    """Draws examples without end, beside the fitting."""
    cv2.setNumThreads(1)
    torch.set_num_threads(1)
    rng = np.random.default_rng(seed)
    share = np.array([1.5 if s["pair"]["new"] else 1.0 for s in scenes])
    share /= share.sum()
    while True:
        some = [example(scenes[rng.choice(len(scenes), p=share)], rng) for _ in range(BATCH)]
        some = [(*seen, *wanted(boxes)) for *seen, boxes in some]
        *seen, heat, counts, sizes, sized = (torch.from_numpy(np.stack(v).astype(np.float32)) for v in zip(*some))
        with torch.no_grad():
            told = inputs(*seen)
        into.put([v.numpy().astype(np.float16) for v in (told, heat, counts, sizes, sized)])


def mirrored(batch):
    """Left and right exchanged: of the four pixels of a place too, and in the way to the middle."""
    told, heat, counts, sizes, sized = (v[..., ::-1].copy() for v in batch)
    told[:, :8] = told[:, [1, 0, 3, 2, 5, 4, 7, 6]]
    sizes[:, 2] *= -1
    return told, heat, counts, sizes, sized


class Drawn:
    """Examples as they come from beside, each used a few times: drawing one costs more than learning from it."""

    def __init__(self, queue, rng):
        self.queue, self.rng, self.kept, self.step = queue, rng, [], 0
        for _ in range(SHUFFLED // 4):
            self.more()

    def more(self):
        batch = self.queue.get()
        if self.rng.random() < 0.5:
            batch = mirrored(batch)
        self.kept = (self.kept + [[v[k] for v in batch] for k in range(BATCH)])[-SHUFFLED * BATCH :]

    def next(self):
        if self.step % TIMES == 0:
            self.more()
        self.step += 1
        some = [self.kept[k] for k in self.rng.choice(len(self.kept), BATCH, replace=False)]
        batch = [np.stack(v) for v in zip(*some)]
        if self.rng.random() < 0.5:
            batch = mirrored(batch)
        return [torch.from_numpy(np.ascontiguousarray(v, np.float32)) for v in batch]


def fit(scenes, steps, seed, peak, start=None, hours=None):
    """Steps are as many as asked for, or fewer where hours are given and are over: the rate falls accordingly."""
    torch.manual_seed(seed)
    queue = multiprocessing.Queue(4)
    drawing = multiprocessing.Process(target=draw, args=(scenes, seed, queue), daemon=True)
    drawing.start()
    examples = Drawn(queue, np.random.default_rng(seed + 1))
    if start:
        measured(start, [examples.next()[0] for _ in range(12)])
    network = (start or Network()).to(memory_format=torch.channels_last)
    steady = copy.deepcopy(network)
    # A step by a third faster; the weights stay the network's own.
    quick = torch.compile(network)
    how = torch.optim.AdamW(network.parameters(), 1e-3, weight_decay=1e-4)
    begun, losses = time.monotonic(), []
    for step in range(steps):
        gone = max(step / steps, (time.monotonic() - begun) / 3600 / hours if hours else 0)
        if gone >= 1:
            break
        for group in how.param_groups:
            group["lr"] = peak * min(1, step / 100 + 0.05) * (0.5 * (1 + math.cos(math.pi * gone)) + 0.01)
        told, *truth = examples.next()
        loss = loss_of(quick(told.contiguous(memory_format=torch.channels_last)), *truth)
        how.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(network.parameters(), 5.0)
        how.step()
        with torch.no_grad():
            keep = min(0.998, step / (step + 20))
            for slow, fast in zip(steady.state_dict().values(), network.state_dict().values()):
                slow.copy_(slow * keep + fast * (1 - keep) if slow.is_floating_point() else fast)
        losses.append(loss.item())
        if step % 100 == 99:
            print(f"step {step + 1} of {steps}, {time.monotonic() - begun:.0f} s, loss {np.mean(losses[-100:]):.3f}", flush=True)
    drawing.terminate()
    return steady.eval()


def check(network):
    """What the network says about an input that can be written as a formula, for the product's own test."""
    c, y, x = (torch.arange(n, dtype=torch.float64) for n in (INPUTS, 32, 48))
    given = torch.sin(0.7 * c[:, None, None] + 0.31 * x[None, None] + 0.17 * y[None, :, None]).float()[None]
    with torch.no_grad():
        told = as_written(network)(given)[0]
    places = [{"channel": k % 5, "x": (5 * k) % 24, "y": (3 * k) % 16} for k in range(40)]
    for place in places:
        place["value"] = round(float(told[place["channel"], place["y"], place["x"]]), 5)
    source = f"# PyTorch {torch.__version__}; input sin(0.7 channel + 0.31 x + 0.17 y), 48 wide, 32 high"
    rows = [f"{p['channel']},{p['x']},{p['y']},{p['value']}" for p in places]
    CHECK.write_text("\n".join([source, "channel,x,y,output", *rows]) + "\n")


def check_closer(members):
    """The same for each of the closer looks, of squares that differ by a phase."""
    c, y, x = (torch.arange(n, dtype=torch.float64) for n in (Closer.TOLD, Closer.SIDE, Closer.SIDE))
    wave = 0.7 * c[:, None, None] + 0.31 * x[None, None] + 0.17 * y[None, :, None]
    phases = [0.5 * k for k in range(12)]
    with torch.no_grad():
        squares = torch.stack([torch.sin(wave + p) for p in phases]).float()
        told = torch.stack([as_written(member)(squares) for member in members], 1).tolist()
    source = f"# PyTorch {torch.__version__}; input sin(0.7 channel + 0.31 x + 0.17 y + phase), {Closer.SIDE} wide and high"
    header = ",".join(["phase", *(f"output_{k}" for k in range(len(members)))])
    rows = [",".join([str(p), *(f"{v:.5f}" for v in values)]) for p, values in zip(phases, told)]
    CHECK_CLOSER.write_text("\n".join([source, header, *rows]) + "\n")


def fitted(given, pairs):
    with tempfile.TemporaryDirectory() as folder:
        scenes = lay(pairs, folder)
    print(f"{len(scenes)} of {len(pairs)} pairs laid over each other", flush=True)
    start = started((SOURCES / "weights.bin").read_bytes(), Network()) if given.on else None
    network = fit(scenes, given.steps, given.seed, given.peak, start, given.hours)
    (SOURCES / "weights.bin").write_bytes(weights(network))
    check(network)


def looked_closer(given, pairs, apart):
    """Begun on places of examples with damage drawn into them, then fitted on places of the pairs as they are."""
    network = started((SOURCES / "weights.bin").read_bytes(), Network())
    begun = None
    if not given.on:
        with tempfile.TemporaryDirectory() as folder:
            begun = squares.drawn(lay(pairs, folder), network, given.seed, given.drawn, example, inputs)
        print(f"{len(begun[1])} places of drawn examples, {int(begun[1].sum())} of them marks", flush=True)
    seen, found, counts, places = closer.candidates(pairs, ROOT)
    scores = np.array([figures[0] for _, figures, *_ in places])
    print(f"{len(found)} places proposed in {len(pairs)} pairs, {int(found.sum())} of them marks", flush=True)
    seen_apart, found_apart, *_ = closer.candidates(apart, ROOT)
    told = (seen_apart, found_apart) if found_apart.any() else None
    written = (SOURCES / "closer.bin").read_bytes()
    each = len(weights(Closer()))

    def member(k):
        torch.set_num_threads(1)
        seed = given.seed + k
        if begun:
            start = closer.fit(*begun, given.steps * 3 // 5, seed + 100, given.peak).train()
        else:
            start = closer.ready(started(written[k * each : (k + 1) * each], Closer()), seen, seed)
        return closer.fit(seen, found, counts, scores, given.steps, seed, given.peak * 2 / 3, told, start)

    members = closer.beside(member, given.members if begun else len(written) // each)
    if told:
        # What the first says is nothing the others do not look at.
        members.sort(key=lambda one: closer.above(closer.said(one, told[0]), told[1]), reverse=True)
    closers(members)


def closers(members):
    """Writes the networks of the closer look, one after the other."""
    (SOURCES / "closer.bin").write_bytes(b"".join(weights(member) for member in members))
    check_closer(members)


def main():
    ask = argparse.ArgumentParser()
    ask.add_argument("--more", type=pathlib.Path, help="folder that fixtures/photos/make_more.py wrote")
    ask.add_argument("--steps", type=int, default=8000)
    ask.add_argument("--hours", type=float, help="at most this long")
    ask.add_argument("--peak", type=float, default=3e-3, help="highest rate of learning")
    ask.add_argument("--on", action="store_true", help="goes on from the weights there are, rather than anew")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--kept", type=int, default=6, help="the last situations are kept out, to fit the judging on")
    ask.add_argument("--drawn", type=int, default=12000, help="places of drawn examples that the closer look begins with")
    ask.add_argument("--judge", action="store_true", help="fits the judging alone, the network as it is")
    ask.add_argument("--members", type=int, default=4, help="networks of the closer look, when they are fitted anew")
    ask.add_argument("--closer", action="store_true", help="fits the closer look and the judging, the first network as it is")
    given = ask.parse_args()
    paths = sorted(given.more.glob("m*.json")) if given.more else []
    paths, apart = paths[: len(paths) - given.kept], paths[len(paths) - given.kept :]
    pairs, apart = ([p for path in some for p in listed(path, "more")] for some in (paths, apart))
    if given.closer:
        looked_closer(given, pairs, apart)
    elif not given.judge:
        torch.set_num_threads(os.cpu_count() or 1)
        fitted(given, listed(ROOT / "fixtures" / "photos" / "pairs" / "pairs.json", "tune") + pairs)
    judge.judged(apart, ROOT)


if __name__ == "__main__":
    main()
