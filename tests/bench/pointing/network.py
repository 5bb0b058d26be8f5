"""The network as it is fitted. The product's own copy of what it is told and how it is built is
server/imaging/src/{sight,network}.rs: both must stay the same."""

import copy

import numpy as np
import torch
import torch.nn.functional as F
from torch import nn

INPUTS = 23


def tone(level):
    return 80 * torch.log1p(level.clamp(min=0) / 48)


def mean(x, radius):
    """Over a square; at the border over what there is of it."""

    def along(v, dim):
        n = v.shape[dim]
        sums = torch.cat([torch.zeros_like(v.narrow(dim, 0, 1)), v.cumsum(dim)], dim)
        at = torch.arange(n)
        first, last = (at - radius).clamp(min=0), (at + radius + 1).clamp(max=n)
        shape = [1] * v.dim()
        shape[dim] = n
        return (sums.index_select(dim, last) - sums.index_select(dim, first)) / (last - first).reshape(shape)

    return along(along(x, -1), -2)


def highest(x, radius):
    for dim in (-1, -2):
        found = x
        n = x.shape[dim]
        for k in range(1, radius + 1):
            more = found.clone()
            torch.maximum(found.narrow(dim, 0, n - k), x.narrow(dim, k, n - k), out=more.narrow(dim, 0, n - k))
            torch.maximum(more.narrow(dim, k, n - k), x.narrow(dim, 0, n - k), out=more.narrow(dim, k, n - k))
            found = more
        x = found
    return x


def lowest(x, radius):
    return -highest(-x, radius)


def halved(x):
    return F.avg_pool2d(x, 2)


def scaled(x, size):
    return F.interpolate(x, size=size, mode="bilinear", align_corners=False)


def squash(x):
    return torch.sign(x) * torch.log1p(x.abs()) / 2


def evidence(before, after, loose, light, slack, noise):
    """What AFTER adds and what it lacks, in steps of noise: change.rs."""
    size = after.shape[-2:]
    dimmest, brightest = scaled(lowest(light, 1), size), scaled(highest(light, 1), size)

    def reach(p):
        low, high = lowest(p, slack), highest(p, slack)
        return low + (lowest(low, 3) - low) * loose, high + (highest(high, 3) - high) * loose

    (was_low, was_high), (is_low, is_high) = reach(before), reach(after)
    added = (after - (was_high + brightest)).clamp(min=0) + (after - (was_low + dimmest)).clamp(max=0)
    gone = (before - (is_high - dimmest)).clamp(min=0) + (before - (is_low - brightest)).clamp(max=0)
    return added / noise, gone / noise


def sight(after, before, colours, light, light2, loose, shown, noise):
    """Lumas (n, 1, h, w); everything else at half the size, but `light2` at a quarter; noise (n, 1, 1, 1)."""
    a, b = tone(after), tone(before)
    added, gone = evidence(b, a, scaled(loose, a.shape[-2:]), light, 2, noise)
    both = lambda e: (F.max_pool2d(e, 2), -F.max_pool2d(-e, 2))
    half_a, half_b = halved(a), halved(b)
    coarser = (noise / 2).clamp(min=0.3)
    added2, gone2 = evidence(half_b, half_a, loose, light2, 1, coarser)
    around_a, around_b = mean(half_a, 16), mean(half_b, 16)
    change = colours[:, :2] - colours[:, 2:]
    told = [(F.pixel_unshuffle(a, 2) - around_a) / 20, (F.pixel_unshuffle(b, 2) - around_b) / 20,
            *map(squash, both(added)), *map(squash, both(gone)), squash(added2), squash(gone2),
            squash((half_a - half_b - light) / coarser), (change - mean(change, 16)) / 15, colours[:, :2] / 60, loose,
            around_a / 100 - 0.8, around_b / 100 - 0.8, shown.clamp(max=1)]
    return torch.cat(told, 1).clamp(-4, 4)


def layer(inputs, outputs, size=3, stride=1, groups=1):
    return nn.Sequential(nn.Conv2d(inputs, outputs, size, stride, size // 2, groups=groups, bias=False), nn.BatchNorm2d(outputs))


class Added(nn.Module):
    def __init__(self, channels):
        super().__init__()
        self.each, self.mix = layer(channels, channels, groups=channels), layer(channels, channels, 1)

    def forward(self, x):
        return F.relu(x + self.mix(F.relu(self.each(x))))


class Network(nn.Module):
    def __init__(self):
        super().__init__()
        self.first, self.each, self.near = layer(INPUTS, 16, 1), layer(16, 16, groups=16), layer(16, 24, 1)
        sizes = [24, 32, 48, 64, 64]
        self.down = nn.ModuleList(nn.ModuleList([layer(i, o, 3, 2), *(Added(o) for _ in range(2 if k < 3 else 1))])
                                  for k, (i, o) in enumerate(zip(sizes, sizes[1:])))
        self.up = nn.ModuleList(nn.ModuleList([layer(i, o, 1), Added(o)]) for i, o in ((64, 64), (64, 48), (48, 32)))
        self.last = nn.Conv2d(32, 5, 1)
        nn.init.zeros_(self.last.bias)
        self.last.bias.data[0] = -4.0  # a change is rare

    def forward(self, x):
        for part in (self.first, self.each, self.near):
            x = F.relu(part(x))
        sizes = []
        for shrink, *rest in self.down:
            x = F.relu(shrink(x))
            for part in rest:
                x = part(x)
            sizes.append(x)
        for (mix, added), fine in zip(self.up, reversed(sizes[:-1])):
            x = added(F.relu(fine + F.interpolate(mix(x), size=fine.shape[-2:], mode="nearest")))
        return self.last(x)

    def layers(self):
        """In the order of network.rs."""
        sizes = [part for more in (*self.down, *self.up) for part in more]
        return [self.first, self.each, self.near, *sizes, self.last]


def folded(sequence):
    """Weights and what is added, with normalisation put into them."""
    conv, norm = sequence
    gain = norm.weight / torch.sqrt(norm.running_var + norm.eps)
    return [(conv.weight * gain[:, None, None, None]).detach().numpy().ravel(), (norm.bias - norm.running_mean * gain).detach().numpy()]


def written(layers):
    """The bytes of a file of weights: of each number the upper half, in the order that the product reads."""
    parts = []
    for part in layers:
        if isinstance(part, Added):
            parts += [*folded(part.each), *folded(part.mix)]
        elif isinstance(part, nn.Sequential):
            parts += folded(part)
        else:
            parts += [part.weight.detach().numpy().ravel(), part.bias.detach().numpy()]
    bits = np.concatenate(parts).astype("<f4").view("<u4").astype(np.uint64)
    return ((bits + 0x8000) >> 16).astype("<u2").tobytes()


def weights(network):
    """The bytes of weights.bin or closer.bin."""
    network.eval()
    return written(network.layers())


def short(values):
    """Numbers as they are when the upper half of each is kept."""
    bits = values.detach().numpy().astype("<f4").view("<u4").astype(np.uint64)
    return torch.from_numpy(((((bits + 0x8000) >> 16) << 16).astype("<u4")).view("<f4").copy())


def as_written(network):
    """A copy with the weights as they are written, not as they were fitted."""
    kept = copy.deepcopy(network).eval()
    with torch.no_grad():
        for conv, norm in [m for m in kept.modules() if isinstance(m, nn.Sequential)]:
            gain = norm.weight / torch.sqrt(norm.running_var + norm.eps)
            bias = norm.bias - norm.running_mean * gain
            conv.weight.copy_(short(conv.weight * gain[:, None, None, None]))
            norm.weight.fill_(1)
            norm.running_mean.zero_()
            norm.running_var.fill_(1 - norm.eps)
            norm.bias.copy_(short(bias))
        kept.last.weight.copy_(short(kept.last.weight))
        kept.last.bias.copy_(short(kept.last.bias))
    return kept


def read(raw, layers):
    """Puts the bytes of a file of weights into layers, in the order of `written`: normalisation does nothing until they
    are fitted further."""
    bits = np.frombuffer(raw, "<u2").astype("<u4") << 16
    values, at = torch.from_numpy(bits.astype("<u4").view("<f4").copy()), 0

    def take(into):
        nonlocal at
        with torch.no_grad():
            into.copy_(values[at : at + into.numel()].reshape(into.shape))
        at += into.numel()

    def take_layer(sequence):
        conv, norm = sequence
        take(conv.weight)
        take(norm.bias)
        norm.running_var.fill_(1 - norm.eps)

    for part in layers:
        if isinstance(part, Added):
            take_layer(part.each)
            take_layer(part.mix)
        elif isinstance(part, nn.Sequential):
            take_layer(part)
        else:
            take(part.weight)
            take(part.bias)
    if at != len(values):
        raise ValueError(f"{len(values)} weights are given, {at} are wanted")


def started(raw, network):
    """A network that says what the bytes of its weights say."""
    read(raw, network.layers())
    return network


def measured(network, batches):
    """Gives a network that was read from written weights back what normalisation needs: of what comes in, the means and
    spreads are taken, and so that it still says the same, what goes out is moved and scaled likewise."""
    norms = [m for m in network.modules() if isinstance(m, nn.BatchNorm2d)]
    sums = {norm: [] for norm in norms}
    hooks = [norm.register_forward_pre_hook(lambda norm, given: sums[norm].append((given[0].mean((0, 2, 3)), given[0].pow(2).mean((0, 2, 3)))))
             for norm in norms]
    with torch.no_grad():
        network.eval()
        for batch in batches:
            network(batch)
        for norm in norms:
            middle, square = (torch.stack(v).mean(0) for v in zip(*sums[norm]))
            spread = square - middle**2
            norm.bias += middle
            norm.weight.copy_(torch.sqrt(spread + norm.eps))
            norm.running_mean.copy_(middle)
            norm.running_var.copy_(spread)
    for hook in hooks:
        hook.remove()
    return network.train()


class Closer(nn.Module):
    """The closer look: server/imaging/src/closer.rs."""

    SIDE, AROUND, NEAR = 32, INPUTS + 2, INPUTS + 2 + 32
    TOLD = NEAR + AROUND

    def __init__(self):
        super().__init__()
        self.first = layer(self.TOLD, 32, 1)
        self.down = nn.ModuleList(nn.ModuleList([layer(i, o, 3, 2), Added(o)]) for i, o in ((32, 48), (48, 64), (64, 96)))
        self.last = nn.Linear(2 * 96, 1)
        self.forget = nn.Dropout(0.3)

    def forward(self, x):
        x = F.relu(self.first(x))
        for shrink, added in self.down:
            x = added(F.relu(shrink(x)))
        return self.last(self.forget(torch.cat([x.mean((2, 3)), x.amax((2, 3))], 1)))[:, 0]

    def layers(self):
        """In the order of closer.rs."""
        return [self.first, *(part for more in self.down for part in more), self.last]
