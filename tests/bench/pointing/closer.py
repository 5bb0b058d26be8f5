"""Fits the closer look at places that the network proposes: server/imaging/src/closer.rs."""

import concurrent.futures
import copy
import math
import multiprocessing
import os
import pathlib
import tempfile
import time

import numpy as np
import torch
import torch.nn.functional as F

import judge
from network import INPUTS, Closer, measured

SIDE = Closer.SIDE + 8
BATCH = 64
# How often each drawn batch is used: drawing one costs more than learning from it.
TIMES = 2
# Share of marks among the examples: there are far fewer of them than of anything else.
MARKS = 0.3


def candidates(pairs, root):
    """Squares (n, channels, side, side) of bytes, whether each shows a mark, and what each counts."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "squares"
        places = judge.proposed(pairs, root, path)
        squares = np.fromfile(path, np.uint8).reshape(len(places), SIDE, Closer.TOLD, SIDE).transpose(0, 2, 1, 3)
    by_name = {p["id"]: p for _, p in pairs}
    found, counts = np.zeros(len(places), np.float32), np.ones(len(places), np.float32)
    for k, (name, _, marks, box) in enumerate(places):
        new = by_name[name]["new"]
        found[k] = bool(marks)
        if marks and all(new[m]["severity"] == "minor" for m in marks):
            counts[k] = 0.5
        # Beside a mark, but not on it: neither.
        if not marks and any(touches(box, d["after"]) for d in new):
            counts[k] = 0
    return np.ascontiguousarray(squares), found, counts, places


def touches(a, b, by=6):
    return a[0] < b[0] + b[2] + by and b[0] < a[0] + a[2] + by and a[1] < b[1] + b[3] + by and b[1] < a[1] + a[3] + by


def plain(squares):
    """Numbers as they were before they became bytes."""
    return (torch.from_numpy(squares).float() - 128) * (4 / 127)


def middle(squares):
    off = (SIDE - Closer.SIDE) // 2
    return squares[..., off : off + Closer.SIDE, off : off + Closer.SIDE]


def altered(squares, rng):
    """Turned a little, nearer or further off, mirrored, stronger or fainter, noisier, some of it left out."""
    near, n = Closer.NEAR, len(squares)
    even = lambda low, high, *shape: torch.from_numpy(rng.uniform(low, high, shape).astype(np.float32))
    some = lambda *shape: torch.from_numpy(rng.normal(0, 1, shape).astype(np.float32))
    told = plain(squares)
    for axis, quarters, share in ((-1, (1, 0, 3, 2), 0.5), (-2, (2, 3, 0, 1), 0.15)):
        chosen = torch.from_numpy(rng.random(n) < share)
        told[chosen] = mirrored(told[chosen], axis, quarters)
    angle, size = even(-0.35, 0.35, n) * (even(0, 1, n) < 0.6), torch.exp(even(-0.25, 0.25, n)) * Closer.SIDE / SIDE
    # Both views turn and grow alike; from near a place is off its middle by more.
    off = even(-0.15, 0.15, n, 2)
    turn = torch.stack([torch.cos(angle), -torch.sin(angle), torch.sin(angle), torch.cos(angle)], 1).reshape(n, 2, 2) * size[:, None, None]
    shape = (n, 1, Closer.SIDE, Closer.SIDE)
    views = [F.grid_sample(part, F.affine_grid(torch.cat([turn, (off * by)[:, :, None]], 2), shape, align_corners=False), align_corners=False)
             for part, by in ((told[:, :near], 1.0), (told[:, near:], 1 / 3))]
    told = torch.cat(views, 1)
    for first in (0, near):
        told[:, first : first + 15] *= torch.exp(0.15 * some(n, 1, 1, 1))
        told[:, first + 17 : first + 19] += 0.1 * some(n, 2, 1, 1)
        told[:, first + 20 : first + 22] += 0.1 * some(n, 2, 1, 1)
    told += 0.06 * torch.randn_like(told)
    told *= torch.from_numpy((rng.random((n, Closer.TOLD, 1, 1)) > 0.06).astype(np.float32))
    # What the first network said is not always to be believed.
    silent = torch.from_numpy(rng.random(n) < 0.2)
    told[silent, INPUTS] = told[silent, near + INPUTS] = 0
    return told


def mirrored(told, axis, quarters):
    """The four pixels of a place change places too."""
    told = told.flip(axis)
    for first in (0, 4, Closer.NEAR, Closer.NEAR + 4):
        told[:, first : first + 4] = told[:, [first + q for q in quarters]]
    return told


def said(network, squares):
    network.eval()
    with torch.no_grad():
        return torch.cat([network(plain(middle(squares[k : k + 256]))) for k in range(0, len(squares), 256)]).numpy()


def fit(squares, found, counts, scores, steps, seed, peak=3e-3, apart=None, start=None):
    """From `start` on, or anew. `scores` are what the first network says of each, before the logistic function: where
    it is wrong most is looked at most. `apart` are squares and whether each shows a mark, to tell how it goes."""
    torch.manual_seed(seed)
    rng = np.random.default_rng(seed)
    marks, others = np.flatnonzero((found > 0) & (counts > 0)), np.flatnonzero((found == 0) & (counts > 0))
    often = np.exp(scores[others] / 2)
    often /= often.sum()
    network = (start or Closer()).to(memory_format=torch.channels_last)
    steady = copy.deepcopy(network)
    how = torch.optim.AdamW(network.parameters(), peak, weight_decay=0.05)
    begun, losses = time.monotonic(), []
    for step in range(steps):
        for group in how.param_groups:
            group["lr"] = peak * min(1, step / 50 + 0.05) * (0.5 * (1 + math.cos(math.pi * step / steps)) + 0.01)
        if step % TIMES == 0:
            some = np.concatenate([rng.choice(marks, round(MARKS * BATCH)), rng.choice(others, BATCH - round(MARKS * BATCH), p=often)])
            drawn = altered(squares[some], rng)
        told, wanted, count = drawn, torch.from_numpy(found[some]) * 0.96 + 0.02, torch.from_numpy(counts[some])
        # Some of another into each (Zhang et al., 2018): few situations are soon known by heart.
        share = float(rng.beta(0.3, 0.3)) if rng.random() < 0.5 else 1.0
        other = torch.from_numpy(rng.permutation(BATCH))
        told, wanted, count = (v * share + v[other] * (1 - share) for v in (told, wanted, count))
        each = F.binary_cross_entropy_with_logits(network(told.contiguous(memory_format=torch.channels_last)), wanted, reduction="none")
        loss = (each * count).mean()
        how.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        how.step()
        with torch.no_grad():
            keep = min(0.995, step / (step + 20))
            for slow, fast in zip(steady.state_dict().values(), network.state_dict().values()):
                slow.copy_(slow * keep + fast * (1 - keep) if slow.is_floating_point() else fast)
        losses.append(loss.item())
        if step % 200 == 199:
            line = f"closer: step {step + 1} of {steps}, {time.monotonic() - begun:.0f} s, loss {np.mean(losses[-200:]):.3f}"
            if apart is not None:
                line += f", marks kept apart above others {above(said(steady, apart[0]), apart[1]):.3f}"
            print(line, flush=True)
    return steady.eval()


def ready(read, squares, seed):
    """A network that was read from written weights, so that it can be fitted further."""
    some = np.random.default_rng(seed).choice(len(squares), (8, BATCH))
    return measured(read, [plain(middle(squares[batch])) for batch in some])


def beside(fitted, count):
    """What is fitted of each number below a count, as many at the same time as there are processors: each on its own is
    done sooner than all with one after the other."""
    global shared
    # Forked, so that the examples are not copied; before anything has begun threads that a fork would lose.
    shared = fitted
    with concurrent.futures.ProcessPoolExecutor(os.cpu_count(), multiprocessing.get_context("fork")) as workers:
        told = list(workers.map(state, range(count)))
    members = [Closer() for _ in told]
    for member, values in zip(members, told):
        member.load_state_dict({name: torch.from_numpy(value) for name, value in values.items()})
    return [member.eval() for member in members]


shared = None


def state(k):
    return {name: value.numpy() for name, value in shared(k).state_dict().items()}


def above(scores, found):
    """How often a mark stands above something else: the area under the curve of marks found over false ones."""
    order = np.argsort(np.argsort(scores))
    n = found.sum()
    return float((order[found > 0].sum() - n * (n - 1) / 2) / max(n * (len(found) - n), 1))
