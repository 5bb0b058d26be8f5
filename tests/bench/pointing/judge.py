"""Fits how the places that the network proposes are judged: the weights in server/imaging/src/judge.rs, and tells what
each bar would give. On pairs that the network was not fitted on: of those that it was, it is too sure."""

import subprocess

import numpy as np

# Figures of judge.rs, in its order.
FIGURES = ["network", "width", "colour", "evidence", "edges", "closer"]
MOST = 4


def hits(pointer, damage, picture):
    """As tests/bench/photos judges it."""
    px, py, pw, ph = pointer
    dx, dy, dw, dh = damage
    grow = max(0.0, 24 - min(dw, dh)) / 2
    dx, dy, dw, dh = dx - grow, dy - grow, dw + 2 * grow, dh + 2 * grow
    shared = max(0, min(px + pw, dx + dw) - max(px, dx)) * max(0, min(py + ph, dy + dh) - max(py, dy))
    return shared >= 0.25 * min(pw * ph, dw * dh) and pw * ph <= max(9 * dw * dh, 0.02 * picture)


def proposed(pairs, root, squares=None):
    """Of each place: its pair, its figures, which of the pair's marks it points at, and its box. `squares` is a file
    for what the closer look would see of each."""
    by_name = {p["id"]: p for _, p in pairs}
    lines = "".join(f"{p['id']}\t{at / p['before']}\t{at / p['after']}\n" for at, p in pairs)
    told = subprocess.run(["cargo", "run", "--release", "--quiet", "-p", "handsel-imaging", "--example", "proposed", "--", *([str(squares)] if squares else [])],
                          input=lines, text=True, check=True, cwd=root, capture_output=True).stdout
    places = []
    for line in told.splitlines():
        name, *numbers = line.split("\t")
        pair, numbers = by_name[name], [float(v) for v in numbers]
        picture = pair["width"] * pair["height"]
        places.append((name, numbers[4:], [k for k, d in enumerate(pair["new"]) if hits(numbers[:4], d["after"], picture)], numbers[:4]))
    return places


def weighed(figures, found, hold=3.0, rounds=30):
    """Weights of a logistic regression, and what is added: by Newton's steps, held towards zero in units of spread."""
    middle, spread = figures.mean(0), figures.std(0) + 1e-6
    given = np.c_[(figures - middle) / spread, np.ones(len(figures))]
    held = np.diag([hold] * figures.shape[1] + [0.0])
    w = np.zeros(given.shape[1])
    for _ in range(rounds):
        p = 1 / (1 + np.exp(-given @ w))
        w -= np.linalg.solve((given * (p * (1 - p))[:, None]).T @ given + held + 1e-9 * np.eye(len(w)), given.T @ (p - found) + held @ w)
    return w[:-1] / spread, w[-1] - (w[:-1] * middle / spread).sum()


def told(pairs, places, scores, bar):
    """Recall of moderate and major marks, false pointers a pair and the share of clean pairs with any pointer."""
    found = false = clean = 0
    for _, pair in pairs:
        own = sorted(((s, k) for s, (name, _, k, _) in zip(scores, places) if name == pair["id"] and s >= bar), reverse=True)[:MOST]
        false += sum(not marks for _, marks in own)
        found += sum(pair["new"][k]["severity"] != "minor" for k in {k for _, marks in own for k in marks})
        clean += not pair["new"] and bool(own)
    serious = sum(d["severity"] != "minor" for _, p in pairs for d in p["new"])
    return found / max(serious, 1), false / len(pairs), clean / max(sum(not p["new"] for _, p in pairs), 1)


def judged(pairs, root):
    places = proposed(pairs, root)
    figures, found = np.array([f for _, f, *_ in places]), np.array([bool(k) for _, _, k, _ in places], float)
    # A situation at a time is judged by weights that the others gave.
    groups = np.array([name[:5] for name, *_ in places])
    scores = np.zeros(len(places))
    for group in sorted(set(groups)):
        weights, bias = weighed(figures[groups != group], found[groups != group])
        scores[groups == group] = figures[groups == group] @ weights + bias
    print(f"{len(pairs)} pairs kept out of fitting, {len(places)} places proposed")
    for bar in np.arange(0.1, 0.75, 0.05):
        recall, false, clean = told(pairs, places, scores, np.log(bar / (1 - bar)))
        print(f"bar {bar:.2f}: recall {recall:.2f}, {false:.2f} false a pair, {clean:.2f} of clean pairs with any")
    weights, bias = weighed(figures, found)
    print("for judge.rs, WEIGHTS and BIAS:", ", ".join(f"{w:.4f}" for w in weights), f"and {bias:.4f}")
